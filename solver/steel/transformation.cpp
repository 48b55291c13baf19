#include "steel/transformation.hpp"

#include "steel/formulas.hpp"
#include "units/math.hpp"
#include "units/temperature.hpp"

#include <algorithm>
#include <cmath>

namespace tq::steel {

namespace {

using records::Composition;
using records::SteelRecord;

constexpr double eutectoid_T = 727.0;     // Fe-C eutectoid temperature of the A_cm fit [degC]
constexpr double eutectoid_C = 0.7615;    // Fe-C eutectoid carbon of the A_cm fit [wt%]
constexpr double cementite_carbon = 6.69; // carbon of Fe3C [wt%]

constexpr double from_fahrenheit(double F) { return (F - 32.0) * 5.0 / 9.0; }

} // namespace

double ac1_andrews(const Composition& wt) {
  return 723.0 - 10.7 * wt.Mn - 16.9 * wt.Ni + 29.1 * wt.Si + 16.9 * wt.Cr + 6.38 * wt.W;
}

double ae1_grange(const Composition& wt) {
  return from_fahrenheit(1333.0 - 25.0 * wt.Mn + 40.0 * wt.Si - 26.0 * wt.Ni + 42.0 * wt.Cr);
}

double ac1(const SteelRecord& steel) {
  return steel.austenitising.ac1_degC.value_or(ac1_andrews(steel.composition));
}

double carbon_on_acm(double T) {
  // Fit to the line computed from the SGTE description of Fe-C, Gustafson 1985, Scand. J. Metall. 14, 259
  // (parameters partly from memory); largest error of the fit 0.0003 %C from 727 to 1000 degC.
  const double x = std::max(T - eutectoid_T, 0.0) / 100.0;
  return 0.76149 + 0.24531 * x + 0.01388 * x * x;
}

double eutectoid_carbon(const Composition& wt) {
  // Slopes from memory of Bain's eutectoid-shift curves (+-0.03 %C); an engineering model without a source.
  return 0.76 - 0.075 * wt.Mn - 0.08 * wt.Cr - 0.035 * wt.Ni - 0.04 * wt.W;
}

double born_carbon(const SteelRecord& steel) {
  return std::min(steel.composition.C, eutectoid_carbon(steel.composition));
}

double saturation_carbon(const SteelRecord& steel, double T) {
  const double as_in_iron_carbon = T - (ae1_grange(steel.composition) - eutectoid_T);
  const double on_line = eutectoid_carbon(steel.composition) + carbon_on_acm(as_in_iron_carbon) - eutectoid_C;
  return std::max(std::min(steel.composition.C, on_line), born_carbon(steel));
}

double undissolved_cementite(const SteelRecord& steel, double carbon_wt) {
  const double excess = steel.composition.C - carbon_wt;
  return excess > 0.0 ? excess / (cementite_carbon - carbon_wt) : 0.0;
}

double austenite_rate(const SteelRecord& steel, double T) {
  const records::Austenitising& a = steel.austenitising;
  const double above = T - ac1(steel);
  if (above <= 0.0)
    return 0.0;
  return (math::exp2(above / a.growth_halving_K) - 1.0) /
         ((math::exp2(a.growth_above_K / a.growth_halving_K) - 1.0) * a.growth_time_s);
}

double ac1_end(const SteelRecord& steel) {
  if (steel.austenitising.ac1_end_degC)
    return *steel.austenitising.ac1_end_degC;
  constexpr double plain_K = 15.0, per_chromium_K = 20.0;
  const Composition& wt = steel.composition;
  const double three_phases = ac1(steel) + plain_K + per_chromium_K * wt.Cr;
  const double lacking = eutectoid_carbon(wt) - wt.C;
  if (lacking <= 0.0)
    return three_phases;
  const double a3 = a3_temperature(eutectoid_C - lacking) + ae1_grange(wt) - eutectoid_T;
  return std::max(three_phases, a3);
}

double acm_temperature(const SteelRecord& steel) {
  double low = ae1_grange(steel.composition), high = 1150.0;
  if (saturation_carbon(steel, low) >= steel.composition.C)
    return low;
  for (int i = 0; i < 50; ++i) {
    const double middle = 0.5 * (low + high);
    (saturation_carbon(steel, middle) < steel.composition.C ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

double austenite_equilibrium(const SteelRecord& steel, double T) {
  const double from = ac1(steel), to = ac1_end(steel);
  if (T <= from)
    return 0.0;
  if (T >= to)
    return 1.0;
  const double left = (to - T) / (to - from);
  return 1.0 - left * left;
}

double austenite_after(const SteelRecord& steel, double T, double soak_s) {
  const double most = austenite_equilibrium(steel, T);
  return most > 0.0 ? most * -math::expm1(-soak_s * austenite_rate(steel, T)) : 0.0; // not -0
}

double dissolution_rate(const SteelRecord& steel, records::StartState start, double T) {
  const records::Austenitising& a = steel.austenitising;
  const double time = start == records::StartState::spheroidised ? a.dissolution_time_spheroidised_s
                                                                 : a.dissolution_time_fine_s;
  return math::exp(a.dissolution_energy_J_mol / gas_constant_J_molK *
                   (1.0 / kelvin(a.dissolution_at_degC) - 1.0 / kelvin(T))) /
         time;
}

double ms_high_carbon(const Composition& wt, double carbon_wt) {
  constexpr double meets_wt = 0.8, least_wt = 0.6, most_wt = 1.2; // of carbon, for the term with chromium
  return 569.8 + 584.3 * math::expm1(-0.96 * carbon_wt) - 41.0 * wt.Mn - 17.9 * wt.Si - 5.9 * wt.Cr -
         22.1 * wt.Ni - 20.5 * wt.Mo + 74.9 * (std::clamp(carbon_wt, least_wt, most_wt) - meets_wt) * wt.Cr;
}

double martensite_start_band(const Composition& bulk, double carbon_wt) {
  constexpr double nine_in_ten = 1.84, least_K = 20.9, per_alloy_K = 10.3, per_carbide_carbon_K = 157.0;
  const double alloy = std::max(bulk.Mn + bulk.Cr + bulk.Ni + bulk.Mo + bulk.W - 0.6, 0.0);
  const double in_carbide = std::max(bulk.C - carbon_wt, 0.0);
  return nine_in_ten * math::hypot(least_K, per_alloy_K * alloy, per_carbide_carbon_K * in_carbide);
}

double ms_payson_savage(const Composition& wt, double carbon_wt) {
  return from_fahrenheit(930.0 - 570.0 * carbon_wt - 60.0 * wt.Mn - 50.0 * wt.Cr - 30.0 * wt.Ni -
                         20.0 * (wt.Si + wt.Mo + wt.W));
}

double martensite_start(const SteelRecord& steel, double carbon_wt) {
  return ms_high_carbon(steel.transformation.matrix, carbon_wt) + steel.transformation.ms_offset_K;
}

double martensite_rate(const SteelRecord& steel, double carbon_wt) {
  const auto& t = steel.transformation;
  const double change =
      martensite_rate_van_bohemen(t.matrix, carbon_wt) / martensite_rate_van_bohemen(t.matrix, t.matrix.C);
  return t.km_alpha_per_K * (change * change * change); // no pow(): folded or called, its last bit differs
}

double martensite_share(double ms_degC, double T, double alpha_per_K) {
  return T < ms_degC ? -math::expm1(-alpha_per_K * (ms_degC - T)) : 0.0;
}

} // namespace tq::steel
