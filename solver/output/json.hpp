// The answers as one JSON document; every key stands in FORMAT.md.
#pragma once

#include "answers/answers.hpp"
#include "answers/bands.hpp"
#include "output/origin.hpp"

#include <string>

namespace tq::output {

/// The document as text, ending in a newline; `bands`: null when they were not computed. A figure that does
/// not exist is null.
std::string answers_json(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                         const answers::Answers& a, const Origin& origin,
                         const answers::Bands* bands = nullptr);
/// The same for a program that writes no files.
std::string answers_json(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                         const answers::Answers& a, const OutputInfo& info,
                         const answers::Bands* bands = nullptr);

} // namespace tq::output
