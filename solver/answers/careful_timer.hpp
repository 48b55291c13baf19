// The timer that gives the asked soak to nine blades in ten, for cases that leave it to the program.
#pragma once

#include "answers/executor.hpp"
#include "treatment/case.hpp"

namespace tq::answers {

struct CarefulTimer {
  double middle_s = 0;  ///< for the case as stated, whole minutes; NaN when a zone never gets there
  double careful_s = 0; ///< by the cautious end, whole minutes
};

/// From closing the door. Each uncertain input of furnace, foil and section is moved to the side that takes
/// longer, so far that one in ten lies beyond, and what they add is joined as the root of the sum of
/// squares, as for independent causes: with one input it is that band's end. On the coarse grid.
CarefulTimer careful_timer(const treatment::Case& c, Executor* executor = nullptr);

} // namespace tq::answers
