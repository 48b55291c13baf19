#include "steel/reading.hpp"

#include "units/math.hpp"

#include <cmath>
#include <limits>
#include <numbers>

namespace tq::steel {

namespace {
constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr int pieces = 2000; // of the width: 0.1 mm on the widest section
} // namespace

FileFeel file_feel(double hrc) {
  if (hrc >= file_skates_HRC)
    return FileFeel::skates;
  return hrc >= file_bites_HRC ? FileFeel::just_skates : FileFeel::bites;
}

const char* file_feel_name(FileFeel feel) {
  switch (feel) {
  case FileFeel::skates:
    return "skates";
  case FileFeel::just_skates:
    return "just skates";
  case FileFeel::bites:
    return "bites";
  }
  return "";
}

double rockwell_depth(double hrc) { return (100.0 - hrc) * 2e-6; }

double least_thickness_for_rockwell(double hrc) { return 10.0 * rockwell_depth(hrc); }

RockwellPlaces rockwell_places(const section::Profile& profile, double hrc) {
  RockwellPlaces places;
  places.least_thickness_m = least_thickness_for_rockwell(hrc);
  places.thick_enough = places.valid = {none, none};
  const double from = rockwell_rim_m, to = profile.width() - rockwell_rim_m;
  if (!(to > from))
    return places;
  const double step = (to - from) / pieces, steepest = math::tan(most_taper_deg * std::numbers::pi / 180.0);
  const auto longest = [&](auto holds) {
    Stretch best{none, none};
    double begin = none;
    for (int i = 0; i < pieces; ++i) {
      const double x = from + step * i;
      if (!holds(x, x + step)) {
        begin = none;
        continue;
      }
      if (std::isnan(begin))
        begin = x;
      if (!best.exists() || x + step - begin > best.to_m - best.from_m)
        best = {begin, x + step};
    }
    return best;
  };
  const auto thick = [&](double a, double b) {
    return profile.thickness_at(a) >= places.least_thickness_m &&
           profile.thickness_at(b) >= places.least_thickness_m;
  };
  places.thick_enough = longest(thick);
  places.valid = longest([&](double a, double b) {
    return thick(a, b) && std::abs(profile.thickness_at(b) - profile.thickness_at(a)) <= steepest * (b - a);
  });
  return places;
}

} // namespace tq::steel
