// The shop sheet: one page of paper, A4 or US Letter, black and white, to be read at arm's length and written
// on.
#pragma once

#include "answers/answers.hpp"
#include "output/extras.hpp"
#include "output/origin.hpp"

#include <string>
#include <vector>

namespace tq::output {

/// The HTML document, without any script.
std::string sheet_html(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                       const answers::Answers& a, const Origin& origin, const Extras& extras = {});

} // namespace tq::output
