#include "treatment/trace.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tq::treatment {

namespace {

double slope(const std::vector<double>& t, const std::vector<double>& y, std::size_t i) {
  const auto secant = [&](std::size_t a) {
    const double dt = t[a + 1] - t[a];
    return dt > 0 ? (y[a + 1] - y[a]) / dt : 0.0;
  };
  if (t.size() < 2)
    return 0;
  if (i == 0)
    return secant(0);
  if (i + 1 == t.size())
    return secant(i - 1);
  const double left = secant(i - 1), right = secant(i);
  if (left * right <= 0)
    return 0;
  const double dl = t[i] - t[i - 1], dr = t[i + 1] - t[i];
  const double w1 = 2 * dr + dl, w2 = dr + 2 * dl; // weighted harmonic mean keeps the interpolant monotone
  return (w1 + w2) / (w1 / left + w2 / right);
}

double between(const std::vector<double>& time, const std::vector<double>& value, std::size_t i, double t) {
  const double dt = time[i + 1] - time[i];
  if (dt <= 0)
    return value[i + 1];
  const double w = (t - time[i]) / dt, w2 = w * w, w3 = w2 * w;
  return (2 * w3 - 3 * w2 + 1) * value[i] + (3 * w2 - 2 * w3) * value[i + 1] +
         dt * ((w3 - 2 * w2 + w) * slope(time, value, i) + (w3 - w2) * slope(time, value, i + 1));
}

double crossing(const std::vector<double>& time, const std::vector<double>& value, std::size_t i,
                double level) {
  double a = time[i], b = time[i + 1];
  const bool rising = value[i + 1] > value[i];
  for (int k = 0; k < 60 && b - a > 1e-12 * (1 + std::abs(b)); ++k) {
    const double m = 0.5 * (a + b);
    ((between(time, value, i, m) < level) == rising ? a : b) = m;
  }
  return 0.5 * (a + b);
}

} // namespace

double trace_value(const std::vector<double>& time, const std::vector<double>& value, double t) {
  if (t <= time.front())
    return value.front();
  if (t >= time.back())
    return value.back();
  const auto i = static_cast<std::size_t>(std::upper_bound(time.begin(), time.end(), t) - time.begin()) - 1;
  return between(time, value, i, t);
}

double first_rise(const std::vector<double>& time, const std::vector<double>& value, double level,
                  double from, double to) {
  for (std::size_t i = 0; i < time.size(); ++i) {
    if (time[i] < from - 1e-9 || time[i] > to + 1e-9)
      continue;
    if (value[i] >= level)
      return i > 0 && time[i - 1] >= from - 1e-9 && value[i - 1] < level ? crossing(time, value, i - 1, level)
                                                                         : time[i];
  }
  return std::numeric_limits<double>::quiet_NaN();
}

double last_fall(const std::vector<double>& time, const std::vector<double>& value, double level, double from,
                 double to) {
  for (std::size_t i = time.size(); i-- > 0;) {
    if (time[i] < from - 1e-9 || time[i] > to + 1e-9 || value[i] < level)
      continue;
    if (i + 1 >= time.size() || time[i + 1] > to + 1e-9)
      break;
    return value[i] > level ? crossing(time, value, i, level) : time[i];
  }
  return std::numeric_limits<double>::quiet_NaN();
}

} // namespace tq::treatment
