// A coupon: a flat piece of the bar that goes through furnace and oil as the blade does.
#pragma once

#include "treatment/case.hpp"
#include "treatment/run.hpp"

#include <map>

namespace tq::shop {

/// What a piece may measure across [m]; thinner ones are foil, thicker ones are none of a blade's bar.
inline constexpr double thinnest_piece_m = 0.5e-3, thickest_piece_m = 25e-3;

/// The case of a piece of this thickness [m] in the place of the blade, to the end of its cooling.
treatment::Case piece_case(const treatment::Case& blade, double thickness_m);

/// The pieces that were computed beside one blade, each once.
class Pieces {
 public:
  const treatment::Run& run(const treatment::Case& blade, double thickness_m);

 private:
  std::map<double, treatment::Run> runs_;
};

} // namespace tq::shop
