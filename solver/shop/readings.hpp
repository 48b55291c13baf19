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

/// Standard deviations [HRC]: of a tester's own offset, of one reading beside it, and of what is written on a
/// test block.
extern const double tester_offset_HRC, reading_HRC, block_HRC;
/// Standard deviation of the mean of some readings beside each other [HRC], the tester's offset left out.
double mean_reading_HRC(int dents);

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
  std::string common;      ///< what else moves it and all readings of this blade that name it; empty: nothing
  double common_sd = 0;    ///< by so much
  std::string offset_name; ///< the score of the instrument's offset, empty: none
  double offset = 0;       ///< what one standard deviation of it does to the reading
  std::function<double(const Made&)> predict;

  bool interval() const { return from > -infinite || to < infinite; }
};

/// Covariance of the errors of two readings of one blade beside the offsets of their instruments; `same`:
/// they are one.
double error_covariance(const Observed& a, const Observed& b, bool same);

/// Standard deviation of what stays of a thermocouple's error [K].
extern const double couple_offset_K;

/// What a blade was read for and the case can tell. Times are taken as logarithms.
std::vector<Observed> readings_of(const Blade& blade);

} // namespace tq::shop
