// Heat across the gap between foil and blade (or between two foils).
#pragma once

#include "surroundings/gas.hpp"

namespace tq::surroundings {

/// One gap: mean width, share of the area in contact and the conductance there, and the two faces'
/// emissivities.
struct Gap {
  double width_m = 3e-4;
  double contact_fraction = 0;
  double contact_conductance_W_m2K = 0;
  double emissivity_a = 0.3, emissivity_b = 0.4;
  double fixed_conductance_W_m2K =
      0; ///< > 0: this plain number instead of gas + contact (radiation stays unless its emissivities are 0)
  Gas gas = Gas::air;
};

/// Temperature-jump length [m] of air at one atmosphere between two metal faces, both faces together: a gap
/// of width g conducts like one of width g + M. About 3.7 mean free paths, which grow with the absolute
/// temperature: 0.3 um at 300 K, 1 um at 1000 K. Source: from memory; it matters below 50 um only (4 % at
/// 25 um, 9 % at 10 um).
double temperature_jump_length(double T_degC);
/// Conductance by gas and contact [W/m2K] at the mean temperature: (1-f) k_gas / (g + M) + f h_contact, M the
/// temperature-jump length (that of air).
double gap_conductance(const Gap& gap, double T_mean_degC);
/// Emissivity factor of two facing surfaces 1 / (1/ea + 1/eb - 1); 0 when either is 0.
double exchange_emissivity(double ea, double eb);

/// View factor between two equal parallel strips of width `width_m` facing each other at `spacing_m`, endless
/// in the third direction: sqrt(1 + (s/w)^2) - s/w (Hottel's crossed strings; Incropera & DeWitt,
/// table 13.1).
double view_between_blades(double width_m, double spacing_m);

/// Effective emissivity towards the furnace of a surface whose share `view` sees its own like at the same
/// temperature, both grey: e (1 - F) / (1 - (1 - e) F), from the radiosities (Incropera & DeWitt, ch. 13).
double shaded_emissivity(double emissivity, double view);

/// Emissivity of a foil's outside after `hot_s` in the hot furnace: from `fresh` to `oxidised` with a
/// first-order time constant.
double oxidising_emissivity(double fresh, double oxidised, double time_constant_s, double hot_s);

} // namespace tq::surroundings
