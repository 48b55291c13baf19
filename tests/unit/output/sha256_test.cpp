#include "output/sha256.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

namespace {

using tq::output::sha256_hex;

// FIPS 180-4 example messages (NIST, "Examples with intermediate values") and the NIST long message.
TEST(Output_Sha256, StandardVectors_Agree) {
  EXPECT_EQ(sha256_hex("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(sha256_hex(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  EXPECT_EQ(sha256_hex(std::string(1000000, 'a')),
            "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST(Output_Sha256, LengthsRoundABlock_AreAllDifferent) {
  std::vector<std::string> seen;
  for (std::size_t n = 50; n < 70; ++n) {
    const std::string hash = sha256_hex(std::string(n, 'x'));
    EXPECT_EQ(std::count(seen.begin(), seen.end(), hash), 0);
    seen.push_back(hash);
  }
}

} // namespace
