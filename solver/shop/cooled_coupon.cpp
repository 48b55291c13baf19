#include "shop/cooled_coupon.hpp"

#include "steel/decomposition.hpp"
#include "steel/grain.hpp"
#include "steel/hardness.hpp"
#include "steel/temper.hpp"
#include "steel/temper_nodes.hpp"
#include "steel/transformation.hpp"
#include "treatment/trace.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tq::shop {
namespace {

using records::LogRecord;
using steel::Product;

constexpr double step_K = 4; ///< of the curve; the rates change by 15 % at most over it

/// Carbon for which the law is made: as the treatment makes it.
double reference_carbon(const records::SteelRecord& s) {
  return steel::saturation_carbon(
      s, 0.5 * (s.austenitising.hardening_from_degC + s.austenitising.hardening_to_degC));
}

/// Next reading of the log that differs from that at `i` by what the rates feel: a logger writes more often.
std::size_t next_of(const LogRecord& log, std::size_t i) {
  std::size_t next = i + 1;
  while (next + 1 < log.time_s.size() &&
         std::abs(log.temperature_degC[next] - log.temperature_degC[i]) < 0.5 * step_K)
    ++next;
  return next;
}

/// Tempering parameter of the martensite that tempers itself while it cools, as treatment::Simulation has it:
/// that of the mean time at the present temperature; what is new comes in with none.
double tempered_on_the_way(const records::SteelRecord& s, double carbon_wt, const LogRecord& log) {
  const double ms = steel::martensite_start(s, carbon_wt), rate = steel::martensite_rate(s, carbon_wt);
  double parameter = 0, share = 0;
  for (std::size_t i = 0, next = 0; i + 1 < log.time_s.size(); i = next) {
    next = next_of(log, i);
    const double middle = 0.5 * (log.temperature_degC[i] + log.temperature_degC[next]);
    const double now = std::max(share, steel::martensite_share(ms, log.temperature_degC[next], rate));
    if (steel::martensite_rests(middle, now))
      continue;
    const double fresh = (now - share) / now;
    share = now;
    steel::temper_fresh_nodes(1, &middle, log.time_s[next] - log.time_s[i], s.temper.hj_constant_h, &now,
                              &fresh, &parameter);
  }
  return parameter;
}

/// Martensite, tempered as it cooled, with the austenite that a hand-warm coupon retains [HRC].
double hard_HRC(const records::SteelRecord& s, double carbon_wt, const LogRecord& log) {
  constexpr double cold_degC = 25;
  steel::Constituents shares;
  shares.martensite = steel::martensite_share(steel::martensite_start(s, carbon_wt), cold_degC,
                                              steel::martensite_rate(s, carbon_wt));
  shares.retained_austenite = 1 - shares.martensite;
  double martensite_HV = steel::martensite_hv(s, carbon_wt);
  if (const double parameter = tempered_on_the_way(s, carbon_wt, log); parameter > 0)
    martensite_HV *= steel::TemperResponse::of_martensite(s).factor(parameter);
  return steel::hrc_from_hv(steel::mixture_hv(shares, martensite_HV, s.hardness));
}

/// -ln of the share that a product leaves when its clock reads so.
double left_log(const steel::DecompositionLaw& law, Product product, double clock) {
  constexpr double nearly_all = 1 - 1e-12;
  return -math::log1p(-std::min(law.fraction(product, clock), nearly_all));
}

} // namespace

Austenite austenite_of(const treatment::Run& run) {
  const auto column = static_cast<std::size_t>(run.zone_column[treatment::zone_thickest]);
  return {run.after_furnace.carbon[column], steel::grain_number(run.after_furnace.grain[column])};
}

Austenite usual_austenite(const treatment::Case& c) {
  const double at = c.heated() ? c.furnace().setpoint_degC : c.start.temperature_degC;
  return {steel::saturation_carbon(c.steel, at), c.steel.transformation.grain_number};
}

