#include "records/table.hpp"

#include "units/math.hpp"

#include <algorithm>
#include <cmath>

namespace tq::records {

double Table::operator()(double at) const {
  if (at <= x.front())
    return y.front();
  if (at >= x.back())
    return y.back();
  const auto upper = static_cast<std::size_t>(std::upper_bound(x.begin(), x.end(), at) - x.begin());
  const double w = (at - x[upper - 1]) / (x[upper] - x[upper - 1]);
  if (interpolation == Interpolation::log)
    return math::exp((1.0 - w) * math::log(y[upper - 1]) + w * math::log(y[upper]));
  return (1.0 - w) * y[upper - 1] + w * y[upper];
}

} // namespace tq::records
