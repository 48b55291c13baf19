// The figures and verdicts that a sweep keeps of each case, and what has to be worked out for them.
#pragma once

#include "answers/bands.hpp"
#include "answers/figures.hpp"
#include "answers/risks.hpp"
#include "sweep/plan.hpp"

#include <string>
#include <vector>

namespace tq::sweep {

/// What is worked out of a case beside its run.
struct Needs {
  bool margins = false;    ///< many short quenches: transfer to spare
  bool surface = false;    ///< skin, scale, grinding
  bool metallurgy = false; ///< austenite after tempering, gain by cold, grinding flash
  bool risks = false;      ///< bow, crack, oil, edge
};

/// What a column holds of the draws.
enum class Aspect { stated, low, middle, high, passing };

struct Column {
  std::string
      name; ///< of its dataset: "hardness_tempered", "zone.rate_margin", "verdict_quench", "bath_end_low"
  std::string unit, long_name;
  answers::Scale scale = answers::Scale::plain;
  const answers::Figure* figure = nullptr; ///< null: a verdict
  std::string verdict;                     ///< its key, of a verdict
  Aspect aspect = Aspect::stated;
  bool by_zone = false;    ///< one value for each zone
  bool by_station = false; ///< one for each station; a verdict is one of the whole blade

  std::size_t width(std::size_t stations) const;
};

/// Verdicts in files, as a number.
inline constexpr const char* verdict_words = "pass marginal fail not_asked";

/// The columns that the plan wants. A figure is called by its name in figures(); where zones and the station
/// both have one of that name it is the station's, and "zone.rate_margin" the zones'. Throws
/// records::InputError.
std::vector<Column> columns_of(const Plan& plan);

Needs needs_of(const std::vector<Column>& columns, int draws);

/// Number of values in a row.
std::size_t row_width(const std::vector<Column>& columns, std::size_t stations);

/// The values of one case, column by column, station by station, zone by zone. `bands` where there were
/// draws, `risks` where a column needs them.
std::vector<double> values_of(const std::vector<Column>& columns, const answers::Answers& judged,
                              const answers::Bands* bands, const answers::Risks* risks);

} // namespace tq::sweep
