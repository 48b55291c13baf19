// A flat piece of the bar that goes through furnace and oil beside the blade: a coupon with a thermocouple in
// it, or one place of a wedge.
#pragma once

#include "treatment/case.hpp"
#include "treatment/run.hpp"

#include <map>
#include <optional>

namespace tq::shop {

/// What a piece may measure across [m]; thinner ones are foil, thicker ones are none of a blade's bar.
inline constexpr double thinnest_piece_m = 0.5e-3, thickest_piece_m = 25e-3;

/// The case of a piece of this thickness [m] in the place of the blade, to the end of its cooling.
treatment::Case piece_case(const treatment::Case& blade, double thickness_m);

/// Its middle after the quench.
struct PieceEnd {
  double turned = 0; ///< share of pearlite and bainite
  double clock = 0;  ///< the greater of the two Scheil sums of the 1 % start
};
PieceEnd piece_end(const treatment::Run& run);

/// Scheil sum of the 1 % start with which half of a piece of this thickness turns: the bath of the case is
/// made faster or slower until it does. Nothing where a sixteenth or sixteen times its heat transfer does
/// not.
std::optional<double> clock_of_half(const treatment::Case& blade, double thickness_m);
/// Thickness [m] of the piece of which half turns; nothing where none from a half to 25 mm does.
std::optional<double> thickness_of_half(const treatment::Case& blade);

/// The pieces that were computed beside one blade, each once.
class Pieces {
 public:
  const treatment::Run& run(const treatment::Case& blade, double thickness_m);

 private:
  std::map<double, treatment::Run> runs_;
};

} // namespace tq::shop
