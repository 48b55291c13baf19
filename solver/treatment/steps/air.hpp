// Still or moving air: the way to the bath, between two baths, or until the blade is cold.
#pragma once

#include <optional>

namespace tq::treatment {

/// Longest time [s] in the air for a blade that is to get cold there.
inline constexpr double longest_cooling_s = 4 * 3600;

/// In the air for `time_s`, or less: until the hottest place is down to `until_degC`.
struct Air {
  double air_degC = 20;
  double convection_W_m2K = 0; ///< > 0: plain number instead of natural convection
  double time_s = 0;
  std::optional<double> until_degC;
};

} // namespace tq::treatment
