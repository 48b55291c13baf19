// Elementary functions for loops over all nodes: without branches, so that they become vectors, and made of
// sums, products and quotients alone, so that every width of vectors gives the same bits.
#pragma once

namespace tq::steel {

/// exp(-x), x >= 0, to 1e-14 of 1: the 32nd power of its series. Held at x = 40.
[[gnu::always_inline]] inline double exp_minus(double x) {
  const double y = (x < 40.0 ? x : 40.0) * (1.0 / 32.0);
  double e = 1.0 - y * (1.0 / 12.0);
  e = 1.0 - y * (1.0 / 11.0) * e;
  e = 1.0 - y * (1.0 / 10.0) * e;
  e = 1.0 - y * (1.0 / 9.0) * e;
  e = 1.0 - y * (1.0 / 8.0) * e;
  e = 1.0 - y * (1.0 / 7.0) * e;
  e = 1.0 - y * (1.0 / 6.0) * e;
  e = 1.0 - y * (1.0 / 5.0) * e;
  e = 1.0 - y * (1.0 / 4.0) * e;
  e = 1.0 - y * (1.0 / 3.0) * e;
  e = 1.0 - y * 0.5 * e;
  e = 1.0 - y * e;
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
