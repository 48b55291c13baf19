// The figures and verdicts of one station from its run.
#pragma once

#include "answers/answers.hpp"
#include "answers/margins.hpp"

namespace tq::answers {

/// All but the surface. `margins`: those of soak_margins(); what quench_margins() adds is passed on as it is.
StationAnswer answer_station(const treatment::Case& c, const treatment::Run& run,
                             const StationMargins& margins);

} // namespace tq::answers