CooledCoupon cooled_coupon(const LogRecord& log, const records::SteelRecord& s, const Austenite& austenite) {
  const auto law = steel::decomposition_law(s, reference_carbon(s));
  const auto factor = [&](Product p) {
    return law->carbon_factor(p, austenite.carbon_wt) * law->grain_factor(p, austenite.grain_number);
  };
  const double of_pearlite = factor(Product::pearlite), of_bainite = factor(Product::bainite);
  CooledCoupon out;
  out.hard_HRC = hard_HRC(s, austenite.carbon_wt, log);
  out.softness = -std::numeric_limits<double>::infinity();
  const double end_s = log.time_s.back();
  const double begin_s = treatment::last_fall(log.time_s, log.temperature_degC, law->ae1(), 0, end_s);
  if (!std::isfinite(begin_s))
    return out;
  double pearlite = 0, bainite = 0, of_p = 0, of_b = 0, gone = 0, turned_HV = 0, turned = 0;
  for (std::size_t i = 0, next = 0; i + 1 < log.time_s.size(); i = next) {
    next = next_of(log, i);
    const double from_s = std::max(log.time_s[i], begin_s), to_s = log.time_s[next];
    if (to_s <= from_s)
      continue;
    const double share = (from_s - log.time_s[i]) / (to_s - log.time_s[i]);
    const double to = log.temperature_degC[next],
                 from = log.temperature_degC[i] + share * (to - log.temperature_degC[i]);
    const int parts = 1 + static_cast<int>(std::abs(to - from) / step_K);
    for (int k = 0; k < parts; ++k) {
      const double T = from + (to - from) * (k + 0.5) / parts, dt = (to_s - from_s) / parts;
      pearlite += of_pearlite * law->pearlite_rate(T) * dt;
      bainite += of_bainite * law->bainite_rate(T) * dt;
      const double p = left_log(*law, Product::pearlite, pearlite) - of_p,
                   b = left_log(*law, Product::bainite, bainite) - of_b;
      of_p += p;
      of_b += b;
      const double more = math::exp(-gone) * (1 - math::exp(-p - b));
      gone += p + b;
      if (more > 0) {
        turned += more;
        turned_HV +=
            more * (p * law->hardness_HV(Product::pearlite, T) + b * law->hardness_HV(Product::bainite, T)) /
            (p + b);
      }
    }
  }
  out.softness = gone > 0 ? math::log(gone) : out.softness;
  out.soft_HRC = std::min(out.hard_HRC, turned > 0 ? steel::hrc_from_hv(turned_HV / turned) : out.hard_HRC);
  return out;
}

double softness_of(double turned) { return math::log(-math::log1p(-turned)); }

double turned_at(const CooledCoupon& coupon, double hrc) {
  double least = 1e-3, most = 0.999;
  const double weight =
      (hrc - coupon.soft_HRC) / std::max(1.0, coupon.hard_HRC - coupon.soft_HRC); // of the martensite
  constexpr int halvings = 20;
  for (int k = 0; k < halvings; ++k) {
    const double middle = 0.5 * (least + most);
    (steel::martensite_weight(1 - middle) > weight ? least : most) = middle;
  }
  return 0.5 * (least + most);
}

HalfSoftCooling half_soft_cooling(const treatment::Case& c) {
  constexpr double surroundings_degC = 30, half = 0.5;
  const double hot_degC = c.heated() ? c.furnace().setpoint_degC : c.start.temperature_degC;
  const auto curve = [&](double log_per_s) {
    constexpr int corners = 150;
    LogRecord log;
    log.level_degC = hot_degC;
    for (int i = 0; i <= corners; ++i) {
      const double fall = 5.0 * i / corners; // to less than a hundredth of the way
      log.time_s.push_back(fall / math::exp(log_per_s));
      log.temperature_degC.push_back(surroundings_degC + (hot_degC - surroundings_degC) * math::exp(-fall));
    }
    return log;
  };
  const Austenite austenite = usual_austenite(c);
  double slow = math::log(1e-3), fast = math::log(10.0); // per second
  constexpr int halvings = 24;
  for (int k = 0; k < halvings; ++k) {
    const double middle = 0.5 * (slow + fast);
    (cooled_coupon(curve(middle), c.steel, austenite).softness > softness_of(half) ? slow : fast) = middle;
  }
  HalfSoftCooling out{curve(slow), 0};
  out.t700_500_s = math::log((700 - surroundings_degC) / (500 - surroundings_degC)) / math::exp(slow);
  return out;
}

} // namespace tq::shop
