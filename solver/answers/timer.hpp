// A timer as it is set: from closing the door, in whole minutes.
#pragma once

#include "treatment/case.hpp"

#include <cmath>

namespace tq::answers {

/// Seconds up to the next whole minute; what is a whole minute but for rounding stays.
inline double whole_minutes_up(double s) { return 60 * std::ceil(s / 60 - 1e-9); }

/// The blade comes out so many seconds after the door was closed.
inline void set_timer_from_door(treatment::Case& c, double s) {
  c.furnace().timer_s = s;
  c.furnace().timer_start = treatment::TimerStart::door;
}

} // namespace tq::answers
