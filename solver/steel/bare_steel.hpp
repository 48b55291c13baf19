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

/// Factor on Li's pearlite times from composition: exp(2.07 - 2.14 Mn - 1.24 Ni), wt% in the austenite, for a
/// grain of ASTM 9.5 (usual soaks give 8.3 to 10.2). Fitted here by ridge least squares (0.05) to the factors
/// of the eleven shipped steels, which stand on published starts from memory; leaving each steel out, the
/// factor misses by 1.6 (rms) and at most 2.8 (52100). It says that Li's manganese and nickel slow pearlite
/// too much above 0.5 %C.
double pearlite_factor_rule(const records::Composition& matrix);
inline constexpr double rule_grain_number = 9.5;

struct BareSteel {
  records::SteelRecord record;
  std::vector<std::string> outside; ///< what lies outside the steels the rules were found on
};
/// A record made by rules, each with its source in the record's provenance: hardening temperature from the
/// critical temperatures, austenite as dissolves there, the factor above with a band of 4 on the
/// pearlite times, bainite by its law with a band of 5, tempering from the composition model. `phases` is
/// what materials/phases.toml holds.
BareSteel bare_steel(const records::Composition& wt, const records::Phases& phases, const TemperModel& model);

} // namespace tq::steel
