// Colder than the room: freezer, dry ice in alcohol, nitrogen.
#pragma once

#include "treatment/steps/kind.hpp"

#include <optional>

namespace tq::treatment {

/// Heat transfer of freezer air or dry ice in alcohol, order of magnitude; from memory.
inline constexpr double cold_medium_W_m2K = 30;

/// Left in the air for `wait_s`, then in the cold until the hottest place has all but reached its
/// temperature, and for `hold_s` after that.
struct Cold {
  double medium_degC = -20;
  double air_degC = 20; ///< while waiting
  double convection_W_m2K = 0;
  double wait_s = 0;
  double hold_s = 0;
};

const char* word(const Cold& cold);
Part counts_as(const Cold& cold);
const keys::Table& key_table(const Cold& cold);
void take(const Cold& cold, Simulation& sim, double seconds, const StepObserver& observer);
double expected_s(const Cold& cold);
std::vector<double> usual_frames(const Cold& cold);
double weight(const Cold& cold);
bool same_on_both_flanks(const Cold& cold);

} // namespace tq::treatment
