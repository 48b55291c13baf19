// The result of a case as one page of its own: no network, no server; readable without scripts, on paper and
// by a screen reader.
#pragma once

#include "answers/answers.hpp"
#include "output/extras.hpp"
#include "output/origin.hpp"

#include <string>
#include <vector>

namespace tq::output {

/// The HTML document. Figures are drawn as SVG; the script only switches units, moves through time and reads
/// off.
std::string report_html(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                        const answers::Answers& a, const Origin& origin, const Extras& extras = {});

} // namespace tq::output
