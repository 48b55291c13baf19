#include "surroundings/probe_figures.hpp"

#include <algorithm>
#include <cmath>

namespace tq::surroundings {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

// Time at which the sensor's cubic falls through `degC` between points i and i + 1.
double crossing(const ProbeTrace& trace, std::size_t i, double degC) {
  double low = trace.time_s[i], high = trace.time_s[i + 1];
  for (int n = 0; n < 40 && high - low > 1e-9; ++n) {
    const double middle = 0.5 * (low + high);
    (trace.sensor_at(middle) > degC ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

std::size_t step_through(const ProbeTrace& trace, double degC) {
  for (std::size_t i = 0; i + 1 < trace.size(); ++i)
    if (trace.sensor_degC[i] >= degC && trace.sensor_degC[i + 1] < degC)
      return i;
  return trace.size();
}

// Cooling rate, between the points of the solver linear in time.
double rate_at(const ProbeTrace& trace, std::size_t i, double t_s) {
  const double s = (t_s - trace.time_s[i]) / (trace.time_s[i + 1] - trace.time_s[i]);
  return -((1.0 - s) * trace.sensor_rate_K_s[i] + s * trace.sensor_rate_K_s[i + 1]);
}

} // namespace

double time_to(const ProbeTrace& trace, double degC) {
  const std::size_t i = step_through(trace, degC);
  return i < trace.size() ? crossing(trace, i, degC) : nan;
}

SheetFigures sheet_figures(const ProbeTrace& trace) {
  SheetFigures out;
  out.to_600_s = time_to(trace, 600);
  out.to_400_s = time_to(trace, 400);
  out.to_200_s = time_to(trace, 200);
  if (const std::size_t i = step_through(trace, 300); i < trace.size())
    out.rate_300_K_s = rate_at(trace, i, crossing(trace, i, 300));

  std::size_t top = 0;
  for (std::size_t i = 1; i < trace.size(); ++i)
    if (trace.sensor_rate_K_s[i] < trace.sensor_rate_K_s[top])
      top = i;
  if (top == 0 || top + 1 >= trace.size())
    return out;
  // Parabola through the rates near the top, by least squares: a maximum between two points of the solver,
  // and one that moves smoothly with the curve. Times from the top, in units of the stretch used.
  const double least = 0.985 * -trace.sensor_rate_K_s[top];
  std::size_t from = top - 1, to = top + 1;
  while (from > 0 && -trace.sensor_rate_K_s[from - 1] > least)
    --from;
  while (to + 1 < trace.size() && -trace.sensor_rate_K_s[to + 1] > least)
    ++to;
  const double t_top = trace.time_s[top], unit = trace.time_s[to] - trace.time_s[from];
  double m[5] = {}, v[3] = {}; // moments of time, and with the rate
  for (std::size_t i = from; i <= to; ++i) {
    const double x = (trace.time_s[i] - t_top) / unit, y = -trace.sensor_rate_K_s[i];
    const double weight = 0.5 * (trace.time_s[std::min(i + 1, to)] - trace.time_s[std::max(i, from + 1) - 1]);
    double power = weight;
    for (int k = 0; k < 5; ++k, power *= x) {
      m[k] += power;
      if (k < 3)
        v[k] += power * y;
    }
  }
  // Cramer's rule for a + b x + c x^2
  const double minor0 = m[2] * m[4] - m[3] * m[3], minor1 = m[1] * m[4] - m[2] * m[3],
               minor2 = m[1] * m[3] - m[2] * m[2];
  const double det = m[0] * minor0 - m[1] * minor1 + m[2] * minor2;
  const double a =
      (v[0] * minor0 - m[1] * (v[1] * m[4] - v[2] * m[3]) + m[2] * (v[1] * m[3] - v[2] * m[2])) / det;
  const double b =
      (m[0] * (v[1] * m[4] - v[2] * m[3]) - v[0] * minor1 + m[2] * (m[1] * v[2] - m[2] * v[1])) / det;
  const double c =
      (m[0] * (m[2] * v[2] - m[3] * v[1]) - m[1] * (m[1] * v[2] - m[2] * v[1]) + v[0] * minor2) / det;
  double x = 0, y = -trace.sensor_rate_K_s[top];
  if (c < 0) {
    x = std::clamp(-0.5 * b / c, (trace.time_s[from] - t_top) / unit, (trace.time_s[to] - t_top) / unit);
    y = a + (b + c * x) * x;
  }
  out.max_rate_K_s = y;
  out.max_rate_degC = trace.sensor_at(t_top + unit * x);
  return out;
}

double lumped_htc(const Probe& probe, double sensor_degC, double rate_K_s, double bath_degC) {
  const double shape = probe.shape == records::BodyShape::plate      ? 1.0
                       : probe.shape == records::BodyShape::cylinder ? 2.0
                                                                     : 3.0;
  return probe.density_kg_m3 * probe.specific_heat_J_kgK.value(sensor_degC) * probe.half_thickness_m / shape *
         rate_K_s / (sensor_degC - bath_degC);
}

} // namespace tq::surroundings
