#include "output/sha256.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>

namespace tq::output {
namespace {

using Word = std::uint32_t;

/// First 32 bits of the fractional parts of the cube roots of the first 64 primes.
constexpr std::array<Word, 64> round_constant = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

void digest_block(std::array<Word, 8>& hash, const std::string& message, std::size_t at) {
  std::array<Word, 64> w{};
  for (std::size_t t = 0; t < 16; ++t)
    for (std::size_t k = 0; k < 4; ++k)
      w[t] = (w[t] << 8U) | static_cast<unsigned char>(message[at + 4 * t + k]);
  for (std::size_t t = 16; t < 64; ++t) {
    const Word s0 = std::rotr(w[t - 15], 7) ^ std::rotr(w[t - 15], 18) ^ (w[t - 15] >> 3U);
    const Word s1 = std::rotr(w[t - 2], 17) ^ std::rotr(w[t - 2], 19) ^ (w[t - 2] >> 10U);
    w[t] = w[t - 16] + s0 + w[t - 7] + s1;
  }
  auto [a, b, c, d, e, f, g, h] = hash;
  for (std::size_t t = 0; t < 64; ++t) {
    const Word s1 = std::rotr(e, 6) ^ std::rotr(e, 11) ^ std::rotr(e, 25);
    const Word t1 = h + s1 + ((e & f) ^ (~e & g)) + round_constant[t] + w[t];
    const Word s0 = std::rotr(a, 2) ^ std::rotr(a, 13) ^ std::rotr(a, 22);
    const Word t2 = s0 + ((a & b) ^ (a & c) ^ (b & c));
    h = g;
    g = f;
    f = e;
    e = d + t1;
    d = c;
    c = b;
    b = a;
    a = t1 + t2;
  }
  const std::array<Word, 8> add = {a, b, c, d, e, f, g, h};
  for (std::size_t k = 0; k < 8; ++k)
    hash[k] += add[k];
}

} // namespace

std::string sha256_hex(std::string_view bytes) {
  std::string message(bytes);
  message += '\x80';
  while (message.size() % 64 != 56)
    message += '\0';
  const std::uint64_t bits = static_cast<std::uint64_t>(bytes.size()) * 8;
  for (int shift = 56; shift >= 0; shift -= 8)
    message += static_cast<char>((bits >> shift) & 0xFFU);

  std::array<Word, 8> hash = {0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
                              0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};
  for (std::size_t at = 0; at < message.size(); at += 64)
    digest_block(hash, message, at);

  std::string hex;
  for (const Word word : hash)
    for (int shift = 28; shift >= 0; shift -= 4)
      hex += "0123456789abcdef"[(word >> shift) & 0xFU];
  return hex;
}

std::string base64(std::string_view bytes) {
  static constexpr char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t k = 0; k < bytes.size(); k += 3) {
    const std::size_t have = std::min<std::size_t>(3, bytes.size() - k);
    unsigned block = 0;
    for (std::size_t i = 0; i < 3; ++i)
      block = block << 8U | (i < have ? static_cast<unsigned char>(bytes[k + i]) : 0U);
    for (std::size_t i = 0; i < 4; ++i)
      text += i <= have ? digits[block >> (18 - 6 * i) & 63U] : '=';
  }
  return text;
}

std::string sha256_base64(std::string_view bytes) {
  const std::string hex = sha256_hex(bytes);
  std::string raw;
  for (std::size_t k = 0; k < hex.size(); k += 2)
    raw += static_cast<char>(std::stoi(hex.substr(k, 2), nullptr, 16));
  return base64(raw);
}

} // namespace tq::output
