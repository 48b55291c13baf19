// Sum of products in four sums side by side, so that no addition waits for the one before; the same bits on
// every processor.
#pragma once

#include <cstddef>

namespace tq::conduction {

/// a[0] b[0] + a[1] b[1] + ... of `count` figures.
[[gnu::always_inline]] inline double sum_of_products(std::size_t count, const double* a, const double* b) {
  double s0 = 0, s1 = 0, s2 = 0, s3 = 0;
  std::size_t n = 0;
  for (; n + 4 <= count; n += 4) {
    s0 += a[n] * b[n];
    s1 += a[n + 1] * b[n + 1];
    s2 += a[n + 2] * b[n + 2];
    s3 += a[n + 3] * b[n + 3];
  }
  for (; n < count; ++n)
    s0 += a[n] * b[n];
  return (s0 + s1) + (s2 + s3);
}

} // namespace tq::conduction
