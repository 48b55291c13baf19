// A steel of which nothing but the composition is known.
#pragma once

#include "records/steel_record.hpp"
#include "steel/temper_model.hpp"

#include <array>
#include <string>
#include <vector>

namespace tq::steel {

/// An element of an analysis and how much of it [wt%] the formulas bear at all (assumption, no source); where
/// they are good is told by BareSteel::outside.
struct AnalysedElement {
  const char* symbol;
  double records::Composition::*share;
  double least_wt, most_wt;
};
inline constexpr std::array<AnalysedElement, 11> analysed_elements = {
    {{"C", &records::Composition::C, 0.1, 1.6},
     {"Mn", &records::Composition::Mn, 0, 3},
     {"Si", &records::Composition::Si, 0, 3},
     {"Cr", &records::Composition::Cr, 0, 3},
     {"Ni", &records::Composition::Ni, 0, 5},
     {"Mo", &records::Composition::Mo, 0, 1},
     {"V", &records::Composition::V, 0, 1},
     {"W", &records::Composition::W, 0, 2},
     {"Cu", &records::Composition::Cu, 0, 1},
     {"P", &records::Composition::P, 0, 0.2},
     {"S", &records::Composition::S, 0, 0.4}}};
/// "C 0.95 Mn 0.4": the elements that are there, in wt%.
std::string analysis_text(const records::Composition& wt);

/// Factor on Li's pearlite times from what is in solution [wt%], for a grain of ASTM 9.5 (usual soaks
/// give 8.3 to 10.2): alloy puts off pearlite by the square of its factors on the ideal diameter in ASTM A255
/// instead of by li_pearlite_delay() (vanadium left out, its carbide holds it), and one level is fitted here,
/// the mean logarithm of nine shipped steels, whose factors stand on published starts from memory. Leaving
/// each out it misses its factor by 1.17 (rms) and at most 1.32 times. L6 and O2, with more alloy than A255
/// was made for, take no part: there it gives 0.24 and 0.50 of their own times.
double pearlite_factor_rule(const records::Composition& matrix);
/// A factor either way on the times by that rule: 2.5, which is what start curves differ by (2, between melts
/// and books), what the rule misses left-out steels by (1.29 in nine of ten) and the factors of ASTM A255
/// (good to a fifth of the diameter, from memory), as root of the squares of the logarithms, 2.3, rounded up;
/// 5 for steel so deep (over 100 mm by ASTM A255) that its factors were not made for it. It holds the eleven
/// shipped steels, each left out; 2.5 alone would hold ten.
double pearlite_rule_band(const records::Composition& matrix);
inline constexpr double rule_grain_number = 9.5, pearlite_rule_level = 1.32;
inline constexpr const char* pearlite_rule_source = "alloy as in ASTM A255 (its diameters squared, from "
                                                    "memory), the level fitted here to nine shipped steels";

struct BareSteel {
  records::SteelRecord record;
  std::vector<std::string> outside; ///< what lies outside the steels the rules were found on
};
/// A record made by rules, each with its source in the record's provenance: hardening temperature from the
/// critical temperatures, austenite as dissolves there, the factor above with its band on the
/// pearlite times, bainite by its law with a band of 5, tempering from the composition model. `phases` is
/// what materials/phases.toml holds.
BareSteel bare_steel(const records::Composition& wt, const records::Phases& phases, const TemperModel& model);

} // namespace tq::steel
