// How long each node has been at or above a level, counted over the steps of a solver.
#pragma once

#include <array>
#include <limits>
#include <vector>

namespace tq::treatment {

/// Temperatures [degC] come in at the ends of steps. Inside a step that crosses the level the temperature is
/// taken as the cubic through its last four values, or fewer where there are not as many or where they lie
/// too close together to carry one: in a slow furnace a step lasts minutes, and its chord would be seconds
/// off.
class TimeAbove {
 public:
  /// Counts from here on; infinite: counts nothing.
  void begin(double level_degC);
  /// The surroundings have changed abruptly: what was before tells nothing about the curve that follows.
  void jumped() { known_ = 0; }
  bool counts() const { return level_ < std::numeric_limits<double>::infinity(); }
  /// A step from time `from` to `to` [s], with the nodes' temperatures at both ends; adds to `seconds` of
  /// each node.
  void step(double from, double to, const std::vector<double>& before, const std::vector<double>& after,
            std::vector<double>& seconds);

 private:
  /// Time in the step at which the node passes the level.
  double crossing(double from, double to, double before, double after, std::size_t node) const;

  struct Values {
    double time = 0;
    std::vector<double> value;
  };
  double level_ = std::numeric_limits<double>::infinity();
  std::array<Values, 2> earlier_; ///< those before the step's beginning, the later one first
  int known_ = 0;                 ///< how many of them there are
};

} // namespace tq::treatment
