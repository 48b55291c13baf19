// Answers to inverse questions, what-if strips and comparisons: as text for the one who does the work and as
// JSON. At most 100 columns, plain ASCII; the JSON keys stand in FORMAT.md.
#pragma once

#include "answers/bands.hpp"
#include "answers/compare.hpp"
#include "answers/find.hpp"
#include "answers/what_if.hpp"

#include <iosfwd>
#include <string>
#include <vector>

namespace tq::output {

/// The setting first, then what it leads to, then what was assumed. `bands` may be null.
void print_finding(std::ostream& out, const answers::Finding& f, const answers::Bands* bands);
std::string finding_json(const answers::Finding& f, const answers::Bands* bands);

/// The questions with what each may be given.
void print_questions(std::ostream& out);
std::string questions_json();

void print_what_if(std::ostream& out, const treatment::Case& c,
                   const std::vector<answers::WhatIfStrip>& strips);
std::string what_if_json(const treatment::Case& c, const std::vector<answers::WhatIfStrip>& strips);

void print_comparison(std::ostream& out, const treatment::Case& c, const answers::Comparison& comparison);
std::string comparison_json(const treatment::Case& c, const answers::Comparison& comparison);

/// "26 min", "3.5 s", "205 degC (401 degF)", "0.55 mm (0.022 in)", "8 L (2.1 US gal)", "2".
std::string setting_text(const answers::Setting& s);

} // namespace tq::output
