#include "steel/decomposition.hpp"

#include "steel/transformation.hpp"
#include "units/math.hpp"
#include "units/temperature.hpp"

#include <algorithm>
#include <cmath>

namespace tq::steel {

namespace {

using records::Composition;
using records::SteelRecord;

double cubed(double x) { return x * x * x; }

// Li et al. 1998: Q = 27 500 cal/mol.
constexpr double li_activation_K = 27500.0 * 4.184 / gas_constant_J_molK;
// Carbon term of ln F: Li's is 4.12, made for up to 0.5 %C. Here that of ASTM A255, meeting Li's at 0.79 %C.
constexpr double pearlite_carbon = 1.35, li_pearlite_carbon = 4.12, as_li_wt = 0.79;
constexpr double li_pearlite_grain = 0.32, li_bainite_grain = 0.29; // n1: rate ~ 2^(n1 G)
// S(0.01) of Li's progress integral (constant printed in two public transcriptions): with it the formulas
// give the time to 1 %. Their own progress after the start is not used.
constexpr double li_start = 0.10434;

// van Bohemen 2012: Bs falls by 270 (1 - exp(-1.33 C)).
constexpr double bs_carbon_K = 270.0, bs_carbon_decay = 1.33;
// The free figures of bainite's start, fitted to 100Cr6 (see the header).
constexpr double bainite_activation_K = 102e3 / gas_constant_J_molK;
const double bainite_K = math::exp(-1.675);
constexpr double nose_below_bs_K = 125.0;
// Kirkaldy & Venugopalan 1984.
constexpr double bainite_carbon_term(double carbon_wt) { return 2.34 + 10.1 * carbon_wt; }
// Hardness of what forms (see the header).
constexpr double pearlite_HV_per_root_K = 26.5, finest_below_K = 115.0, softest_pearlite_HV = 150.0;
constexpr double bainite_HV_per_K = 1.13, bainite_at_degC = 350.0;

/// Alloy's part of Li's ln F.
double li_pearlite_alloy(const Composition& m) {
  return 4.36 * m.Mn + 0.44 * m.Si + 1.71 * m.Ni + 3.33 * m.Cr + 5.19 * std::sqrt(std::max(m.Mo, 0.0));
}

const double log_of_start = math::log1p(-0.01); // ln of what is left at 1 %

} // namespace

std::unique_ptr<const DecompositionLaw> decomposition_law(const SteelRecord& steel,
                                                          double reference_carbon_wt) {
  return std::make_unique<const Decomposition>(steel, reference_carbon_wt);
}

double bainite_start(const Composition& wt, double carbon_wt) {
  return 839.0 - 86.0 * wt.Mn - 23.0 * wt.Si - 67.0 * wt.Cr - 33.0 * wt.Ni - 75.0 * wt.Mo +
         bs_carbon_K * math::expm1(-bs_carbon_decay * carbon_wt);
}

double li_pearlite_delay(const Composition& in_solution) {
  const auto nose_rate = [](double ae1_degC) { // where (Ae1 - T)^3 exp(-Q/RT) is greatest
    const double q = li_activation_K, ae1_K = kelvin(ae1_degC);
    const double nose_K = (std::sqrt(q * q + 12.0 * q * ae1_K) - q) / 6.0;
    return cubed(ae1_K - nose_K) * math::exp(-q / nose_K);
  };
  return math::exp(li_pearlite_alloy(in_solution)) * nose_rate(ae1_grange({})) /
         nose_rate(ae1_grange(in_solution));
}

Decomposition::Decomposition(const SteelRecord& steel, double reference_carbon_wt,
                             std::optional<double> grain_number)
    : carbon_(reference_carbon_wt), grain_(grain_number.value_or(steel.transformation.grain_number)),
      ae1_(ae1_grange(steel.composition)),
      bs_(bainite_start(steel.transformation.matrix, reference_carbon_wt)),
      ms_(martensite_start(steel, reference_carbon_wt)), pearlite_exponent_(steel.phases.pearlite_exponent),
      bainite_exponent_(steel.phases.bainite_exponent), fine_pearlite_HV_(steel.hardness.pearlite_HV),
      bainite_HV_(steel.hardness.bainite_HV) {
  const records::Transformation& t = steel.transformation;
  const Composition& m = t.matrix;
  const double ln_f_pearlite =
      -4.25 + li_pearlite_carbon * as_li_wt + pearlite_carbon * (carbon_ - as_li_wt) + li_pearlite_alloy(m);
  const double f_bainite = bainite_carbon_term(carbon_) * math::exp(0.85 * m.Mn + 0.55 * m.Ni + 0.36 * m.Mo);
  pearlite_scale_ =
      math::exp2(li_pearlite_grain * grain_) * math::exp(-ln_f_pearlite) / (t.pearlite_factor * li_start);
  bainite_scale_ = math::exp2(li_bainite_grain * grain_) / (f_bainite * bainite_K * t.bainite_factor);
}

double Decomposition::start_rate(Product product, double T) const {
  const double top = product == Product::pearlite ? ae1_ : bs_;
  if (T >= top || T <= ms_)
    return 0.0;
  return product == Product::pearlite
             ? pearlite_scale_ * cubed(ae1_ - T) * math::exp(-li_activation_K / kelvin(T))
             : bainite_scale_ * cubed(bs_ - T) * math::exp(-bainite_activation_K / kelvin(T));
}

double Decomposition::fraction(Product product, double clock) const {
  return clock > 0.0 ? -math::expm1(log_of_start * math::pow(clock, exponent(product))) : 0.0;
}

double Decomposition::clock_at(Product product, double share) const {
  return share > 0.0 ? math::pow(math::log1p(-share) / log_of_start, 1.0 / exponent(product)) : 0.0;
}

double Decomposition::carbon_factor(Product product, double carbon_wt) const {
  if (product == Product::pearlite)
    return math::exp(-pearlite_carbon * (carbon_wt - carbon_));
  const double bs_rise =
      bs_carbon_K * (math::exp(-bs_carbon_decay * carbon_wt) - math::exp(-bs_carbon_decay * carbon_));
  return bainite_carbon_term(carbon_) / bainite_carbon_term(carbon_wt) *
         cubed(std::max(0.0, 1.0 + bs_rise / nose_below_bs_K));
}

double Decomposition::grain_factor(Product product, double grain_number) const {
  return math::exp2((product == Product::pearlite ? li_pearlite_grain : li_bainite_grain) *
                    (grain_number - grain_));
}

double Decomposition::hardness_HV(Product product, double T) const {
  if (product == Product::bainite)
    return bainite_HV_ - bainite_HV_per_K * (std::max(T, ms_) - bainite_at_degC);
  const double below = std::clamp(ae1_ - T, 0.0, finest_below_K);
  return std::max(softest_pearlite_HV,
                  fine_pearlite_HV_ -
                      pearlite_HV_per_root_K * (std::sqrt(finest_below_K) - std::sqrt(below)));
}

} // namespace tq::steel
