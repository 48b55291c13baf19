// Elementary functions for loops over all nodes: without branches, so that they become vectors, and made of
// sums, products and quotients alone, so that every width of vectors gives the same bits.
#pragma once

namespace tq::steel {

/// exp(-x), x >= 0, to 2e-14 of 1: the 64th power of its series, whose terms are summed in pairs so that they
/// need not wait for one another. Held at x = 40.
[[gnu::always_inline]] inline double exp_minus(double x) {
  const double y = (x < 40.0 ? x : 40.0) * (-1.0 / 64.0), y2 = y * y, y4 = y2 * y2;
  const double first = (1.0 + y) + (1.0 / 2.0 + (1.0 / 6.0) * y) * y2;
  const double second = (1.0 / 24.0 + (1.0 / 120.0) * y) + (1.0 / 720.0 + (1.0 / 5040.0) * y) * y2;
  double e = first + (second + (1.0 / 40320.0) * y4) * y4;
  e = e * e;
  e = e * e;
  e = e * e;
  e = e * e;
  e = e * e;
  return e * e;
}

/// log(1 + x), 0 <= x <= 1, to 1e-15 of its size: the series of the inverse hyperbolic tangent of x / (2 +
/// x).
[[gnu::always_inline]] inline double log1p_up_to_one(double x) {
  const double s = x / (2.0 + x), t = s * s; // t <= 1/9
  double sum = 1.0 / 31.0;
  sum = 1.0 / 29.0 + t * sum;
  sum = 1.0 / 27.0 + t * sum;
  sum = 1.0 / 25.0 + t * sum;
  sum = 1.0 / 23.0 + t * sum;
  sum = 1.0 / 21.0 + t * sum;
  sum = 1.0 / 19.0 + t * sum;
  sum = 1.0 / 17.0 + t * sum;
  sum = 1.0 / 15.0 + t * sum;
  sum = 1.0 / 13.0 + t * sum;
  sum = 1.0 / 11.0 + t * sum;
  sum = 1.0 / 9.0 + t * sum;
  sum = 1.0 / 7.0 + t * sum;
  sum = 1.0 / 5.0 + t * sum;
  sum = 1.0 / 3.0 + t * sum;
  sum = 1.0 + t * sum;
  return 2.0 * s * sum;
}

} // namespace tq::steel
