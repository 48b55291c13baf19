// Where a value lies between the points of a table.
#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace tq::records {

/// The two neighbours of a value among ascending points and its share of the way from the lower to the upper
/// one.
struct Bracket {
  std::size_t lower, upper;
  double share;
};

/// `x` has a point at least; outside of them the outermost counts alone.
inline Bracket bracket(const std::vector<double>& x, double at) {
  if (at <= x.front())
    return {0, 0, 0.0};
  if (at >= x.back())
    return {x.size() - 1, x.size() - 1, 0.0};
  const auto upper = static_cast<std::size_t>(std::upper_bound(x.begin(), x.end(), at) - x.begin());
  return {upper - 1, upper, (at - x[upper - 1]) / (x[upper] - x[upper - 1])};
}

} // namespace tq::records
