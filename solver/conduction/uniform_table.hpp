// A function sampled at equal steps for branch-free lookup inside the solver.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <vector>

namespace tq::conduction {

/// Piecewise linear in x between equal steps; the end values hold outside.
class UniformTable {
 public:
  UniformTable() = default;
  /// Samples f from `from` to `to` at steps of at most `step`.
  UniformTable(double from, double to, double step, const std::function<double(double)>& f) : from_(from) {
    const auto intervals = static_cast<std::size_t>(std::max(1.0, std::ceil((to - from) / step)));
    const double dx = (to - from) / static_cast<double>(intervals);
    inverse_step_ = 1.0 / dx;
    top_ = static_cast<double>(intervals) - 1e-9;
    y_.resize(intervals + 2);
    for (std::size_t i = 0; i <= intervals; ++i)
      y_[i] = f(from + static_cast<double>(i) * dx);
    y_[intervals + 1] = y_[intervals];
  }
  bool empty() const { return y_.empty(); }
  double value(double x) const {
    const double s = position(x);
    const auto i = static_cast<std::size_t>(s);
    return y_[i] + (s - static_cast<double>(i)) * (y_[i + 1] - y_[i]);
  }
  /// dy/dx; 0 outside the table.
  double slope(double x) const {
    const double s = (x - from_) * inverse_step_;
    if (!(s >= 0) || s > top_)
      return 0;
    const auto i = static_cast<std::size_t>(s);
    return (y_[i + 1] - y_[i]) * inverse_step_;
  }

 private:
  double position(double x) const { return std::min(std::max((x - from_) * inverse_step_, 0.0), top_); }
  double from_ = 0, inverse_step_ = 0, top_ = 0;
  std::vector<double> y_;
};

} // namespace tq::conduction
