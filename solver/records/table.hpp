// A property given by points, with stated interpolation.
#pragma once

#include <string>
#include <vector>

namespace tq::records {

/// How a table is read between its points. `log` means: the logarithm of y is linear in x.
enum class Interpolation { linear, log };

/// y over x, x strictly ascending; the end values hold outside the points.
struct Table {
  std::vector<double> x;
  std::vector<double> y;
  Interpolation interpolation = Interpolation::linear;

  bool empty() const { return x.empty(); }
  /// Value at x (clamped to the ends).
  double operator()(double at) const;
};

} // namespace tq::records
