#include "steel/grain.hpp"

#include "steel/transformation.hpp"
#include "units/math.hpp"
#include "units/temperature.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tq::steel {

using units::formatted;

namespace {

using records::SteelRecord;

constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr double growth_exponent = 1.0 / 0.211;
constexpr double vanadium_that_pins = 0.08, vanadium_grain = 15e-6, vanadium_pins_to_degC = 900.0;
constexpr double grain_step_s = 2.0, grain_step_K = 2.0;

/// Shares and grain under way, kept so that each law is integrated in the variable in which it is plain.
class Soak {
 public:
  Soak(const SteelRecord& steel, records::StartState start)
      : steel_(steel), start_(start), born_(born_carbon(steel)), carbon_(born_),
        grown_(grain_power(grain_as_formed)) {}

  void step(double T, double dt) {
    const double before = formed();
    formed_ += std::max(0.0, austenite_equilibrium(steel_, T) - before) *
               -math::expm1(-austenite_rate(steel_, T) * dt);
    const double after = formed();
    if (after < 1e-9)
      return;
    carbon_ = (before * carbon_ + (after - before) * born_) / after;
    const double target = saturation_carbon(steel_, T);
    if (target > carbon_)
      carbon_ += (target - carbon_) * -math::expm1(-dissolution_rate(steel_, start_, T) * dt);
    grown_ = grown_power(grown_, grain_growth_rate(T) * dt * after, pinned_grain(steel_, carbon_, T));
  }

  double formed() const { return formed_; }
  double carbon() const { return carbon_; }
  double grain() const { return diameter_of(grown_); }

 private:
  const SteelRecord& steel_;
  records::StartState start_;
  double born_, carbon_;
  double formed_ = 0.0;
  double grown_; ///< D^n [um^n]
};

double retained(const SteelRecord& steel, double carbon_wt, double T) {
  const double matrix = 1.0 - undissolved_cementite(steel, carbon_wt);
  return matrix *
         (1.0 - martensite_share(martensite_start(steel, carbon_wt), T, martensite_rate(steel, carbon_wt)));
}

} // namespace

double grain_number(double diameter_m) {
  const double per_mm2 = 1e-6 / (diameter_m * diameter_m);
  return 3.321928 * math::log10(per_mm2) - 2.954;
}

double grain_diameter(double number) {
  return 1e-3 / std::sqrt(math::pow(10.0, (number + 2.954) / 3.321928));
}

double pinned_grain(const SteelRecord& steel, double carbon_wt, double T) {
  const double cementite = undissolved_cementite(steel, carbon_wt);
  double limit = cementite > 0.0 ? 4.0 / 3.0 * carbide_radius / cementite : infinite;
  if (steel.composition.V >= vanadium_that_pins && T <= vanadium_pins_to_degC)
    limit = std::min(limit, vanadium_grain);
  return limit;
}

double free_growth(double T) { return 76671.0 * math::exp(-89098.0 / (gas_constant_J_molK * kelvin(T))); }

double grain_growth_rate(double T) { return math::pow(free_growth(T), growth_exponent); }

double grain_power(double diameter_m) { return math::pow(diameter_m * 1e6, growth_exponent); }

double diameter_of(double power) { return math::pow(power, 1.0 / growth_exponent) * 1e-6; }

double grown_power(double power, double growth, double limit_m) {
  const double now = diameter_of(power);
  if (now >= limit_m)
    return power;
  return std::isfinite(limit_m) ? std::min(power + growth * (1.0 - now / limit_m), grain_power(limit_m))
                                : power + growth;
}

SoakState soak_over(const std::vector<HistoryPoint>& history, const SteelRecord& steel,
                    records::StartState start) {
  Soak soak(steel, start);
  const double from = ac1(steel);
  for (std::size_t i = 1; i < history.size(); ++i) {
    const HistoryPoint &a = history[i - 1], &b = history[i];
    const double dt = b.time_s - a.time_s, rise = b.T_degC - a.T_degC;
    if (!(dt > 0.0) || std::max(a.T_degC, b.T_degC) <= from)
      continue;
    const auto n = static_cast<int>(
        std::clamp(std::ceil(std::max(dt / grain_step_s, std::abs(rise) / grain_step_K)), 1.0, 100000.0));
    for (int k = 0; k < n; ++k) {
      const double T = a.T_degC + rise * (k + 0.5) / n;
      if (T > from)
        soak.step(T, dt / n);
    }
  }
  return {soak.formed(), soak.carbon(), soak.grain()};
}

SoakWindow soak_window(const SteelRecord& steel, records::StartState start, double T,
                       const SoakLimits& limits) {
  SoakWindow w;
  w.earliest_s = w.latest_s = infinite;
  const double wanted = steel.austenitising.carbon_wanted_wt;
  double austenite_s = infinite, carbon_s = infinite;
  Soak soak(steel, start);
  if (T > ac1(steel)) {
    for (double t = grain_step_s; t <= longest_soak_s; t += grain_step_s) {
      soak.step(T, grain_step_s);
      if (soak.formed() >= limits.austenite)
        austenite_s = std::min(austenite_s, t);
      if (soak.carbon() >= wanted)
        carbon_s = std::min(carbon_s, t);
      if (w.late == SoakWindow::Late::nothing) {
        if (grain_number(soak.grain()) < limits.grain_number)
          w.late = SoakWindow::Late::grain;
        else if (soak.formed() >= limits.austenite &&
                 retained(steel, soak.carbon(), limits.cooled_to_degC) > limits.retained_austenite)
          w.late = SoakWindow::Late::retained_austenite;
        if (w.late != SoakWindow::Late::nothing)
          w.latest_s = t;
      }
      if (std::isfinite(w.latest_s) && std::isfinite(austenite_s) && std::isfinite(carbon_s))
        break;
    }
  }
  w.earliest_s = std::max(austenite_s, carbon_s);
  w.early = carbon_s > austenite_s ? SoakWindow::Early::carbon : SoakWindow::Early::austenite;
  if (T <= ac1(steel))
    w.too_short = formatted("below Ac1 (%.0f degC) nothing hardens, however long", ac1(steel));
  else if (w.early == SoakWindow::Early::carbon)
    w.too_short = formatted("shorter: less than %.2f %%C in solution, soft for want of carbon", wanted);
  else
    w.too_short = formatted("shorter: less than %.0f %% austenite, ferrite left as soft spots",
                            100.0 * limits.austenite);
  if (w.late == SoakWindow::Late::grain)
    w.too_long = formatted("longer: grain coarser than ASTM %.0f, brittle", limits.grain_number);
  else if (w.late == SoakWindow::Late::retained_austenite)
    w.too_long = formatted("longer: more than %.0f %% retained austenite, softer and not stable",
                           100.0 * limits.retained_austenite);
  else
    w.too_long = "longer does no harm but scale and skin";
  return w;
}

} // namespace tq::steel
