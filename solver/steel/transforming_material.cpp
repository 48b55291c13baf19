#include "steel/transforming_material.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tq::steel {

namespace {
constexpr double table_from = -200, table_to = 1300;
constexpr double full_clock = 40; ///< exp(-40): nothing left

/// The Koistinen-Marburger curve starts with a corner at Ms; over this half width about Ms it is rounded, so
/// that the capacity does not jump (numerical choice; the share formed is unchanged from Ms - onset_K on).
constexpr double onset_K = 4;

/// Undercooling below Ms that counts, rounded at its start, and its slope.
struct Undercooling {
  double value, slope;
};
Undercooling undercooling(double below_ms) {
  if (below_ms >= onset_K)
    return {below_ms, 1};
  if (below_ms <= -onset_K)
    return {0, 0};
  const double s = below_ms + onset_K;
  return {s * s / (4 * onset_K), s / (2 * onset_K)};
}
/// Inverse of undercooling().value.
double below_ms_of(double value) {
  return value >= onset_K ? value : 2 * std::sqrt(onset_K * value) - onset_K;
}

double base_of(const records::PhaseProperties& upper, const records::PhaseProperties& lower,
               double upper_base, double at, double latent) {
  // base of `lower` so that upper(at) - lower(at) = latent
  return upper_base + (upper.c0 - lower.c0) * at + 0.5 * (upper.c1 - lower.c1) * at * at - latent;
}
} // namespace

TransformingMaterial::TransformingMaterial(const records::SteelRecord& steel, records::StartState start,
                                           std::size_t nodes)
    : steel_(steel), start_(start), born_(born_carbon(steel)), alpha_(steel.transformation.km_alpha_per_K),
      decomposition_(steel, saturation_carbon(steel, 0.5 * (steel.austenitising.hardening_from_degC +
                                                            steel.austenitising.hardening_to_degC))) {
  const auto& p = steel.phases;
  // ferrite and pearlite have base 0
  base_austenite_ = base_of(p.pearlite, p.austenite, bell(p.latent_pearlite_at_degC),
                            p.latent_pearlite_at_degC, -p.latent_pearlite_J_kg);
  base_bainite_ =
      base_of(p.austenite, p.pearlite, base_austenite_, p.latent_bainite_at_degC, p.latent_bainite_J_kg);
  base_martensite_ = base_of(p.austenite, p.martensite, base_austenite_, p.latent_martensite_at_degC,
                             p.latent_martensite_J_kg);
  const auto table = [](const auto& f) { return conduction::UniformTable(table_from, table_to, 1.0, f); };
  austenite_rate_ = table([&](double T) { return steel::austenite_rate(steel_, T); });
  dissolution_rate_ = table([&](double T) { return steel::dissolution_rate(steel_, start_, T); });
  saturation_ = table([&](double T) { return saturation_carbon(steel_, T); });
  pearlite_rate_ = table([&](double T) { return decomposition_.pearlite_rate(T); });
  bainite_rate_ = table([&](double T) { return decomposition_.bainite_rate(T); });
  for (auto* v : {&austenite_, &martensite_, &bainite_, &pearlite_, &cementite_, &formed_})
    v->assign(nodes, 0);
  ferrite_.assign(nodes, 1);
  carbon_.assign(nodes, born_);
  pearlite_left_.assign(nodes, 1);
  bainite_left_.assign(nodes, 1);
  pearlite_factor_.assign(nodes, 1);
  bainite_factor_.assign(nodes, 1);
  ms_.assign(nodes, martensite_start(steel_, born_));
  martensite_below_.assign(nodes, -1e9);
  on_curve_.assign(nodes, 0);
  matrix_.assign(nodes, 1 - undissolved_cementite(steel_, born_));
  clock_before_.assign(2 * nodes, 0);
}

void TransformingMaterial::austenitise(double T) {
  const double C = saturation_carbon(steel_, T);
  const double undissolved = undissolved_cementite(steel_, C);
  for (std::size_t n = 0; n < ferrite_.size(); ++n) {
    formed_[n] = 1;
    carbon_[n] = C;
    matrix_[n] = 1 - undissolved;
    cementite_[n] = undissolved;
    austenite_[n] = matrix_[n];
    ferrite_[n] = martensite_[n] = bainite_[n] = pearlite_[n] = 0;
  }
}

