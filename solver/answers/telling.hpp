// How figures are told to people: one wording and one rounding for each kind, whoever prints it. Limits are
// rounded to their safe side. What does not exist (NaN) is "-".
#pragma once

#include "units/text.hpp"

#include <string>

namespace tq::answers {

/// The kinds of figures that people are shown.
enum class Show {
  hidden,            ///< in files only
  temperature,       ///< whole degC with degF behind
  at_most_degC,      ///< a limit not to be passed: whole degrees, down
  difference,        ///< K, degF behind
  place,             ///< mm to a tenth
  length,            ///< mm to a hundredth, inches behind; below 0.1 mm in um
  at_least_length,   ///< the same in steps of 0.01 mm, up
  minutes,           ///< a furnace time that is a result: 0.1 min
  minutes_or_never,  ///< the same; what does not exist never comes
  minutes_up,        ///< a furnace time that must be at least this
  minutes_down,      ///< a furnace time that may be at most this
  seconds,           ///< a result: 0.1 s below 10 s
  half_seconds_up,   ///< a quench time that must be at least this
  half_seconds_down, ///< a quench time that may be at most this
  pause_up,          ///< a wait: whole minutes, up, told in hours and minutes
  share,             ///< "0.3 %", "12 %", "< 0.1 %"
  weight_percent,    ///< "0.62 %"
  rockwell,          ///< HRC to the nearest half
  times,             ///< a ratio: "3.4 x", "over 20 x"
  count,             ///< whole, down
  grams,             ///< ounces behind
  at_least_volume,   ///< litres in steps of a half, up
  grain,             ///< ASTM number, whole
};

/// The figure as people are told it, with its unit.
std::string told(Show show, double value);

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
/// Seconds that are set, as set: "0.7 s", "12 s".
std::string seconds_set(double s);
/// A quench time that must be at least this: half seconds, rounded up.
std::string half_seconds_up(double s);
/// A quench time that may be at most this: half seconds, rounded down.
std::string half_seconds_down(double s);
/// A tempering time: "2 h", "1 h 30 min", "45 min".
std::string hours_text(double s);
/// Rockwell C to the nearest 0.5; "below 20" and "above 68" outside the scale.
std::string hrc_text(double hrc);
/// "60.5 to 61.5", one figure when both ends read the same.
std::string hrc_pair(double least, double most);
/// "60.5 to 61.5 HRC +/- 1"; the band is rounded up to 0.5.
std::string hrc_range_text(double least, double most, double band);
/// Band of a hardness, rounded up to 0.5 and at least 0.5: "+/- 1".
std::string band_text(double band_hrc);
/// Share as per cent: "0.3 %", "12 %", "< 0.1 %".
std::string percent_text(double share);
/// Cooling margin, times the rate that the steel needs: "3.4 x", "over 20 x".
std::string times_text(double ratio);
/// The same in words: "cools 3.4 x as fast as it needs".
std::string cools_text(double ratio);

} // namespace tq::answers
