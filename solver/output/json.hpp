// The answers as one JSON document; every key stands in FORMAT.md.
#pragma once

#include "answers/answers.hpp"
#include "output/extras.hpp"
#include "output/origin.hpp"

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace tq::output {

/// The document's key `bands`.
nlohmann::ordered_json bands_json(const answers::Bands& bands);

/// The document as text, ending in a newline, with the bands and risks of `extras`, by which `a` is judged. A
/// figure that does not exist is null.
std::string answers_json(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                         const answers::Answers& a, const Origin& origin, const Extras& extras = {});
/// The same for a program that writes no files.
std::string answers_json(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                         const answers::Answers& a, const OutputInfo& info, const Extras& extras = {});

} // namespace tq::output
