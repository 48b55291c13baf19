#include "steel/skin.hpp"

#include "conduction/for_every_processor.hpp"
#include "units/math.hpp"
#include "units/temperature.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace tq::steel {

namespace {

constexpr double calorie_gas_constant = 1.987; // [cal/mol K], as the constants of Tibbetts are given
constexpr double wuestite_from_degC = 570.0;

constexpr std::size_t nodes = 150;
constexpr double first_m = 0.4e-6, growth = 1.04; // reaches 3.5 mm
constexpr double step_share = 0.02;               // growth of the diffusion time per step
constexpr double step_K = 4.0;

/// Tibbetts' diffusivity is that at no carbon times exp(steepness * carbon).
constexpr double steepness_at_inf = -1.6, steepness_cal_mol = 6600.0;

/// flow[i] = scale exp(steepness (c - centre)) / h[i], c carbon in the middle of interval i; the exponential
/// as the fourth power of its series at a quarter, good to 1e-9 up to exp(3).
TQ_FOR_EVERY_PROCESSOR(void, diffusive_flows,
                       (std::size_t intervals, const double* __restrict carbon, double centre,
                        double steepness, double scale, const double* __restrict inverse_h,
                        double* __restrict flow),
                       (intervals, carbon, centre, steepness, scale, inverse_h, flow)) {
  const double half = 0.125 * steepness, from = 0.25 * steepness * centre;
  for (std::size_t i = 0; i < intervals; ++i) {
    const double y = half * (carbon[i] + carbon[i + 1]) - from;
    double e = 1.0 + y * (1.0 / 11.0);
    e = 1.0 + y * (1.0 / 10.0) * e;
    e = 1.0 + y * (1.0 / 9.0) * e;
    e = 1.0 + y * (1.0 / 8.0) * e;
    e = 1.0 + y * (1.0 / 7.0) * e;
    e = 1.0 + y * (1.0 / 6.0) * e;
    e = 1.0 + y * (1.0 / 5.0) * e;
    e = 1.0 + y * (1.0 / 4.0) * e;
    e = 1.0 + y * (1.0 / 3.0) * e;
    e = 1.0 + y * 0.5 * e;
    e = 1.0 + y * e;
    const double squared = e * e;
    flow[i] = scale * inverse_h[i] * (squared * squared);
  }
}

/// Carbon over depth below the moving surface. Deeper than carbon has moved nothing is computed.
class CarbonProfile {
 public:
  explicit CarbonProfile(double carbon_wt) : bulk_(carbon_wt) {
    double h = first_m;
    for (std::size_t i = 1; i < nodes; ++i, h *= growth) {
      x_[i] = x_[i - 1] + h;
      inverse_h_[i - 1] = 1.0 / (x_[i] - x_[i - 1]);
    }
    for (std::size_t i = 1; i + 1 < nodes; ++i)
      inverse_width_[i] = 1.0 / (x_[i + 1] - x_[i - 1]);
    carbon_.fill(carbon_wt);
  }

  /// One implicit step at T. `open`: the surface has no carbon; otherwise none leaves. Returns the carbon
  /// lost [wt% m].
  double step(double T, double dt, double recession_m, bool open) {
    const std::array<double, nodes> before = carbon_;
    double lost = 0.0, emptied = 0.0;
    if (open) {
      emptied = carbon_[0] * 0.5 * x_[1]; // the half cell at the surface
      carbon_[0] = 0.0;
    }
    for (int sweep = 0; sweep < 2; ++sweep)
      lost = solve(before, T, dt, recession_m, open);
    while (reach_ + 1 < nodes && bulk_ - carbon_[reach_ - margin] > untouched * bulk_)
      ++reach_;
    return lost + emptied;
  }

  double surface() const { return carbon_[0]; }
  double depth_to(double share) const {
    const double level = share * bulk_;
    for (std::size_t i = nodes; i-- > 0;)
      if (carbon_[i] < level)
        return i + 1 == nodes
                   ? x_[i]
                   : x_[i] + (x_[i + 1] - x_[i]) * (level - carbon_[i]) / (carbon_[i + 1] - carbon_[i]);
    return 0.0;
  }

 private:
  double solve(const std::array<double, nodes>& before, double T, double dt, double recession, bool open) {
    std::array<double, nodes> flow; // D dt / h of the interval above node i
    const double centre = 0.5 * bulk_;
    diffusive_flows(reach_, carbon_.data(), centre,
                    steepness_at_inf + steepness_cal_mol / (calorie_gas_constant * kelvin(T)),
                    carbon_diffusivity(centre, T) * dt, inverse_h_.data(), flow.data());
    std::array<double, nodes> upper, right;
    upper[0] = right[0] = 0.0;
    if (!open) {
      const double a = flow[0] / (0.5 * x_[1]);
      upper[0] = -a / (1.0 + a);
      right[0] = before[0] / (1.0 + a);
    }
    for (std::size_t i = 1; i < reach_; ++i) {
      const double per_width = inverse_width_[i];
      const double a = 2.0 * flow[i - 1] * per_width, b = 2.0 * flow[i] * per_width;
      const double drift = recession * per_width;
      const double per_pivot = 1.0 / (1.0 + a + b - (drift - a) * upper[i - 1]);
      upper[i] = (-b - drift) * per_pivot;
      right[i] = (before[i] - (drift - a) * right[i - 1]) * per_pivot;
    }
    carbon_[reach_] = bulk_;
    for (std::size_t i = reach_; i-- > 0;)
      carbon_[i] = right[i] - upper[i] * carbon_[i + 1];
    // out by diffusion; the metal that scales away at an open surface holds no carbon
    return open ? flow[0] * (carbon_[1] - carbon_[0]) : 0.0;
  }

