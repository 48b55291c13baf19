// The one table of the figures of a computed treatment. A line here is all that a figure needs besides its
// formula: files, pages, bands and FORMAT.md follow. Units in UDUNITS spelling.
#pragma once

#include "answers/answers.hpp"
#include "answers/coarse_case.hpp"
#include "answers/telling.hpp"

#include <limits>
#include <string_view>
#include <vector>

namespace tq::answers {

/// What a number is, so that temperatures and differences of temperature are told apart.
enum class Scale { plain, on_scale, difference };

struct Meaning {
  const char* name;      ///< lower_case_with_underscores, stable
  const char* unit;      ///< UDUNITS
  const char* long_name; ///< one line for people
  Scale scale = Scale::plain;
};

/// How a figure spreads over the draws.
struct Spread {
  static constexpr double inf = std::numeric_limits<double>::infinity();
  bool drawn = false; ///< the figure has a band
  Nature nature = Nature::difference;
  double least = -inf, most = inf;
  bool absent_is_never = false; ///< a time: no value means that it never comes
};

/// Which of several stations or zones counts.
enum class Worst { greatest, least };

/// A figure of a zone (`of_zone`) or of a station (`of_station`); the other function is null.
struct Figure {
  Meaning meaning;
  double (*of_zone)(const ZoneAnswer&) = nullptr;
  double (*of_station)(const StationAnswer&) = nullptr;
  bool of_surface = false;    ///< of the station's surface: a group of its own in the files
  Show show = Show::hidden;   ///< how people are told it
  const char* label = "";     ///< its row in tables of zones or of cases; empty: it has none
  Spread spread;              ///< over the draws
  Worst worst = Worst::least; ///< of several zones or stations
  /// Of a station: what is drawn, where that is finer than what is told.
  double (*drawn)(const StationAnswer&) = nullptr;
  bool (*asked)(const treatment::Case&) = nullptr; ///< false: no row in the tables of this case
};

/// All of them, in the order of the work.
const std::vector<Figure>& figures();
/// The figure of that name of a zone or of a station. Throws std::out_of_range when there is none.
const Figure& figure_of_zone(std::string_view name);
const Figure& figure_of_station(std::string_view name);

/// The figure over all stations: the worst of the finite values; NaN when there is none, or, when `never`
/// says so, as soon as one is missing (never reached is worst of all).
double over_stations(const std::vector<StationAnswer>& stations, std::string_view name, bool never = false);
/// The same as people are told it.
std::string told_of(const std::vector<StationAnswer>& stations, std::string_view name, bool never = false);
/// The zone with the least value of a figure, infinite and missing ones left out; null when there is none.
const ZoneAnswer* least_zone(const std::vector<StationAnswer>& stations, double ZoneAnswer::*figure);

} // namespace tq::answers
