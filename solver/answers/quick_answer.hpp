// The answers of a case on a coarse grid, for questions that take hundreds of them.
#pragma once

#include "answers/answers.hpp"

#include <vector>

namespace tq::answers {

/// The answers of every station on the coarse grid, without the extra runs that the temperatures in air need
/// (those are NaN), and of the surface only what is a figure of this run. transfer_to_spare is that of
/// rough_transfer_to_spare() for stations of which `spare_s` is finite; NaN for the others. `c` must have a
/// timer when it has a furnace stage. Throws treatment::SolverError.
std::vector<StationAnswer> quick_answer(const treatment::Case& c, const std::vector<double>& spare_s = {});
/// Further seconds of transfer before the first zone that is to harden no longer passes; NaN when not worked
/// out.
double least_transfer_to_spare(const StationAnswer& s);

} // namespace tq::answers
