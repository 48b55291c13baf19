#include "conduction/band_matrix.hpp"

#include "conduction/for_every_processor.hpp"

#include <algorithm>

namespace tq::conduction {

void BandMatrix::hand_over(std::size_t from, std::size_t to, double share) {
  const std::size_t begin = std::max(from, to) > width_ ? std::max(from, to) - width_ : 0;
  for (std::size_t j = begin; j < std::min(std::min(from, to) + width_ + 1, n_); ++j) {
    const double moved = share * at(from, j);
    at(from, j) -= moved;
    at(to, j) += moved;
  }
}

namespace {

// Rows beyond the end are there and zero, so all loops have the same length; it is known for usual widths.
template <std::size_t known>
[[gnu::always_inline]] inline void factorise_rows(double* a, double* inverse, std::size_t n,
                                                  std::size_t width) {
  const std::size_t w = known > 0 ? known : width, stride = 2 * w;
  for (std::size_t k = 0; k < n; ++k) {
    double* __restrict pivot_row = a + k * (stride + 1) + w;
    const double inv = 1 / pivot_row[0];
    inverse[k] = inv;
    for (std::size_t i = 1; i <= w; ++i) {
      double* __restrict row = pivot_row + i * stride;
      const double l = row[0] * inv;
      row[0] = l;
      for (std::size_t j = 1; j <= w; ++j)
        row[j] -= l * pivot_row[j];
    }
  }
}

constexpr std::size_t in_registers = 4;

template <std::size_t known>
[[gnu::always_inline]] inline void solve_rows(const double* a, const double* inverse, std::size_t n,
                                              std::size_t width, double* __restrict b) {
  const std::size_t w = known > 0 ? known : width, stride = 2 * w;
  if constexpr (known > 0 && known <= in_registers) {
    double before[known] = {}; // the last few, the nearest first; left of the first column stand zeros
    for (std::size_t k = 0; k < n; ++k) {
      const double* __restrict row = a + k * (stride + 1) + w;
      double x = b[k];
      for (std::size_t j = known; j > 0; --j)
        x -= *(row - j) * before[j - 1];
      for (std::size_t j = known - 1; j > 0; --j)
        before[j] = before[j - 1];
      b[k] = before[0] = x;
    }
  } else {
    for (std::size_t k = 0; k < n; ++k) {
      const double* __restrict column = a + k * (stride + 1) + w;
      const double x = b[k];
      for (std::size_t i = 1; i <= w; ++i)
        b[k + i] -= column[i * stride] * x;
    }
  }
  for (std::size_t k = n; k-- > 0;) {
    const double* __restrict row = a + k * (stride + 1) + w;
    double sum = 0;
    for (std::size_t j = w; j > 1; --j) // the nearest last: only it waits for the row before
      sum += row[j] * b[k + j];
    b[k] = ((b[k] - sum) - row[1] * b[k + 1]) * inverse[k];
  }
}

/// Calls work.operator()<width>() for widths of usual grids, else work.operator()<0>().
template <class Work>
[[gnu::always_inline]] inline void by_width(std::size_t width, const Work& work) {
  switch (width) {
  case 2:
    return work.template operator()<2>();
  case 3:
    return work.template operator()<3>();
  case 4:
    return work.template operator()<4>();
  case 5:
    return work.template operator()<5>();
  case 6:
    return work.template operator()<6>();
  case 7:
    return work.template operator()<7>();
  case 8:
    return work.template operator()<8>();
  case 10:
    return work.template operator()<10>();
  case 18:
    return work.template operator()<18>();
  default:
    return work.template operator()<0>();
  }
}

TQ_FOR_EVERY_PROCESSOR(void, factorise_band, (double* a, double* inverse, std::size_t n, std::size_t width),
                       (a, inverse, n, width)) {
  by_width(
      width, [&]<std::size_t w>()
                 __attribute__((always_inline)) { factorise_rows<w>(a, inverse, n, width); });
}

TQ_FOR_EVERY_PROCESSOR(void, solve_band,
                       (const double* a, const double* inverse, std::size_t n, std::size_t width, double* b),
                       (a, inverse, n, width, b)) {
  by_width(
      width, [&]<std::size_t w>() __attribute__((always_inline)) { solve_rows<w>(a, inverse, n, width, b); });
}

} // namespace

void BandMatrix::factorise() { factorise_band(a_.data(), inverse_.data(), n_, width_); }

void BandMatrix::solve(double* b) const { solve_band(a_.data(), inverse_.data(), n_, width_, b); }

} // namespace tq::conduction
