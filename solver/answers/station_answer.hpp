// The figures and verdicts of one station from its run.
#pragma once

#include "answers/answers.hpp"
#include "answers/margins.hpp"

namespace tq::answers {

/// All but the surface. `margins`: those of soak_margins(); what quench_margins() adds is passed on as it is.
StationAnswer answer_station(const treatment::Case& c, const treatment::Run& run,
                             const StationMargins& margins);

/// What is worked out beside the figures of the run.
struct Besides {
  bool surface = true, metallurgy = true;
};
/// Of a run that went through all steps, with the surface and the metallurgy.
StationAnswer whole_station(const treatment::Case& c, std::size_t station, const treatment::Run& run,
                            const StationMargins& margins, Besides besides = {});

} // namespace tq::answers
