// How warm a bath may get: one limit, wherever it is told.
#pragma once

#include "treatment/case.hpp"

#include <string>

namespace tq::answers {

/// A bath that rises further has changed too much between the first and the last blade; common practice, no
/// source.
inline constexpr double most_bath_rise_K = 20;

struct BathLimit {
  double degC = 0; ///< infinite where nothing limits it
  std::string by;  ///< "its usual window ends", "it smokes", "it is 28 K below its flash point"
};

/// Above which no blade should go into the bath: the lowest of the end of its usual window, its smoke
/// temperature and its flash point less `flash_margin_K`.
BathLimit bath_limit(const treatment::Bath& bath, double flash_margin_K);
/// The same along a row of blades: at most `most_bath_rise_K` above the fresh bath, too, or above where its
/// usual window begins when it is colder than that.
BathLimit row_limit(const treatment::Bath& bath, double flash_margin_K);

} // namespace tq::answers
