#include "conduction/band_matrix.hpp"

#include <algorithm>

namespace tq::conduction {

void BandMatrix::hand_over(std::size_t from, std::size_t to, double share) {
  for (std::size_t j = std::max(first(from), first(to)); j < std::min(end(from), end(to)); ++j) {
    const double moved = share * at(from, j);
    at(from, j) -= moved;
    at(to, j) += moved;
  }
}

void BandMatrix::factorise() {
  for (std::size_t k = 0; k < n_; ++k)
    for (std::size_t i = k + 1; i < end(k); ++i) {
      const double l = at(i, k) / at(k, k);
      at(i, k) = l;
      if (l != 0)
        for (std::size_t j = k + 1; j < end(k); ++j)
          at(i, j) -= l * at(k, j);
    }
}

void BandMatrix::solve(double* b) const {
  for (std::size_t i = 0; i < n_; ++i)
    for (std::size_t j = first(i); j < i; ++j)
      b[i] -= at(i, j) * b[j];
  for (std::size_t i = n_; i-- > 0;) {
    for (std::size_t j = i + 1; j < end(i); ++j)
      b[i] -= at(i, j) * b[j];
    b[i] /= at(i, i);
  }
}

} // namespace tq::conduction
