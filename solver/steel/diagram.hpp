// The transformation diagram that follows from a steel's decomposition clocks: isothermal start and finish,
// critical cooling rate, and continuous cooling by the Scheil sum.
#pragma once

#include "steel/decomposition.hpp"

#include <vector>

namespace tq::steel {

/// Times [s] to 1, 50 and 99 % of one reaction held at one temperature; infinite where it does not run.
struct ReactionTimes {
  double start_s, half_s, finish_s;
};
struct DiagramRow {
  double T = 0; ///< degC
  ReactionTimes pearlite, bainite;
};
/// Rows from the highest whole multiple of `step_K` below Ae1 down to above Ms. Each reaction as if alone.
std::vector<DiagramRow> isothermal_diagram(const DecompositionLaw& d, double step_K = 20.0);

/// Where a reaction starts (1 %) soonest.
struct Nose {
  double T = 0, time_s = 0;
};
Nose pearlite_nose(const DecompositionLaw& d);
Nose bainite_nose(const DecompositionLaw& d);

/// Constant cooling rates [K/s] from Ae1 to Ms (so also the rate through 700-500 degC) that just form 1 %.
struct CriticalRate {
  double pearlite = 0, bainite = 0; ///< of one reaction, as if alone
  double both = 0;                  ///< of the two together: slower, and more than 1 % is lost
};
CriticalRate critical_rate(const DecompositionLaw& d);

/// What a constant cooling rate leaves of pure austenite at `to_degC`.
struct CoolingResult {
  double rate_K_s = 0;
  double pearlite_start_degC, bainite_start_degC; ///< where 1 % of the reaction is reached; NaN when never
  double finish_degC;                             ///< where 1 % of the austenite is left; NaN when never
  double pearlite = 0, bainite = 0, martensite = 0, austenite = 0; ///< shares, sum 1
};
/// The clocks are isokinetic, so their integral over the temperatures is the exact Scheil sum; the two
/// reactions share the austenite in proportion to their rates at each temperature.
CoolingResult cool_at_constant_rate(const DecompositionLaw& d, double km_alpha_per_K, double rate_K_s,
                                    double to_degC = 20.0);

} // namespace tq::steel
