// Which reading of the next blade would tell most about a figure of the blades after it.
#pragma once

#include "answers/figures.hpp"
#include "shop/learn.hpp"

#include <string>
#include <vector>

namespace tq::shop {

/// A reading that could be taken.
struct NextReading {
  std::string what; ///< "a bare thermocouple in the packet, logged"
  std::string cost; ///< in plain words
  double left = 1;  ///< width of the figure's band afterwards, as a share of that now
};

struct Plan {
  double now = 0;                    ///< half of the figure's 90 % band now
  std::vector<NextReading> readings; ///< the one that narrows most first
};

/// For the figure of the case as the shop knows it (`belief`; the case as stated). One round of draws; what
/// each reading leaves follows in closed form, since to a linear fit it is no matter what will be read.
/// Throws std::invalid_argument when the figure is none, or none of the coarse grid; treatment::SolverError.
Plan plan_next(const treatment::Case& stated, const Belief& belief, const std::string& bar,
               const std::string& figure, answers::Executor& executor,
               const answers::Executor::GoOn& go_on = {});

} // namespace tq::shop
