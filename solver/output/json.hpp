// The answers as one JSON document; every key stands in FORMAT.md.
#pragma once

#include "answers/answers.hpp"
#include "output/extras.hpp"
#include "output/origin.hpp"

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>

namespace tq::output {

/// A number, null where there is none or no end to it.
nlohmann::ordered_json number(double value);
/// The document as text, ending in a newline; what is no UTF-8 is replaced.
std::string json_text(const nlohmann::ordered_json& document);
/// The same in one line, without a newline.
std::string json_line(const nlohmann::ordered_json& document);
/// The document in a text, discarded (`is_discarded()`) where it is none.
nlohmann::ordered_json parsed_json(std::string_view text);

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