void TransformingMaterial::begin(TransformMode mode, double* clock) {
  const std::size_t nodes = ferrite_.size();
  if (mode == TransformMode::cooling && mode_ == TransformMode::cooling)
    return; // the clocks of an earlier cooling stage go on
  mode_ = mode;
  for (std::size_t n = 0; n < nodes; ++n) {
    clock[n] = clock[nodes + n] = 0;
    if (mode == TransformMode::heating) {
      clock[n] = formed_[n] >= 1 ? full_clock : -std::log1p(-formed_[n]);
    } else if (mode == TransformMode::cooling) {
      pearlite_left_[n] = bainite_left_[n] = 1;
      clock_before_[n] = clock_before_[nodes + n] = 0;
      pearlite_factor_[n] = decomposition_.pearlite_carbon_factor(carbon_[n]);
      bainite_factor_[n] = decomposition_.bainite_carbon_factor(carbon_[n]);
      ms_[n] = martensite_start(steel_, carbon_[n]);
      on_curve_[n] = 0;
      take_martensite_point(n);
    }
  }
}

void TransformingMaterial::take_martensite_point(std::size_t n) {
  const double available = austenite_[n] + martensite_[n];
  if (available < 1e-9) {
    martensite_below_[n] = -1e9;
    return;
  }
  const double left = austenite_[n] / available;
  martensite_below_[n] = left > 0 ? ms_[n] - below_ms_of(-std::log(left) / alpha_) : -1e9;
}

double TransformingMaterial::bell(double T) const {
  const auto& p = steel_.phases;
  const double w = p.curie_peak_degC - p.curie_from_degC;
  if (T <= p.curie_from_degC || w <= 0)
    return 0;
  const double s = (T - p.curie_from_degC) / w; // triangle of c, area 1 over 0..2
  if (s < 1)
    return p.curie_heat_J_kg * 0.5 * s * s;
  if (s < 2)
    return p.curie_heat_J_kg * (1 - 0.5 * (2 - s) * (2 - s));
  return p.curie_heat_J_kg;
}

double TransformingMaterial::bell_capacity(double T) const {
  const auto& p = steel_.phases;
  const double w = p.curie_peak_degC - p.curie_from_degC;
  if (T <= p.curie_from_degC || w <= 0)
    return 0;
  const double s = (T - p.curie_from_degC) / w;
  return s < 2 ? p.curie_heat_J_kg / w * (s < 1 ? s : 2 - s) : 0;
}

TransformingMaterial::Now TransformingMaterial::shares_at(std::size_t n, const double* clock,
                                                          std::size_t nodes) const {
  Now s{austenite_[n], martensite_[n], bainite_[n], pearlite_[n] + ferrite_[n] + cementite_[n]};
  if (mode_ == TransformMode::heating) {
    // below Ac1 and after the end the committed shares stand
    if (clock[n] > 0 && formed_[n] < 1 - 1e-12) {
      s.austenite = -std::expm1(-clock[n]) * matrix_[n];
      s.ferritic = 1 - s.austenite;
    }
  } else if (mode_ == TransformMode::cooling && s.austenite > 0 &&
             (clock[n] > clock_before_[n] || clock[nodes + n] > clock_before_[nodes + n])) {
    const double left_before = pearlite_left_[n] * bainite_left_[n];
    const double p = 1 - li_fraction(clock[n]), b = 1 - li_fraction(clock[nodes + n]);
    if (left_before > 1e-9 && p * b < left_before) {
      const double lost = s.austenite * (1 - p * b / left_before);
      const double by_pearlite = -std::log(std::max(p, 1e-12) / pearlite_left_[n]);
      const double by_bainite = -std::log(std::max(b, 1e-12) / bainite_left_[n]);
      const double share = by_pearlite + by_bainite > 0 ? by_bainite / (by_pearlite + by_bainite) : 0;
      s.austenite -= lost;
      s.bainite += share * lost;
      s.ferritic += (1 - share) * lost;
    }
  }
  return s;
}

