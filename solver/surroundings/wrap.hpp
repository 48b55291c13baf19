// Heat across the gap between foil and blade (or between two foils).
#pragma once

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
};

/// Conductance by gas and contact [W/m2K] at the mean temperature: (1-f) k_air / (g + M) + f h_contact, M the
/// temperature-jump length.
double gap_conductance(const Gap& gap, double T_mean_degC);
/// Emissivity factor of two facing surfaces 1 / (1/ea + 1/eb - 1); 0 when either is 0.
double exchange_emissivity(double ea, double eb);

} // namespace tq::surroundings
