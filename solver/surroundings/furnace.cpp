#include "surroundings/furnace.hpp"

#include "units/math.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace tq::surroundings {

FurnaceTemperature FurnaceTemperature::hot(double setpoint_degC, double offset_K, double droop_K,
                                           double recovery_s) {
  FurnaceTemperature furnace;
  furnace.final_ = furnace.last_ = setpoint_degC + offset_K;
  if (droop_K != 0.0 && recovery_s > 0.0) {
    furnace.droop_ = droop_K;
    furnace.decay_per_s_ = math::log(20.0) / recovery_s; // 5 % left after `recovery_s`
    furnace.ready_s_ = recovery_s;
  }
  return furnace;
}

FurnaceTemperature FurnaceTemperature::cold(double start_degC, double offset_K,
                                            std::vector<ProgrammeStep> programme) {
  FurnaceTemperature furnace;
  double t = 0.0;
  double T = start_degC, last_change = 0.0;
  bool moved = false; // final_ is the hottest level that a line has led to
  furnace.time_.push_back(t);
  furnace.temperature_.push_back(T);
  // A step change stands as two points at the same time; the later one holds from there on.
  const auto go_to = [&](double time, double temperature) {
    furnace.time_.push_back(time);
    furnace.temperature_.push_back(temperature);
  };
  for (const ProgrammeStep& step : programme) {
    const double target = step.target_degC + offset_K; // the true temperature when the display reads it
    if (target != T) {
      if (step.rate_K_s != 0.0)
        t += std::abs(target - T) / std::abs(step.rate_K_s);
      go_to(t, target);
      T = target;
      if (!moved || T >= furnace.final_) {
        moved = true;
        furnace.final_ = T;
        furnace.ready_s_ = t;
      }
      last_change = t;
    }
    if (step.hold_s > 0.0) {
      t += step.hold_s;
      go_to(t, T);
    }
  }
  if (!moved)
    furnace.final_ = T;
  furnace.last_ = T;

  // The slope jumps at every point but the door's closing and those inside or at the end of the last hold.
  for (std::size_t n = 1; n < furnace.time_.size(); ++n) {
    const double time = furnace.time_[n];
    const bool seen = !furnace.breakpoints_.empty() && furnace.breakpoints_.back() == time;
    if (time > 0.0 && time <= last_change && !seen)
      furnace.breakpoints_.push_back(time);
  }
  return furnace;
}

FurnaceTemperature FurnaceTemperature::logged(const std::vector<double>& time_s,
                                              const std::vector<double>& display_degC, double offset_K,
                                              double level_degC) {
  FurnaceTemperature furnace;
  furnace.time_ = time_s;
  for (const double T : display_degC)
    furnace.temperature_.push_back(T + offset_K);
  const auto ready = std::find_if(display_degC.begin(), display_degC.end(),
                                  [level_degC](double T) { return T >= level_degC; });
  furnace.final_ = level_degC + offset_K;
  furnace.last_ = furnace.temperature_.back();
  furnace.ready_s_ = ready == display_degC.end()
                         ? time_s.back()
                         : time_s[static_cast<std::size_t>(ready - display_degC.begin())];
  furnace.breakpoints_.assign(time_s.begin() + 1, time_s.end());
  return furnace;
}

void FurnaceTemperature::overshoot(double overshoot_K, double peak_after_s) {
  overshoot_ = overshoot_K;
  peak_after_s_ = peak_after_s;
  const bool seen = std::find(breakpoints_.begin(), breakpoints_.end(), ready_s_) != breakpoints_.end();
  if (overshoot_ != 0 && ready_s_ > 0 && !seen)
    breakpoints_.insert(std::upper_bound(breakpoints_.begin(), breakpoints_.end(), ready_s_), ready_s_);
}

double FurnaceTemperature::operator()(double t_s) const {
  const double past = (t_s - ready_s_) / peak_after_s_;
  return plain(t_s) + (overshoot_ != 0 && past > 0 ? overshoot_ * past * math::exp(1 - past) : 0.0);
}

double FurnaceTemperature::plain(double t_s) const {
  if (time_.empty())
    return final_ - droop_ * math::exp(-decay_per_s_ * std::max(t_s, 0.0));
  const auto after = std::upper_bound(time_.begin(), time_.end(), std::max(t_s, 0.0));
  if (after == time_.end())
    return last_;
  const auto n = static_cast<std::size_t>(after - time_.begin());
  const double share = (std::max(t_s, 0.0) - time_[n - 1]) / (time_[n] - time_[n - 1]);
  return temperature_[n - 1] + share * (temperature_[n] - temperature_[n - 1]);
}

double oven_temperature(double set_degC, double swing_K, double period_s, double t_s) {
  if (swing_K == 0.0 || period_s <= 0.0)
    return set_degC;
  return set_degC + swing_K * math::sin(2.0 * std::numbers::pi * t_s / period_s);
}

} // namespace tq::surroundings