TransformingMaterial::Mixture TransformingMaterial::mix(const Now& s) const {
  const auto& p = steel_.phases;
  const double f = s.ferritic + s.bainite;
  return {s.austenite * base_austenite_ + s.martensite * base_martensite_ + s.bainite * base_bainite_,
          s.austenite * p.austenite.c0 + s.martensite * p.martensite.c0 + f * p.pearlite.c0,
          s.austenite * p.austenite.c1 + s.martensite * p.martensite.c1 + f * p.pearlite.c1,
          f,
          s.austenite * p.austenite.k0 + s.martensite * p.martensite.k0 + f * p.pearlite.k0,
          s.austenite * p.austenite.k1 + s.martensite * p.martensite.k1 + f * p.pearlite.k1};
}

bool TransformingMaterial::martensite_moves(std::size_t n, double T) const {
  return mode_ == TransformMode::cooling &&
         (T < martensite_below_[n] || (on_curve_[n] && T < ms_[n] + onset_K));
}

double TransformingMaterial::martensite_at(std::size_t n, const Now& s, double T) const {
  if (mode_ != TransformMode::cooling || T >= martensite_below_[n])
    return s.martensite;
  const double available = s.austenite + s.martensite;
  return std::max(s.martensite, available * martensite_share(undercooling(ms_[n] - T).value, 0, alpha_));
}

double TransformingMaterial::enthalpy(std::size_t n, double T) const {
  const Mixture m =
      mix({austenite_[n], martensite_[n], bainite_[n], pearlite_[n] + ferrite_[n] + cementite_[n]});
  return m.base + T * (m.c0 + 0.5 * m.c1 * T) + m.bell * bell(T);
}

void TransformingMaterial::evaluate(const double* u, const double* clock, std::size_t nodes, double* T,
                                    double* k, double* rate) {
  const auto& p = steel_.phases;
  const double step_base = base_martensite_ - base_austenite_;
  const double step_c0 = p.martensite.c0 - p.austenite.c0, step_c1 = p.martensite.c1 - p.austenite.c1;
  const double step_k0 = p.martensite.k0 - p.austenite.k0, step_k1 = p.martensite.k1 - p.austenite.k1;
  for (std::size_t n = 0; n < nodes; ++n) {
    const Now s = shares_at(n, clock, nodes);
    const Mixture m = mix(s);
    double t = std::clamp(T[n], table_from, table_to);
    double grown = 0;
    for (int iteration = 0; iteration < 40; ++iteration) {
      double h = m.base + t * (m.c0 + 0.5 * m.c1 * t) + m.bell * bell(t);
      double c = m.c0 + m.c1 * t + m.bell * bell_capacity(t);
      grown = 0;
      if (martensite_moves(n, t)) {
        const double available = s.austenite + s.martensite;
        const Undercooling below = undercooling(ms_[n] - t);
        const double left = std::exp(-alpha_ * below.value);
        grown = available * (1 - left) - s.martensite;
        const double step = step_base + t * (step_c0 + 0.5 * step_c1 * t);
        h += grown * step;
        c += grown * (step_c0 + step_c1 * t) - alpha_ * below.slope * available * left * step;
      }
      const double dt = (u[n] - h) / c;
      t += dt;
      if (std::abs(dt) < 1e-5) // quadratic convergence: the error left is far smaller
        break;
      if (!(std::abs(t) < 1e5)) {
        t = std::numeric_limits<double>::quiet_NaN(); // the stepper rejects the step
        break;
      }
    }
    T[n] = t;
    k[n] = m.k0 + m.k1 * t + grown * (step_k0 + step_k1 * t);
    if (!(t == t))
      T[n] = 20; // a sane guess for the next call; k carries the NaN
    switch (mode_) {
    case TransformMode::heating:
      rate[n] = clock[n] < full_clock ? austenite_rate_.value(T[n]) : 0;
      rate[nodes + n] = 0;
      break;
    case TransformMode::cooling: {
      const bool left = s.austenite > 1e-6;
      rate[n] = left ? pearlite_rate_.value(T[n]) * pearlite_factor_[n] : 0;
      rate[nodes + n] = left ? bainite_rate_.value(T[n]) * bainite_factor_[n] : 0;
      break;
    }
    case TransformMode::still:
      rate[n] = rate[nodes + n] = 0;
      break;
    }
  }
}

