// Small tools for text that people read: folding to a width, escaping; how figures are told:
// answers/telling.hpp.
#pragma once

#include "answers/telling.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace tq::output {

using units::formatted, units::lower_case, units::upper_case;

/// Columns that what is printed keeps to.
inline constexpr std::size_t page_width = 100;

/// Number of columns a UTF-8 text takes (code points; wide characters are not looked up).
std::size_t columns(std::string_view text);
/// Text padded with blanks on the right (left when `right_aligned`) to `width` columns.
std::string padded(std::string_view text, std::size_t width, bool right_aligned = false);
/// Folds at blanks so that no line is wider than `width`; a longer word is cut. At least one line.
std::vector<std::string> folded(std::string_view text, std::size_t width);

/// The text with broken UTF-8 replaced by U+FFFD and control characters other than newline and tab by blanks;
/// with `keep_controls` only NUL is replaced.
std::string clean_utf8(std::string_view text, bool keep_controls = false);
/// For XML text and attribute values.
std::string xml_escaped(std::string_view text);

using answers::band_text, answers::cools_text, answers::difference_text, answers::half_seconds_down,
    answers::half_seconds_up, answers::hours_text, answers::hrc_pair, answers::hrc_range_text,
    answers::hrc_text, answers::length_text, answers::minutes_text, answers::minutes_up,
    answers::percent_text, answers::seconds_set, answers::temperature_text, answers::times_text,
    answers::volume_text;

} // namespace tq::output
