// Will it warp, will it crack, is the oil used where it may be, is the edge thick enough: beside the answers,
// computed after them.
#pragma once

#include "answers/bow.hpp"
#include "answers/crack.hpp"
#include "answers/executor.hpp"

#include <string>
#include <vector>

namespace tq::answers {

struct Risks {
  std::vector<BowAnswer> stations; ///< empty when no bow was computed
  Judgement bow;                   ///< worst station
  CrackAnswer crack;
  Judgement oil, edge;               ///< safety.hpp
  std::string straightening_caution; ///< stands beside the bow; empty without one
};

struct NamedVerdict {
  const char* name;
  const Judgement* judgement;
};
/// All verdicts over the stations in the order of the work; bow, crack, oil and edge when there are `risks`.
std::vector<NamedVerdict> all_verdicts(const Answers& a, const Risks* risks);

/// The risks of the case with the answers `a` to it (whose timer counts where the case has none). Two coarse
/// runs per station, by the executor where one is given. A bow at which the solver gives up is not asked,
/// with its reason. `same_bow`: of a case that differs in its tempers only, so that its bow is taken as it
/// is; null: none. Throws treatment::Interrupted when `go_on` says so.
Risks risks(const treatment::Case& c, const Answers& a, Executor* executor = nullptr,
            const Executor::GoOn& go_on = {}, const Risks* same_bow = nullptr);

} // namespace tq::answers
