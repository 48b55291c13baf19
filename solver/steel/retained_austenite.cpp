#include "steel/retained_austenite.hpp"

#include "steel/transformation.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <cmath>

namespace tq::steel {

double stabilisation_lag(double wait_s) {
  constexpr double per_decade_K = 10.0, begins_s = 60.0;
  return wait_s > 0.0 ? per_decade_K * math::log10(1.0 + wait_s / begins_s) : 0.0;
}

double austenite_after_cold(double austenite, double martensite, double ms_degC, double alpha_per_K, double T,
                            double wait_s) {
  const double turned = martensite_share(ms_degC - stabilisation_lag(wait_s), T, alpha_per_K);
  return std::min(austenite, (austenite + martensite) * (1.0 - turned));
}

ReferenceShares reference_shares(const records::SteelRecord& steel) {
  const records::Austenitising& a = steel.austenitising;
  const double T = 0.5 * (a.hardening_from_degC + a.hardening_to_degC);
  const double born = born_carbon(steel), full = saturation_carbon(steel, T);
  const double rate = dissolution_rate(steel, records::StartState::spheroidised, T);
  ReferenceShares s;
  s.carbon_wt = full - (full - born) * math::exp(-a.asked_soak_s * rate);
  s.cementite = undissolved_cementite(steel, s.carbon_wt);
  s.martensite = (1.0 - s.cementite) * martensite_share(martensite_start(steel, s.carbon_wt), 20.0,
                                                        martensite_rate(steel, s.carbon_wt));
  s.austenite = 1.0 - s.cementite - s.martensite;
  return s;
}

} // namespace tq::steel
