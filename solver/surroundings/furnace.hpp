// What the blade sees in the furnace: the true wall temperature over time.
#pragma once

#include <vector>

namespace tq::surroundings {

/// One line of the programme: go to `target` at `rate` (0 = as fast as it will, taken as a step) and stay.
struct ProgrammeStep {
  double target_degC = 0;
  double rate_K_s = 0;
  double hold_s = 0;
};

/// True furnace temperature after the door closes at t = 0. The display reads `true - offset`.
class FurnaceTemperature {
 public:
  /// Hot load: the furnace stands at `setpoint`, sags by `droop_K` at t = 0 and recovers exponentially;
  /// `recovery_s` is the time after which 5 % of the droop is left (the display then counts as recovered).
  static FurnaceTemperature hot(double setpoint_degC, double offset_K, double droop_K, double recovery_s);
  /// As noted by a logger: straight between rows, the last one for ever. Times ascend from 0. It is ready
  /// when it first shows `level`, which counts as its final temperature.
  static FurnaceTemperature logged(const std::vector<double>& time_s, const std::vector<double>& display_degC,
                                   double offset_K, double level_degC);
  /// Cold load: starts at `start_degC` and follows the programme; holds the last target for ever.
  static FurnaceTemperature cold(double start_degC, double offset_K, std::vector<ProgrammeStep> programme);

  /// Adds an overshoot of the controller: from the time the display is ready the temperature swings
  /// `overshoot_K` above the last target, highest after `peak_after_s`, and dies away, t/p exp(1 - t/p).
  void overshoot(double overshoot_K, double peak_after_s);

  double operator()(double t_s) const;
  /// Times at which the slope jumps (to land steps on).
  const std::vector<double>& breakpoints() const { return breakpoints_; }
  /// Corners of programme or log [s], ends included; none of a hot load.
  const std::vector<double>& points_s() const { return time_; }
  /// When the display has recovered (hot) or first reads the highest target (cold) [s].
  double display_ready_s() const { return ready_s_; }
  /// True temperature at the highest target, offset included [degC]; the last one unless it goes down again.
  double final_degC() const { return final_; }

 private:
  double plain(double t_s) const; ///< without overshoot
  double overshoot_ = 0, peak_after_s_ = 1;
  double final_ = 0, last_ = 0, droop_ = 0, decay_per_s_ = 0, ready_s_ = 0;
  std::vector<double> time_, temperature_, breakpoints_;
};

/// Air temperature of a tempering oven that swings about its set point: set + swing sin(2 pi t / period).
double oven_temperature(double set_degC, double swing_K, double period_s, double t_s);

} // namespace tq::surroundings
