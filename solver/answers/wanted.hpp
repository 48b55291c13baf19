// What the case wishes of each zone, hard or soft, against what the quench left.
#pragma once

#include "answers/answers.hpp"

#include <algorithm>
#include <string>

namespace tq::answers {

/// With less austenite [share of the matrix] when pulled a zone counts as turned altogether: what it is was
/// there before, and no quench hardens it.
inline constexpr double least_austenite_to_quench = 0.05;

inline bool nothing_to_quench(const ZoneAnswer& z) { return z.austenite < least_austenite_to_quench; }
/// In no zone of any station.
inline bool nothing_to_quench(const Answers& a) {
  return std::all_of(a.stations.begin(), a.stations.end(), [](const StationAnswer& s) {
    return std::all_of(s.zones.begin(), s.zones.end(),
                       [](const ZoneAnswer& z) { return nothing_to_quench(z); });
  });
}

/// Of a zone of a station, by their numbers.
inline treatment::Wanted wanted_of(const treatment::Case& c, std::size_t station, std::size_t zone) {
  return c.wanted_zones(station)[zone];
}

/// "60 to 62 HRC", with "; ricasso 50 to 54 HRC" for each station that is to be other; "" without a wish.
std::string wish_text(const treatment::Case& c);

/// "hard", "soft", "either"
const char* wanted_name(treatment::Wanted wanted);

/// Verdict on the share of pearlite and bainite in a zone. To be hard: pass up to `transformed_pass`,
/// marginal up to `transformed_marginal`. To stay soft: pass from `soft_least` on, marginal above
/// `transformed_marginal`, below that it hardened against the wish. Neither wished: not asked. NaN: not
/// asked.
Verdict zone_verdict(const treatment::Case& c, treatment::Wanted wanted, double transformed);

} // namespace tq::answers
