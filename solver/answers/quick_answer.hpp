// The answers of a case on a coarse grid, for questions that take hundreds of them.
#pragma once

#include "answers/answers.hpp"

#include <vector>

namespace tq::answers {

/// The answers of every station on the coarse grid, without the extra runs that transfer_to_spare and the
/// temperatures in air need (those are NaN), and of the surface only what is a figure of this run. `c` must
/// have a timer when it has a furnace stage. Throws treatment::SolverError.
std::vector<StationAnswer> quick_answer(const treatment::Case& c);

} // namespace tq::answers