void TransformingMaterial::capacity(const double*, const double* clock, const double* T, std::size_t nodes,
                                    double* c, double* clock_heat_K) {
  const auto& p = steel_.phases;
  for (std::size_t n = 0; n < nodes; ++n) {
    const Now s = shares_at(n, clock, nodes);
    const Mixture m = mix(s);
    const double t = T[n];
    c[n] = m.c0 + m.c1 * t + m.bell * bell_capacity(t);
    if (martensite_moves(n, t)) {
      const Undercooling below = undercooling(ms_[n] - t);
      const double available = s.austenite + s.martensite, left = std::exp(-alpha_ * below.value);
      const double step = base_martensite_ - base_austenite_ + t * (p.martensite.c0 - p.austenite.c0) +
                          0.5 * t * t * (p.martensite.c1 - p.austenite.c1);
      const double grown = available * (1 - left) - s.martensite;
      c[n] += grown * (p.martensite.c0 - p.austenite.c0 + t * (p.martensite.c1 - p.austenite.c1)) -
              alpha_ * below.slope * available * left * step;
    }
    const double latent = (base_austenite_ + t * (p.austenite.c0 - p.pearlite.c0) +
                           0.5 * t * t * (p.austenite.c1 - p.pearlite.c1)) /
                          c[n];
    switch (mode_) {
    case TransformMode::heating:
      clock_heat_K[n] = latent * std::exp(-std::max(clock[n], 0.0));
      clock_heat_K[nodes + n] = 0;
      break;
    case TransformMode::cooling:
      clock_heat_K[n] = latent * s.austenite * li_fraction_slope(clock[n]);
      clock_heat_K[nodes + n] = latent * s.austenite * li_fraction_slope(clock[nodes + n]);
      break;
    case TransformMode::still:
      clock_heat_K[n] = clock_heat_K[nodes + n] = 0;
      break;
    }
  }
}

void TransformingMaterial::commit(const double* clock, const double* T, const double* T_mean,
                                  std::size_t nodes, double dt) {
  if (mode_ == TransformMode::still)
    return;
  for (std::size_t n = 0; n < nodes; ++n) {
    if (mode_ == TransformMode::heating) {
      const double formed = -std::expm1(-std::max(clock[n], 0.0));
      if (formed > 1e-9) {
        // new austenite brings the carbon it is born with; the rest dissolves on towards saturation
        const double before = formed_[n];
        if (formed > before)
          carbon_[n] = (before * carbon_[n] + (formed - before) * born_) / formed;
        const double target = saturation_.value(T_mean[n]);
        if (target > carbon_[n])
          carbon_[n] += (target - carbon_[n]) * -std::expm1(-dissolution_rate_.value(T_mean[n]) * dt);
        formed_[n] = std::max(before, formed);
      }
      matrix_[n] = 1 - undissolved_cementite(steel_, carbon_[n]);
      austenite_[n] = formed_[n] * matrix_[n];
      cementite_[n] = formed_[n] * (1 - matrix_[n]);
      ferrite_[n] = 1 - formed_[n];
    } else {
      const Now s = shares_at(n, clock, nodes);
      const double bainite_gain = s.bainite - bainite_[n];
      const double pearlite_gain = s.ferritic - (pearlite_[n] + ferrite_[n] + cementite_[n]);
      const double martensite = martensite_at(n, s, T[n]);
      on_curve_[n] = martensite > martensite_[n] && T[n] < T_mean[n];
      austenite_[n] = std::max(0.0, s.austenite - (martensite - s.martensite));
      martensite_[n] = martensite;
      bainite_[n] += bainite_gain;
      pearlite_[n] += pearlite_gain;
      clock_before_[n] = clock[n];
      clock_before_[nodes + n] = clock[nodes + n];
      pearlite_left_[n] = std::max(1 - li_fraction(clock[n]), 0.0);
      bainite_left_[n] = std::max(1 - li_fraction(clock[nodes + n]), 0.0);
      take_martensite_point(n);
    }
  }
}

} // namespace tq::steel
