#include "surroundings/wrap.hpp"

#include "units/math.hpp"
#include "units/temperature.hpp"

#include <algorithm>
#include <cmath>

namespace tq::surroundings {

double temperature_jump_length(double T_degC) {
  constexpr double per_kelvin_m = 1.0e-9;
  return per_kelvin_m * kelvin(T_degC);
}

double gap_conductance(const Gap& gap, double T_mean_degC) {
  if (gap.fixed_conductance_W_m2K > 0.0)
    return gap.fixed_conductance_W_m2K;
  const double gas =
      gas_conductivity(gap.gas, T_mean_degC) / (gap.width_m + temperature_jump_length(T_mean_degC));
  return (1.0 - gap.contact_fraction) * gas + gap.contact_fraction * gap.contact_conductance_W_m2K;
}

double exchange_emissivity(double ea, double eb) {
  if (ea <= 0.0 || eb <= 0.0)
    return 0.0;
  return 1.0 / (1.0 / ea + 1.0 / eb - 1.0);
}

double view_between_blades(double width_m, double spacing_m) {
  const double s = spacing_m / width_m;
  return std::sqrt(1 + s * s) - s;
}

double shaded_emissivity(double emissivity, double view) {
  return emissivity * (1 - view) / (1 - (1 - emissivity) * view);
}

double oxidising_emissivity(double fresh, double oxidised, double time_constant_s, double hot_s) {
  return oxidised + (fresh - oxidised) * math::exp(-std::max(hot_s, 0.0) / time_constant_s);
}

} // namespace tq::surroundings
