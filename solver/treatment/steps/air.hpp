// Still or moving air: the way to the bath, between two baths, or until the blade is cold.
#pragma once

#include "treatment/steps/kind.hpp"

#include <optional>

namespace tq::treatment {

/// Longest time [s] in the air for a blade that is to get cold there.
inline constexpr double longest_cooling_s = 4 * 3600;
/// Within this [K] of what cools it a blade counts as cold.
inline constexpr double all_but_cold_K = 0.2;

/// In the air for `time_s`, or less: until the hottest place is down to `until_degC`.
struct Air {
  double air_degC = 20;
  double convection_W_m2K = 0; ///< > 0: plain number instead of natural convection
  double time_s = 0;
  std::optional<double> until_degC;
};

const char* word(const Air& air);
/// For a stated time it is a way to somewhere, until something is cold it cools.
Part counts_as(const Air& air);
const keys::Table& key_table(const Air& air);
void take(const Air& air, Simulation& sim, double seconds, const StepObserver& observer);
double expected_s(const Air& air);
std::vector<double> usual_frames(const Air& air);
double weight(const Air& air);
bool same_on_both_flanks(const Air& air);

} // namespace tq::treatment