  /// So much less than the bar's carbon, so many nodes above the last one computed, is as good as none.
  static constexpr double untouched = 1e-10;
  static constexpr std::size_t margin = 4;
  double bulk_;
  std::size_t reach_ = 16; ///< the node from which on there is as much carbon as in the bar
  std::array<double, nodes> x_{}, inverse_h_{}, inverse_width_{}, carbon_{};
};

} // namespace

double carbon_diffusivity(double carbon_wt, double T) {
  return 0.47e-4 *
         math::exp(-1.6 * carbon_wt - (37000.0 - 6600.0 * carbon_wt) / (calorie_gas_constant * kelvin(T)));
}

double film_rate(double T) {
  return T < wuestite_from_degC ? 0 : scale_on_carbon_steel * scale_on_carbon_steel * scale_constant(T);
}

double emissivity_under(double film_m, double bright, double scaled) {
  return bright + (scaled - bright) * (1 - math::exp(-film_m / darkening_film_m));
}

double film_of(double emissivity, double bright, double scaled) {
  constexpr double least_left = 1e-6; // of the way to scaled: 14 darkening films
  const double left = std::clamp((scaled - emissivity) / (scaled - bright), least_left, 1.0);
  return -darkening_film_m * math::log(left);
}

double scale_constant(double T) { return 6.1e-4 * math::exp(-169452.0 / (gas_constant_J_molK * kelvin(T))); }

Skin skin_over(const std::vector<SkinPoint>& history, const SkinSettings& settings) {
  CarbonProfile profile(settings.carbon_wt);
  const double packet = settings.packet_skin_m * settings.carbon_wt; // [wt% m]
  double scale_squared = 0.0, lost_in_foil = 0.0, lost = 0.0;
  // Diffusion time D t since the surface last changed its state; steps are a share of it, so that each new
  // boundary layer is resolved.
  double since_change = 0.0;
  int state = -1;
  const auto metal = [&](double squared) {
    return settings.scale_factor * iron_in_scale * std::sqrt(squared);
  };
  for (std::size_t k = 0; k + 1 < history.size(); ++k) {
    const SkinPoint &a = history[k], &b = history[k + 1];
    const double span = b.time_s - a.time_s, rise = b.T_degC - a.T_degC;
    if (!(span > 0.0) || std::max(a.T_degC, b.T_degC) <= wuestite_from_degC)
      continue;
    const double pace = a.cover == Cover::painted ? painted_share_of_time : 1.0;
    for (double done = 0.0; done < span;) {
      const double T = a.T_degC + rise * done / span;
      const bool open = a.cover != Cover::foil || lost_in_foil < packet;
      const int now = a.cover == Cover::foil ? (open ? 1 : 2) : 0;
      if (now != state) {
        state = now;
        since_change = 0.0;
      }
      const double D = carbon_diffusivity(settings.carbon_wt, T) * pace;
      const double most = step_share * since_change + 0.25 * first_m * first_m;
      double dt = std::min(span - done, most / D);
      if (std::abs(rise) * dt > step_K * span)
        dt = step_K * span / std::abs(rise);
      const double middle = a.T_degC + rise * (done + 0.5 * dt) / span;
      const double metal_before = metal(scale_squared);
      if (a.cover != Cover::foil && middle > wuestite_from_degC)
        scale_squared += scale_constant(middle) * dt * pace;
      if (middle > settings.austenite_from_degC) {
        const double out = profile.step(middle, dt * pace, metal(scale_squared) - metal_before, open);
        lost += out;
        if (a.cover == Cover::foil)
          lost_in_foil += out;
        since_change += D * dt;
      }
      done = span - done - dt <= 1e-12 * span ? span : done + dt;
    }
  }
  Skin skin;
  skin.soft_m = profile.depth_to(0.5);
  skin.affected_m = profile.depth_to(0.9);
  skin.affected_97_m = profile.depth_to(0.97);
  skin.surface_carbon = profile.surface();
  skin.scale_m = settings.scale_factor * std::sqrt(scale_squared);
  skin.metal_lost_m = metal(scale_squared);
  skin.carbon_lost_m = settings.carbon_wt > 0.0 ? lost / settings.carbon_wt : 0.0;
  return skin;
}

double packet_skin(double carbon_wt, double density_kg_m3, double air_m3_m2) {
  constexpr double pressure_Pa = 101325.0, room_degC = 20.0, oxygen_share = 0.2095;
  constexpr double carbon_kg_mol = 12.011e-3, carbon_per_oxygen = 2.0; // 2 C + O2 = 2 CO
  const double oxygen_mol_m3 = oxygen_share * pressure_Pa / (gas_constant_J_molK * kelvin(room_degC));
  return air_m3_m2 * oxygen_mol_m3 * carbon_per_oxygen * carbon_kg_mol / (0.01 * carbon_wt * density_kg_m3);
}

GrindAllowance grind_allowance(const Skin& skin, const EdgeWishes& wishes) {
  GrindAllowance out;
  out.grind_per_side_m = skin.affected_m;
  const double for_skin =
      2.0 * (skin.metal_lost_m + skin.affected_m + wishes.finish_stock_m) + wishes.finished_edge_m;
  out.least_edge_m = std::max(for_skin, wishes.least_to_harden_m);
  out.governs =
      for_skin > wishes.least_to_harden_m ? GrindAllowance::Governs::skin : GrindAllowance::Governs::floor;
  return out;
}

} // namespace tq::steel
