// Small tools for text that people read: formatting, folding to a width, escaping.
#pragma once

#include "units/text.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace tq::output {

using units::formatted;

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

std::string lower_case(std::string_view ascii);
std::string upper_case(std::string_view ascii);

// Figures for people. NaN becomes "-".

/// "800 degC (1472 degF)"
std::string temperature_text(double degC);
/// A temperature difference: "10 K (18 degF)"
std::string difference_text(double K);
/// "3.20 mm (0.126 in)"; below 0.1 mm "25 um (0.001 in)"
std::string length_text(double m);
/// "8 L (2.1 US gal)"
std::string volume_text(double m3);
/// A furnace time that is a setting: whole minutes, rounded up.
std::string minutes_up(double s);
/// A furnace time that is a result, to 0.1 min.
std::string minutes_text(double s);
/// A quench time that must be at least this: half seconds, rounded up.
std::string half_seconds_up(double s);
/// A quench time that may be at most this: half seconds, rounded down.
std::string half_seconds_down(double s);
/// A tempering time: "2 h", "1 h 30 min", "45 min".
std::string hours_text(double s);
/// Rockwell C to the nearest 0.5; "below 20" and "above 68" outside the scale.
std::string hrc_text(double hrc);
/// "60.5 to 61.5 HRC +/- 1", one figure when both ends read the same; the band is rounded up to 0.5.
std::string hrc_range_text(double least, double most, double band);
/// Band of a hardness, rounded up to 0.5 and at least 0.5: "+/- 1".
std::string band_text(double band_hrc);
/// Share as per cent: "0.3 %", "12 %", "< 0.1 %".
std::string percent_text(double share);

} // namespace tq::output
