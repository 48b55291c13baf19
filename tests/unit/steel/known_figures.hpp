// Published figures of start curves, critical rates and Ms, and what the model gives beside them.
#pragma once

#include "shipped.hpp"
#include "steel/bare_steel.hpp"
#include "steel/hardness.hpp"
#include "steel/retained_austenite.hpp"
#include "steel/temper.hpp"
#include "steel/transformation.hpp"

#include <array>
#include <cmath>
#include <string>

namespace tq::steel {

struct Known {
  const char* key;
  double nose_from, nose_to, rate_from, rate_to, ms_from, ms_to; ///< 0 where nothing is known
  double ms_carbon;                                              ///< carbon in solution of the known Ms
};
// Isothermal diagrams and critical rates, from memory; the rate of 1095 is that of eutectoid steel with 0.76
// %Mn carried to its analysis by ASTM A255. The Ms of 52100 is that after 845 degC; the diagram does not say
// its carbon, the record's matrix is taken.
inline constexpr std::array<Known, 5> known = {{{"O1", 8, 15, 15, 25, 180, 205, 0.81},
                                                {"1084", 0.8, 1, 140, 200, 220, 220, 0.79},
                                                {"1095", 0.5, 0.8, 280, 400, 215, 220, 0.89},
                                                {"52100", 3, 6, 40, 60, 210, 250, 0.78},
                                                {"5160", 5, 8, 0, 0, 255, 265, 0.60}}};

/// Steels with more alloy than the factors of ASTM A255 were made for: no part in the rule.
inline bool beyond_a255(const std::string& key) { return key == "L6" || key == "O2"; }
/// A record's pearlite factor over what the rule gives, as a logarithm and for one grain (0.32 G of Li 1998).
inline double over_the_rule(const records::SteelRecord& steel) {
  const records::Transformation& t = steel.transformation;
  return std::log(t.pearlite_factor / pearlite_factor_rule(t.matrix)) +
         0.32 * std::log(2.0) * (rule_grain_number - t.grain_number);
}
/// The pearlite factor of a steel by the rule when its level stands on the others.
inline double rule_without(const std::string& left_out) {
  double sum = 0;
  int n = 0;
  for (const auto& [key, steel] : shipped::steels())
    if (key != left_out && !beyond_a255(key)) {
      sum += over_the_rule(steel);
      ++n;
    }
  return pearlite_factor_rule(shipped::steels().at(left_out).transformation.matrix) * std::exp(sum / n);
}

/// Annealed bar soaked at T, cooled to 20 degC with no pearlite or bainite.
struct SoundQuench {
  double carbon = 0, cementite = 0, retained_austenite = 0, hrc = 0;
};
inline SoundQuench sound_quench(const records::SteelRecord& steel, double T, double soak_s) {
  SoundQuench q;
  const double born = born_carbon(steel), full = saturation_carbon(steel, T);
  q.carbon = full - (full - born) *
                        std::exp(-soak_s * dissolution_rate(steel, records::StartState::spheroidised, T));
  q.cementite = undissolved_cementite(steel, q.carbon);
  const double share =
      martensite_share(martensite_start(steel, q.carbon), 20, martensite_rate(steel, q.carbon));
  q.retained_austenite = (1 - q.cementite) * (1 - share);
  q.hrc = hrc_from_hv(mixture_hv({(1 - q.cementite) * share, q.retained_austenite, 0, 0, 0, q.cementite},
                                 martensite_hv(steel, q.carbon), steel.hardness));
  return q;
}

/// Hardness of the reference treatment after one temper, from the shares.
inline double whole_hrc(const records::SteelRecord& steel, const ReferenceShares& s, double T,
                        double hold_s) {
  const TemperResponse response = TemperResponse::of_martensite(steel);
  const Tempered tempered = temper_cycles(T, hold_s, 1, steel.temper.hj_constant_h).back();
  return hrc_from_hv(
      tempered_hv(steel, response, {s.martensite, s.austenite, 0, 0, 0, s.cementite}, s.carbon_wt, tempered));
}

} // namespace tq::steel
