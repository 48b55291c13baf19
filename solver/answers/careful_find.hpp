// Found settings moved to the safe side until they hold by draws.
#pragma once

#include "answers/executor.hpp"
#include "answers/find.hpp"

#include <functional>

namespace tq::answers {

/// Moves the first setting of a finding about the way to the bath, the earliest out, the thickest spine or
/// the widest gap of foil left on, rung by rung to its safe side, until the case with it passes by the draws
/// (bands.hpp); what was found stays beside it as the middle. Other findings stay as they are. When no rung
/// passes, the finding stays and a note says so. Throws treatment::Interrupted when `go_on` says so,
/// treatment::SolverError.
void hold_by_draws(Finding& f, const treatment::Case& asked, Executor& executor,
                   const std::function<bool()>& go_on = {});

} // namespace tq::answers
