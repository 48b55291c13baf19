// A symmetric band matrix and its direct factorisation: the cross-check of the line solves.
#pragma once

#include <cstddef>
#include <vector>

namespace tq::conduction {

/// Symmetric matrix of order n with entries up to `width` places beside the diagonal, factorised as L D L^T
/// without pivoting (the heat balance's matrices are diagonally dominant, or nearly so where h(T) falls).
class SymmetricBand {
 public:
  SymmetricBand(std::size_t n, std::size_t width) : n_(n), width_(width), a_(n * (width + 1), 0.0) {}
  std::size_t size() const { return n_; }
  void clear() { a_.assign(a_.size(), 0.0); }
  /// Adds to entry (i, j) and so to (j, i); |i - j| <= width.
  void add(std::size_t i, std::size_t j, double value) { i >= j ? at(i, j) += value : at(j, i) += value; }
  /// Replaces the matrix by its factors.
  void factorise();
  /// b := A^-1 b, after factorise().
  void solve(double* b) const;

 private:
  double& at(std::size_t row, std::size_t column) { return a_[row * (width_ + 1) + width_ - (row - column)]; }
  double at(std::size_t row, std::size_t column) const {
    return a_[row * (width_ + 1) + width_ - (row - column)];
  }
  std::size_t n_, width_;
  std::vector<double> a_; ///< row by row: the `width` entries left of the diagonal, then the diagonal
};

} // namespace tq::conduction
