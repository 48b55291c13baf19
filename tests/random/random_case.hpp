// Valid cases drawn from a seed: any blade, steel, furnace, wrap, bath and temper that the program accepts.
#pragma once

#include "treatment/case.hpp"

#include <cstdint>
#include <string>

namespace tq::test {

/// From this seed on one flank may be cooled otherwise than the other; the cases below stay what they were.
inline constexpr std::uint64_t first_seed_with_flanks = 10'001;
/// From here on every tenth case stands on a grid of up to 540 x 36 intervals.
inline constexpr std::uint64_t first_seed_with_fine_grids = 12'001;

/// The case file of this seed. All numbers are drawn by whole-number arithmetic or rounded to four digits, so
/// that a seed is the same case everywhere.
std::string random_case_text(std::uint64_t seed);

/// That file as the program reads it; throws records::InputError if it were not valid.
treatment::Case random_case(std::uint64_t seed);

} // namespace tq::test
