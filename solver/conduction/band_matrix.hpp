// A band matrix and its direct factorisation, for long steps and as the cross-check of the line solves.
#pragma once

#include <cstddef>
#include <vector>

namespace tq::conduction {

/// Matrix of order n with entries up to `width` places beside the diagonal, factorised as L U without
/// pivoting (the heat balance's matrices are diagonally dominant, or nearly so where h(T) falls).
class BandMatrix {
 public:
  BandMatrix(std::size_t n, std::size_t width)
      : n_(n), width_(width), a_((n + width + 1) * (2 * width + 1), 0.0), inverse_(n) {}
  std::size_t size() const { return n_; }
  void clear() { a_.assign(a_.size(), 0.0); }
  /// Adds to entry (row, column); at most `width` places apart.
  void add(std::size_t row, std::size_t column, double value) { at(row, column) += value; }
  /// Hands a share of every entry of row `from` to row `to`; all must lie within the band there.
  void hand_over(std::size_t from, std::size_t to, double share);
  /// Replaces the matrix by its factors.
  void factorise();
  /// b := A^-1 b, after factorise(); behind its n numbers b has room for `width` zeros, which stay.
  void solve(double* b) const;

 private:
  double& at(std::size_t row, std::size_t column) { return a_[row * 2 * width_ + width_ + column]; }
  double at(std::size_t row, std::size_t column) const { return a_[row * 2 * width_ + width_ + column]; }
  std::size_t n_, width_;
  std::vector<double> a_;       ///< row by row, from `width` places left of the diagonal to as many right
  std::vector<double> inverse_; ///< of the pivots
};

} // namespace tq::conduction
