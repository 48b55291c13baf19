// Hardness along the end-quenched bar of ASTM A255, one small diagram for each steel.
#pragma once

#include "output/drawings.hpp"
#include "steel/bar_quench.hpp"

#include <string>
#include <vector>

namespace tq::output {

/// What is drawn of one steel.
struct EndQuenchCurve {
  std::string name;
  steel::EndQuench usual, shallow, deep; ///< with the starts as they are, and at either end of their doubt
  double half_hardened_m = 0;            ///< where half has hardened; NaN: not along the bar
  std::vector<steel::PublishedHardness> published;
};

/// A whole picture: one curve large, several in rows of three.
Drawing draw_end_quench(const std::vector<EndQuenchCurve>& steels);

} // namespace tq::output
