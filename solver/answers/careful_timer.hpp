// The timer that gives the asked soak to nine blades in ten, for cases that leave it to the program.
#pragma once

#include "answers/answers.hpp"
#include "answers/executor.hpp"
#include "treatment/case.hpp"

namespace tq::answers {

struct CarefulTimer {
  double middle_s = 0;  ///< for the case as stated, whole minutes; NaN when a zone never gets there
  double careful_s = 0; ///< by the cautious end, whole minutes
  double share = 0; ///< what the cautious end takes longer than the case as stated, as a share, not rounded
};

/// From closing the door. Each uncertain input of furnace, foil and section is moved to the side that takes
/// longer, so far that one in ten lies beyond, and what they add is joined as the root of the sum of
/// squares, as for independent causes: with one input it is that band's end. On the coarse grid.
CarefulTimer careful_timer(const treatment::Case& c, Executor* executor = nullptr);
/// The same for a case that takes longer at its cautious end by about this share, as one like it does: a
/// twentieth of the work. The middle is exact, the careful end may be a minute off.
CarefulTimer guessed_timer(const treatment::Case& c, double share);

/// answer() of a case that leaves the timer open, with a timer known before.
Answers answer_with(const CarefulTimer& timer, const treatment::Case& c, std::vector<treatment::Run>& runs,
                    const treatment::Progress& progress = {}, Executor* executor = nullptr,
                    const Stated& stated = {});

} // namespace tq::answers
