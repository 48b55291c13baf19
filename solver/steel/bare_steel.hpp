// A steel of which nothing but the composition is known.
#pragma once

#include "records/steel_record.hpp"
#include "steel/temper_model.hpp"

#include <string>
#include <vector>

namespace tq::steel {

/// Factor on Li's pearlite times from composition: exp(1.60 - 1.94 Mn - 1.04 Ni), wt% in the austenite.
/// Fitted here by ridge least squares (0.05) to the factors of the eleven shipped steels, which stand on
/// published starts from memory; leaving each steel out, the factor misses by 1.6 (rms) and at most 2.6
/// (80CrV2). It says that Li's manganese and nickel slow pearlite too much above 0.5 %C.
double pearlite_factor_rule(const records::Composition& matrix);
/// Factor on Li's bainite times: exp(-10.18 (C - 0.47)) above 0.47 %C, 1 below: the rule of the shipped
/// alloyed steels (see materials/README.md), a factor 5 either way.
double bainite_factor_rule(double carbon_wt);

struct BareSteel {
  records::SteelRecord record;
  std::vector<std::string> outside; ///< what lies outside the steels the rules were found on
};
/// A record made by rules, each with its source in the record's provenance: hardening temperature from the
/// critical temperatures, austenite as dissolves there, the two factors above with a band of 4 on the
/// pearlite times, tempering from the composition model. `phases` is what materials/phases.toml holds.
BareSteel bare_steel(const records::Composition& wt, const records::Phases& phases, const TemperModel& model);

} // namespace tq::steel
