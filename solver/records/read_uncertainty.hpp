// Reads materials/typical_uncertainty.toml.
#pragma once

#include "records/document.hpp"
#include "records/uncertainty_record.hpp"

#include <string>
#include <string_view>

namespace tq::records {

/// Throws InputError.
UncertaintyRecord read_uncertainty(std::string_view text, std::string file);

/// A width of this input as a case or the record may write it: a value with its unit, or a bare number for
/// dimensions without one; a factor is 1 or more, anything else 0 or more.
double read_width(const Node& node, std::string_view key, const UncertainInputRecord& input);
/// The width for people: "+/- 6 K", "a factor 3 either way", "+/- 20 %".
std::string width_text(const UncertainInputRecord& input, double width);

} // namespace tq::records
