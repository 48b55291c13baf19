#include "shop/readings.hpp"

#include "answers/sampling.hpp"
#include "shop/quench_readings.hpp"
#include "shop/stays.hpp"
#include "treatment/trace.hpp"
#include "units/math.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>

namespace tq::shop {
namespace {

using treatment::Part;

/// Of a bench tester: nine readings in ten within 1 HRC (common practice, no source), half of that variance
/// its own offset; 0.3 HRC for the place and the rounding (assumption).
constexpr double tester_HRC = 1 / answers::normal_half_90, place_HRC = 0.3;
/// Hands and files differ by two points (steel/reading.hpp).
constexpr double file_HRC = 2 / answers::normal_half_90;
/// Type K of class 1: 0.4 % of 800 degC nine times in ten (IEC 60584-1), which stays with the couple; 1 K for
/// its contact with the blade (assumption).
constexpr double couple_K = 3.2 / answers::normal_half_90, contact_K = 1;
/// When the door was closed, by the log's own beginning; assumption.
constexpr double door_s = 5;
constexpr double oven_K = 2, oil_K = 1.5; ///< thermometers of a shop, what is no offset; assumption

double of_zone(const answers::StationAnswer& a, std::size_t zone, bool tempered) {
  return tempered ? a.zones[zone].tempered_HRC : a.zones[zone].as_quenched_HRC;
}

void add_hardness(const std::vector<answers::HardnessReading>& readings, std::vector<Observed>& out) {
  for (const answers::HardnessReading& r : readings) {
    Observed o;
    o.what = std::string(treatment::zone_name(static_cast<treatment::Zone>(r.zone))) +
             (r.tempered ? " tempered [HRC]" : " as quenched [HRC]");
    o.value = r.hrc;
    o.sd = math::hypot(tester_HRC * std::sqrt(0.5), place_HRC);
    o.offset_name = tester_offset;
    o.offset = tester_HRC * std::sqrt(0.5);
    o.predict = [r](const Made& made) { return of_zone(made.answer, r.zone, r.tempered); };
    out.push_back(std::move(o));
  }
}

void add_file(const Firing& firing, bool in_foil, std::vector<Observed>& out) {
  if (!firing.file)
    return;
  if (*firing.file != steel::FileFeel::skates && !firing.ground && !in_foil)
    return; // on a blade that was heated bare it tells of the skin
  Observed o;
  o.what = std::string("file at the edge: ") + steel::file_feel_name(*firing.file) + " [HRC]";
  o.from = *firing.file == steel::FileFeel::skates        ? steel::file_skates_HRC
           : *firing.file == steel::FileFeel::just_skates ? steel::file_bites_HRC
                                                          : -Observed::infinite;
  o.to = *firing.file == steel::FileFeel::bites         ? steel::file_bites_HRC
         : *firing.file == steel::FileFeel::just_skates ? steel::file_skates_HRC
                                                        : Observed::infinite;
  o.value = std::isfinite(o.from) ? o.from : o.to;
  o.sd = file_HRC;
  o.predict = [](const Made& made) { return made.answer.zones[treatment::zone_edge].as_quenched_HRC; };
  out.push_back(std::move(o));
}

/// The thickest place in the furnace: when it passes `level` (logarithm; the end where it never does).
double log_passes(const Made& made, double level_degC) {
  const treatment::StepSpan* span = treatment::span_of(made.run, Part::furnace);
  if (span == nullptr)
    return std::numeric_limits<double>::quiet_NaN();
  const auto& trace = made.run.zones[treatment::zone_thickest].temperature;
  const double at = treatment::first_rise(made.run.time_s, trace, level_degC, span->from_s, span->to_s);
  return math::log(std::max(1.0, (std::isfinite(at) ? at : span->to_s) - span->from_s));
}

void add_packet(const records::LogRecord& log, double furnace_s, std::vector<Observed>& out) {
  const double end_s = std::min(log.time_s.back(), furnace_s);
  // far from the end the foil decides, near to it the walls
  for (const double below_K : {400.0, 200.0, 80.0, 30.0, 12.0}) {
    const double level = log.level_degC - below_K;
    if (level <= log.temperature_degC.front() + 20)
      continue;
    const double at = treatment::first_rise(log.time_s, log.temperature_degC, level, 0, end_s);
    if (!(at > 0) || at >= end_s)
      continue;
    constexpr double look_s = 20;
    const double slope =
        std::max(1e-3, (treatment::trace_value(log.time_s, log.temperature_degC, at + look_s) -
                        treatment::trace_value(log.time_s, log.temperature_degC, at - look_s)) /
                           (2 * look_s));
    Observed o;
    o.what = units::formatted("packet passes %.0f degC [ln s]", level);
    o.value = math::log(at);
    o.sd = math::hypot(door_s, contact_K / slope) / at;
    o.offset_name = couple_offset;
    o.offset = -couple_K / slope / at; // reads high: passes too early
    o.predict = [level](const Made& made) { return log_passes(made, level); };
    out.push_back(std::move(o));
  }
  if (log.time_s.back() < 0.8 * furnace_s)
    return;
  Observed o;
  o.what = "packet at the end of the soak [degC]";
  o.value = treatment::trace_value(log.time_s, log.temperature_degC, end_s);
  o.sd = contact_K;
  o.offset_name = couple_offset;
  o.offset = couple_K;
  o.predict = [end_s](const Made& made) {
    const treatment::StepSpan* span = treatment::span_of(made.run, Part::furnace);
    return span == nullptr
               ? std::numeric_limits<double>::quiet_NaN()
               : treatment::trace_value(made.run.time_s, made.run.zones[treatment::zone_thickest].temperature,
                                        std::min(span->from_s + end_s, span->to_s));
  };
  out.push_back(std::move(o));
}

} // namespace

const double tester_offset_HRC = tester_HRC * std::sqrt(0.5),
             reading_HRC = math::hypot(tester_offset_HRC, place_HRC), couple_offset_K = couple_K;
/// Nine in ten blocks are within 0.5 HRC of what is written on them; common practice, no source.
const double block_HRC = 0.5 / answers::normal_half_90;

double mean_reading_HRC(int dents) { return reading_HRC / std::sqrt(dents); }

double error_covariance(const Observed& a, const Observed& b, bool same) {
  const double common = !a.common.empty() && a.common == b.common ? a.common_sd * b.common_sd : 0;
  return common + (same ? a.sd * a.sd : 0);
}

std::vector<Observed> readings_of(const Blade& blade) {
  std::vector<Observed> out;
  const treatment::Case& c = blade.made;
  const Firing& f = blade.firing;
  if (c.steel.inert)
    return out;
  if (c.quenched()) {
    add_hardness(f.quenched, out);
    add_file(f, c.wrap.layers > 0, out);
  }
  const auto tempers = static_cast<std::size_t>(c.tempers());
  // one reading alone is that after the last temper
  if (c.tempered() && (f.tempered.size() == 1 || f.tempered.size() == tempers) && !f.tempered.empty())
    add_hardness(f.tempered.back(), out);
  if (blade.packet && c.heated() && c.furnace().timer_s)
    add_packet(*blade.packet,
               c.furnace().timer_start == treatment::TimerStart::door ? *c.furnace().timer_s
                                                                      : blade.packet->time_s.back(),
               out);
  if (c.quenched() && blade.quench)
    add_quench_log(*blade.quench, 0, out);
  if (c.quenched() && blade.coupon && f.coupon_m)
    add_quench_log(*blade.coupon, *f.coupon_m, out);
  if (c.quenched() && blade.coupon && f.coupon_hrc)
    add_coupon_hardness(*blade.coupon, *f.coupon_hrc, c, out);
  if (blade.oven && c.tempered()) {
    Observed o;
    o.what = "oven [degC]";
    o.value = blade.oven->level_degC;
    o.sd = oven_K;
    o.predict = [](const Made& made) { return made.c.oven().oven_degC; };
    out.push_back(std::move(o));
  }
  if (f.oil_before_degC && f.oil_after_degC && c.quenched() && c.bath().volume_m3 > 0) {
    Observed o;
    o.what = "oil after the blade [degC]";
    o.value = *f.oil_after_degC;
    o.sd = oil_K;
    o.predict = [](const Made& made) { return made.answer.bath_end_degC; };
    out.push_back(std::move(o));
  }
  return out;
}

} // namespace tq::shop
