#include "surroundings/probe.hpp"

#include "units/math.hpp"

#include <algorithm>
#include <cmath>

namespace tq::surroundings {

namespace {

// ROS2 with gamma = 1 - 1/sqrt(2): of the two values that make it L-stable the one with the smaller error.
const double gamma_ros2 = 1.0 - std::sqrt(0.5);

constexpr double first_step_s = 5e-4, largest_step_s = 0.25, largest_growth = 1.4;

double hermite(double s, double dt, double y0, double d0, double y1, double d1) {
  const double r = 1.0 - s;
  return r * r * ((1.0 + 2.0 * s) * y0 + s * dt * d0) + s * s * ((1.0 + 2.0 * r) * y1 - r * dt * d1);
}

} // namespace

Probe make_probe(const records::ProbeRecord& record, const records::ProbeBody& body) {
  Probe probe;
  probe.shape = body.shape;
  probe.half_thickness_m = 0.5 * body.thickness_m;
  probe.start_degC = body.start_degC;
  probe.sensor_lag_s = record.sensor_lag_s;
  probe.density_kg_m3 = record.density_kg_m3;
  probe.conductivity_W_mK = {0, 1300, 10, record.conductivity_W_mK};
  probe.specific_heat_J_kgK = {0, 1300, 10, record.specific_heat_J_kgK};
  return probe;
}

double ProbeTrace::sensor_at(double t_s) const {
  if (t_s <= time_s.front())
    return sensor_degC.front();
  if (t_s >= time_s.back())
    return sensor_degC.back();
  const auto after = std::upper_bound(time_s.begin(), time_s.end(), t_s);
  const auto i = static_cast<std::size_t>(after - time_s.begin()) - 1;
  const double dt = time_s[i + 1] - time_s[i];
  return hermite((t_s - time_s[i]) / dt, dt, sensor_degC[i], sensor_rate_K_s[i], sensor_degC[i + 1],
                 sensor_rate_K_s[i + 1]);
}

void ProbeTrace::sensor_at(const std::vector<double>& times_s, std::vector<double>& out) const {
  out.resize(times_s.size());
  std::size_t i = 0;
  for (std::size_t n = 0; n < times_s.size(); ++n) {
    const double t = times_s[n];
    while (i + 2 < time_s.size() && time_s[i + 1] < t)
      ++i;
    if (t <= time_s.front())
      out[n] = sensor_degC.front();
    else if (t >= time_s.back())
      out[n] = sensor_degC.back();
    else {
      const double dt = time_s[i + 1] - time_s[i];
      out[n] = hermite((t - time_s[i]) / dt, dt, sensor_degC[i], sensor_rate_K_s[i], sensor_degC[i + 1],
                       sensor_rate_K_s[i + 1]);
    }
  }
}

ProbeSolver::ProbeSolver(Probe probe, std::size_t intervals, double surface_step_K)
    : probe_(std::move(probe)), surface_step_K_(surface_step_K) {
  const std::size_t n = intervals + 1;
  const double R = probe_.half_thickness_m;
  const double m = probe_.shape == records::BodyShape::plate      ? 0.0
                   : probe_.shape == records::BodyShape::cylinder ? 1.0
                                                                  : 2.0;
  std::vector<double> r(n);
  for (std::size_t i = 0; i < n; ++i)
    r[i] = R * (1.0 - math::pow(1.0 - static_cast<double>(i) / static_cast<double>(intervals), 1.5));
  const auto power = [m](double x) { return math::pow(x, m + 1.0) / (m + 1.0); };
  face_.assign(n, 0.0);
  volume_.assign(n, 0.0);
  double inner = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    const double outer = i + 1 < n ? 0.5 * (r[i] + r[i + 1]) : R;
    if (i + 1 < n)
      face_[i] = math::pow(outer, m) / (r[i + 1] - r[i]);
    volume_[i] = power(outer) - power(inner);
    inner = outer;
  }
  surface_area_ = math::pow(R, m);
  for (auto* v : {&T_, &T1_, &f_, &k1_, &k2_, &conductance_, &per_capacity_, &k_node_, &sup_, &factor_low_,
                  &factor_diag_})
    v->assign(n, 0.0);
}

void ProbeSolver::rates(const std::vector<double>& T, const conduction::UniformTable& h, double bath_degC,
                        std::vector<double>& f) {
  const std::size_t last = T.size() - 1;
  const double rho_c = probe_.density_kg_m3 * c_factor_;
  for (std::size_t i = 0; i <= last; ++i) {
    k_node_[i] = probe_.conductivity_W_mK.value(T[i]);
    per_capacity_[i] = 1.0 / (rho_c * volume_[i] * probe_.specific_heat_J_kgK.value(T[i]));
  }
  double from_inside = 0.0;
  for (std::size_t i = 0; i < last; ++i) {
    conductance_[i] = 0.5 * k_factor_ * (k_node_[i] + k_node_[i + 1]) * face_[i];
    const double outward = conductance_[i] * (T[i] - T[i + 1]);
    f[i] = (from_inside - outward) * per_capacity_[i];
    from_inside = outward;
  }
  f[last] = (from_inside - surface_area_ * h.value(T[last]) * (T[last] - bath_degC)) * per_capacity_[last];
}

