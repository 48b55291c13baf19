#include "records/table.hpp"

#include "records/bracket.hpp"
#include "units/math.hpp"

#include <cmath>

namespace tq::records {

double Table::operator()(double at) const {
  const auto [lower, upper, w] = bracket(x, at);
  if (lower == upper)
    return y[lower];
  if (interpolation == Interpolation::log)
    return math::exp((1.0 - w) * math::log(y[lower]) + w * math::log(y[upper]));
  return (1.0 - w) * y[lower] + w * y[upper];
}

} // namespace tq::records
