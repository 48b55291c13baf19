#include "sweep/sample.hpp"

#include <numeric>
#include <random>
#include <utility>

namespace tq::sweep {

std::vector<double> latin_hypercube(std::size_t n, std::size_t dimensions, std::uint64_t seed) {
  std::vector<double> out(n * dimensions);
  std::mt19937_64 random(seed); // its numbers are prescribed by the standard, those of distributions are not
  const auto unit = [&] { return static_cast<double>(random() >> 11U) * 0x1p-53; };
  std::vector<std::size_t> slice(n);
  for (std::size_t d = 0; d < dimensions; ++d) {
    std::iota(slice.begin(), slice.end(), std::size_t{0});
    for (std::size_t i = n; i > 1; --i) // Fisher & Yates
      std::swap(slice[i - 1], slice[static_cast<std::size_t>(unit() * static_cast<double>(i))]);
    for (std::size_t i = 0; i < n; ++i)
      out[i * dimensions + d] = (static_cast<double>(slice[i]) + unit()) / static_cast<double>(n);
  }
  return out;
}

} // namespace tq::sweep
