// Which linear solver a step gets: the product of line solves, cheap, or the whole matrix, sure.
#pragma once

#include <limits>

namespace tq::conduction {

/// Chooses step by step. A step that is long against the time in which heat crosses the section is solved
/// with the whole matrix: the product damps what is fast along and across at once by next to nothing there,
/// and the error estimate does not see it. A shorter one is solved by lines, until a step is rejected: its
/// second attempt, from the same state, is solved with the whole matrix, and when that errs much less for its
/// length the product is to blame and the whole matrix keeps the next steps. So the choice rests on what the
/// product does on this grid, to this material, and costs nothing while it does no harm. No clock is looked
/// at: the same run takes the same steps on any machine.
class SolverChoice {
 public:
  /// `longest` of gamma dt, in crossing times, that may be left to the lines.
  void leave_to_lines(double longest) { longest_ = longest; }
  void begin_step() {
    retry_ = false;
    if (held_ > 0)
      --held_;
  }
  /// True when the attempt of length `gamma_dt` [s] is to be solved with the whole matrix.
  bool whole(double gamma_dt, double crossing_s) {
    gamma_dt_ = gamma_dt;
    trial_ = false;
    const bool again = retry_;
    retry_ = true;
    if (gamma_dt > longest_ * crossing_s || held_ > 0) {
      by_lines_ = 0;
      return true;
    }
    trial_ = again && by_lines_ > 0 && gamma_dt > shortest_trial * crossing_s;
    return trial_;
  }
  /// The attempt had this error, 1 = at tolerance.
  void judged(double error) {
    const double rate = error / (gamma_dt_ * gamma_dt_ * gamma_dt_); // estimates of order 2
    if (trial_) {
      if (by_lines_ > blame * rate)
        held_ = steps_held;
      by_lines_ = 0;
    } else {
      by_lines_ = rate == rate ? rate : std::numeric_limits<double>::infinity();
    }
  }

 private:
  // Found on the shipped cases on grids of one to six times the default's lines: their steps stay within 1.2
  // times those of the default grid, and the quenched bar of the benchmark takes the same steps as by lines.
  static constexpr double shortest_trial = 0.1; ///< crossing times; below, the product is as good
  static constexpr double blame = 3; ///< such an error for the same length costs 1.4 times the steps
  static constexpr int steps_held = 50;

  double longest_ = 1, gamma_dt_ = 0, by_lines_ = 0;
  bool retry_ = false, trial_ = false;
  int held_ = 0;
};

} // namespace tq::conduction
