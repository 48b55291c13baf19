// The readings of a blade in the form that learning asks for: a figure, its own error, and the same figure of
// a computed blade.
#pragma once

#include "answers/answers.hpp"
#include "shop/learn.hpp"
#include "shop/piece.hpp"

#include <functional>
#include <limits>
#include <string>
#include <vector>

namespace tq::shop {

/// Standard deviations [HRC]: of a tester's own offset, and of one reading beside it.
extern const double tester_offset_HRC, reading_HRC;

/// A computed blade.
struct Made {
  const treatment::Case& c;
  const treatment::Run& run;
  const answers::StationAnswer& answer;
  Pieces& pieces; ///< of its bar, computed when they are asked for
};

/// One reading. Either a value, or (a file) an interval that the figure lies in.
struct Observed {
  static constexpr double infinite = std::numeric_limits<double>::infinity();
  std::string what; ///< with its unit
  double value = 0;
  double from = -infinite, to = infinite;
  double sd = 0;           ///< of its own error
  std::string offset_name; ///< the score of the instrument's offset, empty: none
  double offset = 0;       ///< what one standard deviation of it does to the reading
  std::function<double(const Made&)> predict;

  bool interval() const { return from > -infinite || to < infinite; }
};

/// What a blade was read for and the case can tell. Times are taken as logarithms.
std::vector<Observed> readings_of(const Blade& blade);

} // namespace tq::shop
