#include "steel/notch.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace tq::steel {

double notch_factor(double depth, double radius, double width) {
  const double k = depth / radius, q = std::sqrt(k);
  constexpr double from = 0.5, to = 20, deepest = 0.3, same = 1e-9;
  if (k < from || k > to)
    return 1 + 2 * q;
  const double x = std::min(depth / width, deepest);
  std::array<double, 4> c;
  if (std::abs(k - 1) < same)
    c = {3.065, -8.871, 14.036, -7.219};
  else if (k < 2)
    c = {0.907 + 2.125 * q + 0.023 * k, 0.701 - 11.289 * q + 1.708 * k, -0.672 + 18.754 * q - 4.046 * k,
         0.175 - 9.759 * q + 2.365 * k};
  else
    c = {0.953 + 2.136 * q - 0.005 * k, -3.255 - 6.281 * q + 0.068 * k, 8.203 + 6.893 * q + 0.064 * k,
         -4.851 - 2.793 * q - 0.128 * k};
  return c[0] + x * (c[1] + x * (c[2] + x * c[3]));
}

} // namespace tq::steel