// Thomas algorithm on I - gamma dt J; the factors are made by the first call of a step (see run()).
void ProbeSolver::solve(std::vector<double>& x) const {
  const std::size_t last = x.size() - 1;
  for (std::size_t i = 1; i <= last; ++i)
    x[i] -= factor_low_[i] * x[i - 1];
  x[last] *= factor_diag_[last];
  for (std::size_t i = last; i-- > 0;)
    x[i] = (x[i] - sup_[i] * x[i + 1]) * factor_diag_[i];
}

void ProbeSolver::run(const conduction::UniformTable& h, double bath_degC, const ProbeEnd& end,
                      const ProbeDoubt& doubt, ProbeTrace& out) {
  const std::size_t last = T_.size() - 1;
  k_factor_ = doubt.conductivity_factor;
  c_factor_ = doubt.specific_heat_factor;
  const double lag_s = doubt.sensor_lag_s >= 0 ? doubt.sensor_lag_s : probe_.sensor_lag_s;
  const bool lags = lag_s > 1e-6;

  out.time_s.clear();
  out.sensor_degC.clear();
  out.sensor_rate_K_s.clear();
  out.surface_degC.clear();
  std::fill(T_.begin(), T_.end(), probe_.start_degC + doubt.start_shift_K);
  double sensor = T_[0], time = 0.0, dt = first_step_s;

  rates(T_, h, bath_degC, f_);
  for (;;) {
    out.time_s.push_back(time);
    out.sensor_degC.push_back(lags ? sensor : T_[0]);
    out.sensor_rate_K_s.push_back(lags ? (T_[0] - sensor) / lag_s : f_[0]);
    out.surface_degC.push_back(T_[last]);
    if (time >= end.time_s || out.sensor_degC.back() <= end.sensor_degC)
      return;

    const double rate = std::max(std::abs(f_[last]), 1e-9);
    dt = std::min({surface_step_K_ / rate, largest_growth * dt, largest_step_s});
    dt = std::max(dt, 1e-4);
    const double gdt = gamma_ros2 * dt;

    // I - gamma dt J, eliminated once for both stages
    const double surface_slope =
        surface_area_ * (h.value(T_[last]) + h.slope(T_[last]) * (T_[last] - bath_degC));
    double diag_above = 0.0;
    for (std::size_t i = 0; i <= last; ++i) {
      const double g_in = i > 0 ? conductance_[i - 1] : 0.0;
      const double g_out = i < last ? conductance_[i] : surface_slope;
      const double w = gdt * per_capacity_[i];
      double diag = 1.0 + w * (g_in + g_out);
      if (i > 0) {
        factor_low_[i] = -w * g_in * diag_above;
        diag -= factor_low_[i] * sup_[i - 1];
      }
      sup_[i] = i < last ? -w * g_out : 0.0;
      diag_above = 1.0 / diag;
      factor_diag_[i] = diag_above;
    }

    const double sensor_rate = lags ? (T_[0] - sensor) / lag_s : 0.0;
    k1_ = f_;
    solve(k1_);
    const double s1 = lags ? (sensor_rate + gdt / lag_s * k1_[0]) / (1.0 + gdt / lag_s) : 0.0;
    for (std::size_t i = 0; i <= last; ++i)
      T1_[i] = T_[i] + dt * k1_[i];
    rates(T1_, h, bath_degC, k2_);
    for (std::size_t i = 0; i <= last; ++i)
      k2_[i] -= 2.0 * k1_[i];
    solve(k2_);
    if (lags) {
      const double f_sensor = (T1_[0] - (sensor + dt * s1)) / lag_s;
      const double s2 = (f_sensor - 2.0 * s1 + gdt / lag_s * k2_[0]) / (1.0 + gdt / lag_s);
      sensor += dt * (1.5 * s1 + 0.5 * s2);
    }
    for (std::size_t i = 0; i <= last; ++i)
      T_[i] += dt * (1.5 * k1_[i] + 0.5 * k2_[i]);
    time += dt;
    rates(T_, h, bath_degC, f_);
  }
}

ProbeTrace ProbeSolver::run(const SurfaceHtc& h, double bath_degC, const ProbeEnd& end) {
  ProbeTrace trace;
  run(htc_table(h, std::min(0.0, bath_degC), probe_.start_degC + 50), bath_degC, end, {}, trace);
  return trace;
}

conduction::UniformTable htc_table(const SurfaceHtc& h, double from_degC, double to_degC, double step_K) {
  return {from_degC, to_degC, step_K, h};
}

} // namespace tq::surroundings
