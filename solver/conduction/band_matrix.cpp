#include "conduction/band_matrix.hpp"

#include <algorithm>

namespace tq::conduction {

void SymmetricBand::factorise() {
  for (std::size_t i = 0; i < n_; ++i) {
    const std::size_t first = i > width_ ? i - width_ : 0;
    // row i of L times D, then divided; the diagonal last
    for (std::size_t j = first; j < i; ++j) {
      double sum = at(i, j);
      const std::size_t from = std::max(first, j > width_ ? j - width_ : 0);
      for (std::size_t k = from; k < j; ++k)
        sum -= at(i, k) * at(j, k); // (L D)_ik L_jk
      at(i, j) = sum;
    }
    double d = at(i, i);
    for (std::size_t k = first; k < i; ++k) {
      const double scaled = at(i, k);
      const double l = scaled / at(k, k);
      d -= scaled * l;
      at(i, k) = l;
    }
    at(i, i) = d;
  }
}

void SymmetricBand::solve(double* b) const {
  for (std::size_t i = 0; i < n_; ++i) {
    const std::size_t first = i > width_ ? i - width_ : 0;
    for (std::size_t k = first; k < i; ++k)
      b[i] -= at(i, k) * b[k];
  }
  for (std::size_t i = 0; i < n_; ++i)
    b[i] /= at(i, i);
  for (std::size_t i = n_; i-- > 0;) {
    const std::size_t first = i > width_ ? i - width_ : 0;
    for (std::size_t k = first; k < i; ++k)
      b[k] -= at(i, k) * b[i];
  }
}

} // namespace tq::conduction
