#include "treatment/time_above.hpp"

#include <algorithm>

namespace tq::treatment {

void TimeAbove::begin(double level_degC) {
  level_ = level_degC;
  known_ = 0;
}

double TimeAbove::crossing(double from, double to, double before, double after, std::size_t node) const {
  // Values much closer together than the step is long would carry their own errors far into it. Steps of the
  // solver grow by up to four.
  constexpr double least_gap = 1.0 / 8;
  const double dt = to - from, chord = (after - before) / dt;
  double second = 0, third = 0, t1 = from; // Newton's divided differences
  if (known_ > 0 && from - earlier_[0].time >= least_gap * dt) {
    t1 = earlier_[0].time;
    const double y1 = earlier_[0].value[node], slope1 = (before - y1) / (from - t1);
    second = (chord - slope1) / (to - t1);
    if (known_ > 1 && t1 - earlier_[1].time >= least_gap * dt) {
      const double t2 = earlier_[1].time, slope2 = (y1 - earlier_[1].value[node]) / (t1 - t2);
      third = (second - (slope1 - slope2) / (from - t2)) / (to - t2);
    }
  }
  const bool rising = after > before;
  double low = from, high = to;
  constexpr int halvings = 30; // a step of hours to the microsecond
  for (int k = 0; k < halvings; ++k) {
    const double t = 0.5 * (low + high);
    const double value = before + (t - from) * (chord + (t - to) * (second + (t - t1) * third));
    ((value >= level_) == rising ? high : low) = t;
  }
  return 0.5 * (low + high);
}

void TimeAbove::step(double from, double to, const std::vector<double>& before,
                     const std::vector<double>& after, std::vector<double>& seconds) {
  if (!counts() || !(to > from))
    return;
  for (std::size_t i = 0; i < after.size(); ++i) {
    const bool was = before[i] >= level_, is = after[i] >= level_;
    if (was && is)
      seconds[i] += to - from;
    else if (is)
      seconds[i] += to - crossing(from, to, before[i], after[i], i);
    else if (was)
      seconds[i] += crossing(from, to, before[i], after[i], i) - from;
  }
  std::swap(earlier_[0], earlier_[1]);
  earlier_[0].time = from;
  earlier_[0].value = before;
  known_ = std::min(known_ + 1, 2);
}

} // namespace tq::treatment
