// The answers of a case on a coarse grid, for questions that take hundreds of them.
#pragma once

#include "answers/answers.hpp"

#include <vector>

namespace tq::answers {

/// The grid and the tolerance for it, never finer than those of the case.
treatment::Case on_coarse_grid(const treatment::Case& c);

/// The answers of every station on that grid, without the extra runs that transfer_to_spare and the
/// temperatures in air need (those are NaN). `c` must have a timer when it has a furnace stage. Throws
/// treatment::SolverError.
std::vector<StationAnswer> quick_answer(const treatment::Case& c);

} // namespace tq::answers
