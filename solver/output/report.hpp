// The result of a case as one page of its own: no network, no server; readable without scripts, on paper and
// by a screen reader.
#pragma once

#include "answers/answers.hpp"
#include "answers/bands.hpp"
#include "answers/what_if.hpp"
#include "output/origin.hpp"

#include <string>
#include <vector>

namespace tq::output {

/// What a page may show besides the plain answers; null where it was not computed.
struct Extras {
  const answers::Bands* bands = nullptr;
  const std::vector<answers::WhatIfStrip>* what_if = nullptr;
};

/// The HTML document. Figures are drawn as SVG; the script only switches units, moves through time and reads
/// off.
std::string report_html(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                        const answers::Answers& a, const Origin& origin, const Extras& extras = {});

} // namespace tq::output
