#include "shop/quench_readings.hpp"

#include "answers/sampling.hpp"
#include "shop/cooled_coupon.hpp"
#include "shop/stays.hpp"
#include "steel/hardness.hpp"
#include "treatment/trace.hpp"
#include "units/math.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace tq::shop {
namespace {

using treatment::Part;

constexpr std::array<double, 6> levels_degC{700, 600, 500, 400, 300, 200};
/// How the couple sits changes how fast it follows: 10 % of all times of a log nine times in ten, and some
/// 0.05 s at each end of one; assumption.
constexpr double seat = 0.1 / answers::normal_half_90, response_s = 0.05;

/// When the curve falls below `level` for good.
double falls(const std::vector<double>& time, const std::vector<double>& trace, double level, double from,
             double to) {
  const double at = treatment::last_fall(time, trace, level, from, to);
  return std::isfinite(at) ? at : to;
}

/// Time between the two readings round `t`.
double spacing(const records::LogRecord& log, double t) {
  const auto next = std::upper_bound(log.time_s.begin(), log.time_s.end(), t);
  if (next == log.time_s.begin() || next == log.time_s.end())
    return log.time_s.back();
  return *next - *(next - 1);
}

/// Seconds in which the log falls by a kelvin at `t`.
double per_K(const records::LogRecord& log, double t) {
  constexpr double look_s = 0.5, least_K = 0.5;
  const double fallen = treatment::trace_value(log.time_s, log.temperature_degC, t - look_s) -
                        treatment::trace_value(log.time_s, log.temperature_degC, t + look_s);
  return 2 * look_s / std::max(fallen, least_K);
}

double log_takes(const treatment::Run& run, double upper, double lower) {
  const treatment::StepSpan* bath = treatment::span_of(run, Part::bath);
  if (bath == nullptr)
    return std::numeric_limits<double>::quiet_NaN();
  const treatment::StepSpan* way = treatment::span_of(run, Part::transfer);
  const treatment::StepSpan* oven = treatment::span_of(run, Part::temper);
  const double from = way == nullptr ? bath->from_s : way->from_s,
               to = oven == nullptr ? run.time_s.back() : oven->from_s;
  const auto& trace = run.zones[treatment::zone_thickest].temperature;
  constexpr double least_s = 0.01;
  return math::log(std::max(least_s, falls(run.time_s, trace, lower, from, to) -
                                         falls(run.time_s, trace, upper, from, to)));
}

/// What the doubt of the formula for fresh hardness adds to a drawn blade [HRC].
double harder_than_computed(const Made& m) {
  const auto& all = m.run.as_quenched_HV;
  return m.answer.hrc_as_quenched_most - steel::hrc_from_hv(*std::max_element(all.begin(), all.end()));
}

} // namespace

void add_quench_log(const records::LogRecord& log, double piece_m, std::vector<Observed>& out) {
  const double hottest = *std::max_element(log.temperature_degC.begin(), log.temperature_degC.end());
  for (std::size_t k = 0; k + 1 < levels_degC.size(); ++k) {
    const double upper = levels_degC[k], lower = levels_degC[k + 1];
    constexpr double clear_K = 20; // of where the log begins
    const auto at = [&](double level) {
      return treatment::last_fall(log.time_s, log.temperature_degC, level, 0, log.time_s.back());
    };
    const double from = at(upper), to = at(lower);
    if (upper > hottest - clear_K || !(to > from))
      continue;
    // a crossing between two readings of a logger is known to some 0.3 of their distance
    constexpr double of_spacing = 0.3, useless = 0.7;
    const double ends = math::hypot(math::hypot(of_spacing * spacing(log, from), response_s),
                                    math::hypot(of_spacing * spacing(log, to), response_s));
    Observed o;
    o.what = units::formatted("%s from %.0f to %.0f degC [ln s]", piece_m > 0 ? "coupon" : "blade in the oil",
                              upper, lower);
    o.value = math::log(to - from);
    o.sd = ends / (to - from);
    if (math::hypot(seat, o.sd) > useless)
      continue;
    o.common = piece_m > 0 ? "seat of the couple in the coupon" : "seat of the couple on the blade";
    o.common_sd = seat;
    o.offset_name = couple_oil_offset; // reads high: passes a level too late, the more so the slower it falls
    o.offset = couple_offset_K * (per_K(log, to) - per_K(log, from)) / (to - from);
    o.predict = [=](const Made& made) {
      return log_takes(piece_m > 0 ? made.pieces.run(made.c, piece_m) : made.run, upper, lower);
    };
    out.push_back(std::move(o));
  }
}

void add_coupon_hardness(const records::LogRecord& log, double hrc, const treatment::Case& made,
                         std::vector<Observed>& out) {
  const CooledCoupon usual = cooled_coupon(log, made.steel, usual_austenite(made));
  constexpr double near_HRC = 3, little = 0.15, most = 0.85; // hard, soft: only a bound is known
  if (!(usual.softness > -Observed::infinite) || usual.hard_HRC - usual.soft_HRC < 3 * near_HRC)
    return;
  Observed o;
  o.what = units::formatted("softness of the coupon of %.1f HRC, cooled as logged [ln]", hrc);
  const bool hard = hrc > usual.hard_HRC - near_HRC, soft = hrc < usual.soft_HRC + near_HRC;
  // How much turned is read to a quarter of itself as the hardness of mixtures is known, 0.35 at the half and
  // less above.
  constexpr double mixture = 0.35;
  const double inside = std::clamp(hrc, usual.soft_HRC + near_HRC, usual.hard_HRC - near_HRC);
  const double per_HRC =
      0.5 * (softness_of(turned_at(usual, inside - 1)) - softness_of(turned_at(usual, inside + 1)));
  o.sd = math::hypot(mixture, per_HRC * reading_HRC);
  o.offset_name = tester_offset;
  o.offset = -per_HRC * tester_offset_HRC; // reads high: seems to have turned less
  if (hard || soft) {
    o.value = softness_of(hard ? little : most);
    (hard ? o.to : o.from) = o.value;
    o.predict = [log](const Made& m) { return cooled_coupon(log, m.c.steel, austenite_of(m.run)).softness; };
  } else {
    o.predict = [log, hrc](const Made& m) {
      const CooledCoupon coupon = cooled_coupon(log, m.c.steel, austenite_of(m.run));
      return coupon.softness - softness_of(turned_at(coupon, hrc - harder_than_computed(m)));
    };
  }
  out.push_back(std::move(o));
}

} // namespace tq::shop
