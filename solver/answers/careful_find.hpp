// Found settings moved to the safe side until they hold by draws.
#pragma once

#include "answers/executor.hpp"
#include "answers/find.hpp"

#include <functional>

namespace tq::answers {

/// Moves what is to be set to its safe side, rung by rung (careful_walks.hpp), until it holds in nine draws
/// in ten of as many as `harden` makes; what was found stays behind it as the middle. The timer is that of
/// careful_timer(); an oven without a wish of its own goes where most draws land in the case's. When no rung
/// holds, the finding stays, a note says so and Finding::by_draws too. `asked` and `options` as given to
/// find(). Throws treatment::Interrupted when `go_on` says so, treatment::SolverError.
void hold_by_draws(Finding& f, const treatment::Case& asked, const FindOptions& options, Executor& executor,
                   const std::function<bool()>& go_on = {});

} // namespace tq::answers
