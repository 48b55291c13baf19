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
  /// What a loop needs that is to become vectors: no branch, an index of int, inlined before the compiler
  /// looks at vectors; `y` lives with the table.
  struct View {
    double from, inverse_step, top;
    const double* y;
    [[gnu::always_inline]] double value(double x) const {
      const double s = inside((x - from) * inverse_step);
      const int i = static_cast<int>(s);
      return y[i] + (s - i) * (y[i + 1] - y[i]);
    }
    [[gnu::always_inline]] double slope(double x) const {
      const double place = (x - from) * inverse_step, s = inside(place);
      const int i = static_cast<int>(s);
      return s == place ? (y[i + 1] - y[i]) * inverse_step : 0.0;
    }
    [[gnu::always_inline]] double inside(double place) const {
      const double floored = place > 0.0 ? place : 0.0;
      return floored < top ? floored : top;
    }
  };
  View view() const { return {from_, inverse_step_, top_, y_.data()}; }
  double value(double x) const { return view().value(x); }
  /// dy/dx; 0 outside the table.
  double slope(double x) const { return view().slope(x); }

 private:
  double from_ = 0, inverse_step_ = 0, top_ = 0;
  std::vector<double> y_;
};

} // namespace tq::conduction
