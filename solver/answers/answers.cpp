#include "answers/answers.hpp"

#include "answers/bath_limit.hpp"
#include "answers/careful_timer.hpp"
#include "answers/cautions.hpp"
#include "answers/executor.hpp"
#include "answers/experiment.hpp"
#include "answers/margins.hpp"
#include "answers/metallurgy.hpp"
#include "answers/outcome.hpp"
#include "answers/station_answer.hpp"
#include "answers/surface.hpp"
#include "answers/telling.hpp"
#include "answers/temper_forecast.hpp"
#include "answers/timer.hpp"
#include "answers/wanted.hpp"
#include "answers/warnings.hpp"
#include "answers/zone_reach.hpp"
#include "steel/grain.hpp"
#include "steel/hardness.hpp"
#include "steel/temper.hpp"
#include "steel/transformation.hpp"
#include "treatment/simulation.hpp"
#include "treatment/trace.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>

namespace tq::answers {

using treatment::Case;
using treatment::Part;
using treatment::Run;
using treatment::span_of;
using units::formatted;

namespace {

/// Shares that differ by less turn at the same rate: the zone's own place is told.
constexpr double same_share = 1e-4;
constexpr double far_m = 0.5e-3; ///< a worst place farther from its zone's line is told by its distance

/// The zone, and where the place that soaks least lies when that is away from the zone's line.
std::string slowest_place(const ZoneAnswer& z) {
  return z.name + (std::abs(z.soak_x_m - z.x_m) > far_m
                       ? formatted(" (%.1f mm from the spine)", 1e3 * z.soak_x_m)
                       : std::string());
}

/// True when the zone lost heat faster at the end of the bath than in the air after it.
bool cools_faster_than_after(const Run& run, const std::vector<double>& T, const treatment::StepSpan& bath) {
  const double look_s = std::min(1.0, 0.5 * (bath.to_s - bath.from_s));
  const auto at = [&](double t) { return treatment::trace_value(run.time_s, T, t); };
  return at(bath.to_s - look_s) - at(bath.to_s) > at(bath.to_s) - at(bath.to_s + look_s);
}

/// One zone of a run: its figures in the order of the work, then the verdict on its quench.
class ZoneReader {
 public:
  ZoneReader(const Case& c, std::size_t station, const Run& run, std::size_t zone, const ZoneMargins& margins)
      : c_(c), station_(station), run_(run), zone_(zone), column_(run.zone_column[zone]),
        T_(run.zones[zone].temperature), furnace_(span_of(run, Part::furnace)),
        transfer_(span_of(run, Part::transfer)), bath_(span_of(run, Part::bath)),
        cool_(span_of(run, Part::cool)), margins_(margins) {}

  ZoneAnswer answer(const ZoneReach& reach, const ZoneReach& soak_reach) {
    start();
    if (furnace_)
      soak(soak_reach);
    if (bath_ || transfer_)
      cooling();
    if (c_.steel.inert)
      return a_;
    if (furnace_)
      austenite(soak_reach);
    if (bath_ || transfer_) {
      const std::size_t worst = quench(reach);
      judge(worst);
    }
    return a_;
  }

 private:
  void start() {
    const auto i = static_cast<std::size_t>(column_);
    a_.name = treatment::zone_name(static_cast<treatment::Zone>(zone_));
    a_.wanted = wanted_of(c_, station_, zone_);
    a_.x_m = run_.grid.x[i];
    a_.thickness_m = (run_.grid.top[i] - run_.grid.bottom[i]) * (run_.grid.half ? 2 : 1);
    a_.reaches_temperature_s = a_.timer_from_door_s = a_.timer_from_recovery_s = NAN;
    a_.soak_s = a_.soak_x_m = a_.austenite = a_.carbon_in_solution = a_.undissolved_carbide = NAN;
    a_.into_bath_degC = a_.rate_margin = a_.t700_500_s = a_.t800_500_s = a_.ms_degC = a_.straighten_s = NAN;
    a_.as_quenched_HRC = a_.tempered_HRC = a_.transformed = a_.pearlite = a_.bainite = NAN;
    a_.martensite = a_.retained_austenite = a_.worst_x_m = NAN;
    a_.in_air_degC = margins_.in_air_degC;
    a_.transfer_to_spare_s = margins_.transfer_to_spare_s;
  }

  void soak(const ZoneReach& reach) {
    a_.reaches_temperature_s = margins_.reaches_temperature_s;
    const LeastSoak least = least_soak(run_.grid, reach, run_.after_furnace.time_at_temperature);
    a_.soak_s = least.seconds;
    a_.soak_x_m = run_.grid.x[static_cast<std::size_t>(least.column)];
    const double in_run = treatment::first_rise(run_.time_s, T_, margins_.at_temperature_degC,
                                                furnace_->from_s, furnace_->to_s);
    if (std::isfinite(in_run) && least.seconds > 0)
      a_.reaches_temperature_s = in_run - furnace_->from_s + least.later_s;
    a_.timer_from_door_s = a_.reaches_temperature_s + c_.wishes.soak_s;
    a_.timer_from_recovery_s = a_.timer_from_door_s - margins_.display_ready_s;
  }

  void cooling() {
    const double from = transfer_ ? transfer_->from_s : bath_->from_s;
    const double to = cool_   ? run_.spans[run_.hardening.after(Part::cool) - 1].to_s
                      : bath_ ? run_.spans[run_.hardening.after(Part::bath) - 1].to_s
                              : transfer_->to_s;
    if (bath_) {
      a_.into_bath_degC = treatment::trace_value(run_.time_s, T_, bath_->from_s);
      a_.at_lift_degC = treatment::trace_value(run_.time_s, T_, bath_->to_s);
    }
    const double t500 = treatment::last_fall(run_.time_s, T_, 500, from, to);
    a_.t700_500_s = t500 - treatment::last_fall(run_.time_s, T_, 700, from, to);
    // 800 degC is also the commonest set point: a start within half a kelvin of it counts from the start
    const double start = treatment::trace_value(run_.time_s, T_, from);
    constexpr double near_K = 0.5;
    if (start >= 800 - near_K)
      a_.t800_500_s = t500 - treatment::last_fall(run_.time_s, T_, std::min(800.0, start), from, to);
    if (c_.steel.inert || !bath_ || !cool_)
      return;
    for (const auto& e : run_.events)
      if (e.kind == treatment::EventKind::martensite_starts && e.zone == static_cast<int>(zone_) &&
          e.time_s > cool_->from_s)
        a_.straighten_s = e.time_s - cool_->from_s;
  }

  void austenite(const ZoneReach& reach) {
    a_.austenite = 1;
    a_.carbon_in_solution = 1e9;
    reach.each_node(run_.grid, [&](std::size_t n, int) {
      a_.austenite = std::min(a_.austenite, 1 - run_.after_furnace.ferrite[n]);
      a_.carbon_in_solution = std::min(a_.carbon_in_solution, run_.after_furnace.carbon[n]);
    });
    a_.undissolved_carbide = steel::undissolved_cementite(c_.steel, a_.carbon_in_solution);
  }

  /// Returns the node that turned most.
  std::size_t quench(const ZoneReach& reach) {
    a_.transformed = 0;
    double scheil = 0, softest = 1e9, softest_tempered = 1e9;
    std::size_t worst = 0;
    int worst_column = column_;
    reach.each_node(run_.grid, [&](std::size_t n, int i_of_node) {
      const auto& s = run_.after_cool;
      const double turned = s.pearlite[n] + s.bainite[n];
      if (turned >= a_.transformed || (i_of_node == column_ && turned >= a_.transformed - same_share)) {
        a_.transformed = std::max(turned, a_.transformed);
        worst = n;
        worst_column = i_of_node;
      }
      scheil = std::max({scheil, s.scheil_pearlite[n], s.scheil_bainite[n]});
      softest = std::min(softest, run_.as_quenched_HV[n]);
      softest_tempered = std::min(softest_tempered, run_.final_HV[n]);
    });
    a_.worst_x_m = run_.grid.x[static_cast<std::size_t>(worst_column)];
    a_.pearlite = run_.after_cool.pearlite[worst];
    a_.bainite = run_.after_cool.bainite[worst];
    a_.martensite = run_.after_cool.martensite[worst];
    a_.retained_austenite = run_.after_cool.austenite[worst];
    a_.rate_margin = scheil > 0 ? 1 / scheil : std::numeric_limits<double>::infinity();
    a_.ms_degC = steel::martensite_start(c_.steel, run_.after_cool.carbon[worst]);
    a_.as_quenched_HRC = steel::hrc_from_hv(softest);
    if (span_of(run_, Part::temper)) {
      a_.tempered_HRC = steel::hrc_from_hv(softest_tempered);
      a_.retained_austenite_tempered = run_.final_state.austenite[worst];
    }
    if (nothing_to_quench(a_)) {
      a_.transformed = 1;
      a_.rate_margin = a_.transfer_to_spare_s = NAN;
    }
    return worst;
  }

  void judge(std::size_t worst) {
    const double percent = 100 * a_.transformed;
    const char* what = a_.pearlite >= a_.bainite ? "pearlite" : "bainite";
    Judgement& j = a_.hardens;
    j.verdict = zone_verdict(c_, a_.wanted, a_.transformed);
    if (a_.wanted == treatment::Wanted::either)
      return;
    if (nothing_to_quench(a_)) {
      j.reason = formatted("%.0f %% austenite when pulled: there is nothing to quench", 100 * a_.austenite);
    } else if (a_.wanted == treatment::Wanted::soft) {
      const char* how = j.verdict == Verdict::pass       ? "soft as wished"
                        : j.verdict == Verdict::marginal ? "not as soft as wished"
                                                         : "hard, though wished soft";
      j.reason = formatted("%s: %.0f %% turned to %s", how, percent, what);
    } else if (j.verdict == Verdict::pass) {
      j.reason = Reason(percent_text(a_.transformed) + " turned to pearlite or bainite")
                     .add({"it " + cools_text(a_.rate_margin)});
    } else {
      std::string turned = formatted("%.0f %% turned to %s before martensite could form", percent, what);
      if (std::abs(a_.worst_x_m - a_.x_m) > far_m)
        turned += formatted(" %.1f mm from the spine", 1e3 * a_.worst_x_m);
      j.reason = turned;
      blame(j, worst);
    }
  }

  /// Adds what made it too slow, and the cure.
  void blame(Judgement& j, std::size_t worst) const {
    j.cure = "a faster bath, or a steel that hardens deeper (`compare --oils`)";
    const bool in_time = bath_ && run_.after_bath.pearlite[worst] + run_.after_bath.bainite[worst] <=
                                      c_.thresholds.transformed_pass;
    if (in_time && cools_faster_than_after(run_, T_, *bath_)) {
      j.reason.add({"it did so after it was lifted: leave it in the bath longer"});
      j.cure = "longer in the bath (`find lift`)";
    } else if (margins_.lost_in_transfer) {
      j.reason.add({"the transfer is too slow (hotter or quicker into the bath)"});
      j.cure = "quicker into the bath (`find transfer`)";
    } else {
      const bool through_foil = c_.wrap.on_in_oil && c_.wrap.layers > 0;
      if (through_foil)
        j.cure = "foil off before the bath, or a tighter packet (`find foil-gap`)";
      j.reason.add({through_foil ? "the bath is too slow through this foil gap"
                                 : "the bath is too slow for this thickness of this steel"});
    }
  }

  const Case& c_;
  const std::size_t station_;
  const Run& run_;
  const std::size_t zone_;
  const int column_;
  const std::vector<double>& T_;
  const treatment::StepSpan *furnace_, *transfer_, *bath_, *cool_;
  const ZoneMargins& margins_;
  ZoneAnswer a_;
};

/// A question about a set point that makes no austenite: what would harden on the other scale was meant for
/// it.
std::string what_was_meant(const Case& c) {
  const double on_other = 1.8 * c.furnace().setpoint_degC + 32;
  const auto& usual = c.steel.austenitising;
  return on_other >= usual.hardening_from_degC - 50 && on_other <= usual.hardening_to_degC + 50
             ? formatted("was %.0f degC meant, not degF?", on_other)
             : "was another unit meant, degC or degF?";
}

/// `most_soak_s`: longest time at temperature of all nodes.
Judgement judge_soak(const Case& c, const StationAnswer& s, double final_degC, double most_soak_s) {
  const Verdict verdict = soak_verdict(c, s, final_degC);
  const std::string longer = std::isfinite(s.timer_from_door_s)
                                 ? "set " + minutes_up(s.timer_from_door_s) + " from door-close"
                                 : std::string("no timer gives the asked soak at this setting");
  const auto& wanted = c.steel.austenitising;
  if (verdict == Verdict::not_asked)
    return {verdict, "below Ac1 (" + temperature_text(steel::ac1(c.steel)) +
                         "): a preheat or stress relief, nothing hardens"};
  const ZoneAnswer* worst = nullptr;
  for (const auto& z : s.zones) {
    if (z.austenite < c.thresholds.austenite_least && (!worst || z.austenite < worst->austenite))
      worst = &z;
  }
  if (worst && final_degC <= steel::ac1(c.steel))
    return {verdict, temperature_text(final_degC) + " (" + what_was_meant(c) +
                         ") never makes austenite of this steel, whose Ac1 is " +
                         temperature_text(steel::ac1(c.steel)) + ": nothing hardens"};
  if (worst && final_degC < steel::ac1_end(c.steel))
    return {
        verdict,
        formatted(
            "%s only %.1f %% austenite when pulled: at %s ferrite stays however long the soak, it goes at %s",
            slowest_place(*worst).c_str(), 100 * worst->austenite, temperature_text(final_degC).c_str(),
            temperature_text(steel::ac1_end(c.steel)).c_str())};
  if (worst) {
    const bool never = !std::isfinite(worst->reaches_temperature_s) || worst->soak_s <= 0;
    return {verdict,
            Reason(formatted("%s only %.1f %% austenite when pulled%s", slowest_place(*worst).c_str(),
                             100 * worst->austenite, never ? " and never at temperature" : ""))
                .add({longer})};
  }
  for (const auto& z : s.zones)
    if (z.carbon_in_solution < wanted.carbon_wanted_wt &&
        (!worst || z.carbon_in_solution < worst->carbon_in_solution))
      worst = &z;
  if (worst)
    return {verdict, Reason(formatted("%s has %.3f %%C in solution of the %.3g wanted (%s at temperature)",
                                      slowest_place(*worst).c_str(), worst->carbon_in_solution,
                                      wanted.carbon_wanted_wt, minutes_text(worst->soak_s).c_str()))
                         .add({longer})};
  double least_soak = 1e9, least_carbon = 1e9;
  for (const auto& z : s.zones) {
    least_soak = std::min(least_soak, z.soak_s);
    least_carbon = std::min(least_carbon, z.carbon_in_solution);
  }
  if (final_degC > wanted.hardening_to_degC + overheated_K)
    return {verdict, "true temperature " + temperature_text(final_degC) + " is above the steel's usual " +
                         temperature_text(wanted.hardening_to_degC) +
                         ": expect retained austenite and coarse grain; check the furnace, not the oil"};
  if (least_soak > steel::longest_soak_s)
    return {verdict, hours_text(least_soak) + " at temperature is longer than the " +
                         hours_text(steel::longest_soak_s) +
                         " that are looked at: coarse grain, a deep skin"};
  Judgement j{verdict, ""};
  if (least_soak < enough_of_the_soak * c.wishes.soak_s)
    j.reason = minutes_text(least_soak) + " at temperature of the " + minutes_up(c.wishes.soak_s) + " asked";
  const std::string from = minutes_text(least_soak), to = minutes_text(most_soak_s);
  j.reason.add({formatted("fully austenitic, %.2f %%C in solution", least_carbon)});
  j.reason.add(
      {(from == to ? from : from.substr(0, from.find(' ')) + " to " + to) + " at temperature", ", "});
  return j;
}

/// What to change where the soak is no pass.
std::string soak_cure(const Case& c, const StationAnswer& s, double final_degC) {
  const auto& usual = c.steel.austenitising;
  const double middle = 0.5 * (usual.hardening_from_degC + usual.hardening_to_degC);
  if (usual.hardening_to_degC > 0 && (final_degC > usual.hardening_to_degC + overheated_K ||
                                      final_degC < usual.hardening_from_degC - overheated_K))
    return "furnace to " + temperature_text(middle);
  if (!std::isfinite(s.timer_from_door_s))
    return "a hotter furnace, or a soak that it can give (`find setpoint`)";
  return "timer to " + minutes_up(s.timer_from_door_s) + " from closing the door";
}

Judgement judge_quench(const StationAnswer& s) {
  Judgement j{Verdict::not_asked, ""};
  const ZoneAnswer* limiting = nullptr;
  std::string soft;
  for (const auto& z : s.zones) {
    if (z.hardens.verdict == Verdict::not_asked)
      continue;
    j.verdict = worst_of(j.verdict, z.hardens.verdict);
    if (z.wanted == treatment::Wanted::soft && z.hardens.verdict == Verdict::pass) {
      soft += (soft.empty() ? "" : ", ") + z.name;
      continue;
    }
    if (!limiting || z.hardens.verdict > limiting->hardens.verdict ||
        (z.hardens.verdict == limiting->hardens.verdict && z.rate_margin < limiting->rate_margin))
      limiting = &z;
  }
  if (limiting)
    j.cure = limiting->hardens.cure;
  if (limiting) {
    j.reason = limiting->hardens.reason;
    j.reason.lead_with(limiting->name + (limiting->wanted == treatment::Wanted::soft ? ": " : " limits: "));
  }
  if (!soft.empty())
    j.reason.add({soft + " soft as wished"});
  return j;
}

/// What the tank stands: blades, waits, volume.
void judge_tank(StationAnswer& s, const Case& c, const surroundings::Tank& tank) {
  if (tank.capacity_J_K <= 0)
    return;
  constexpr int most_blades = 99;
  s.bath_limit_degC = row_limit(c.bath(), c.thresholds.flash_margin_K).degC;
  s.blades_in_a_row = surroundings::blades_below(tank, s.bath_limit_degC, most_blades);
  s.least_interval_s = surroundings::least_interval_s(tank, s.bath_limit_degC);
  s.least_volume_m3 =
      surroundings::least_volume_for_row_m3(tank, c.bath().volume_m3, s.bath_limit_degC, c.bath().blades);
}

Judgement judge_hardness(const Case& c, const StationAnswer& s) {
  const treatment::HardnessWish& wish = s.wish;
  if (!wish.stated() || !c.tempered() || c.steel.inert)
    return {};
  const auto [least, most] = hard_range(s);
  const Verdict verdict = hardness_verdict(wish, least, most, s.hrc_band);
  if (verdict == Verdict::not_asked)
    return {};
  const std::string text =
      hrc_range_text(least, most, s.hrc_band) + " after tempering, wanted " + hrc_pair(wish.from, wish.to);
  Judgement out{verdict, text};
  if (verdict != Verdict::pass)
    out.cure = least < wish.from ? "a colder oven (`find temper`)" : "a hotter oven (`find temper`)";
  return out;
}

} // namespace

StationAnswer answer_station(const Case& c, const Run& run, const StationMargins& margins) {
  StationAnswer s;
  s.name = run.station;
  const std::size_t station = c.station_called(run.station);
  s.wish = c.hardness_wish(station);
  s.mass_kg = run.mass_kg;
  s.hrc_band = c.steel.temper.uncertainty_HRC;
  s.hrc_as_quenched_band = steel::as_quenched_band_HRC(0, 0);
  s.display_ready_s = margins.display_ready_s;
  std::array<int, treatment::zone_count> columns{};
  std::copy_n(run.zone_column.begin(), columns.size(), columns.begin());
  const auto reaches = zone_reaches(c.wanted_zones(station), run.grid, columns),
             soaking = soak_reaches(run.grid, columns);
  for (std::size_t z = 0; z < columns.size(); ++z)
    s.zones[z] = ZoneReader(c, station, run, z, margins.zones[z]).answer(reaches[z], soaking[z]);
  s.timer_from_door_s = s.timer_from_recovery_s = s.timer_used_s = NAN;
  s.lift_below_smoke_s = s.lift_below_flash_s = s.surface_at_lift_degC = s.centre_at_lift_degC = NAN;
  s.hottest_at_lift_x_m = NAN;
  s.in_bath_s = s.flash_margin_K = NAN;
  s.bath_start_degC = s.bath_rise_K = s.bath_end_degC = NAN;
  s.bath_limit_degC = s.blades_in_a_row = s.least_interval_s = s.least_volume_m3 = NAN;
  s.hrc_as_quenched_least = s.hrc_as_quenched_most = s.hrc_tempered_least = s.hrc_tempered_most = NAN;
  if (const auto* furnace = span_of(run, Part::furnace)) {
    double latest = 0;
    for (const auto& z : s.zones)
      latest = std::isfinite(z.timer_from_door_s) ? std::max(latest, z.timer_from_door_s) : NAN;
    s.timer_from_door_s = whole_minutes_up(latest);
    s.timer_from_recovery_s = whole_minutes_up(std::max(0.0, latest - s.display_ready_s));
    s.timer_used_s = furnace->to_s - furnace->from_s;
    if (!c.steel.inert)
      s.soak = judge_soak(c, s, margins.furnace_final_degC,
                          *std::max_element(run.after_furnace.time_at_temperature.begin(),
                                            run.after_furnace.time_at_temperature.end()));
    if (s.soak.verdict == Verdict::marginal || s.soak.verdict == Verdict::fail)
      s.soak.cure = soak_cure(c, s, margins.furnace_final_degC);
  }
  if (!c.steel.inert)
    s.quench = judge_quench(s);
  if (const auto* bath = span_of(run, Part::bath)) {
    s.bath_end_degC = bath->bath_end_degC;
    s.in_bath_s = bath->to_s - bath->from_s;
    for (const treatment::StepSpan& span : run.spans)
      if (const auto* b = c.steps[span.step].as<treatment::Bath>(); b && b->coolant.flash_degC)
        s.flash_margin_K = std::fmin(s.flash_margin_K, *b->coolant.flash_degC - span.bath_end_degC);
    s.bath_start_degC = bath->bath_start_degC;
    s.bath_rise_K = bath->bath_end_degC - bath->bath_start_degC;
    judge_tank(s, c, bath->tank);
    s.surface_at_lift_degC = treatment::trace_value(run.time_s, run.outer_surface_max_degC, bath->to_s);
    s.centre_at_lift_degC = treatment::trace_value(run.time_s, run.hottest_degC, bath->to_s);
    const std::vector<double>& T = run.frames[bath->frame].state.temperature;
    const auto hottest = static_cast<std::size_t>(std::max_element(T.begin(), T.end()) - T.begin());
    s.hottest_at_lift_x_m = run.grid.x[hottest % static_cast<std::size_t>(run.grid.nx)];
    s.lift_below_smoke_s = seconds_until_below(run, *bath, c.bath().coolant.smoke_degC);
    s.lift_below_flash_s = seconds_until_below(run, *bath, c.bath().coolant.flash_degC);
  }
  if (!c.steel.inert && (span_of(run, Part::bath) || span_of(run, Part::transfer))) {
    const auto [least, most] = std::minmax_element(run.as_quenched_HV.begin(), run.as_quenched_HV.end());
    s.hrc_as_quenched_least = steel::hrc_from_hv(*least);
    s.hrc_as_quenched_most = steel::hrc_from_hv(*most);
    double austenite = 0, ferrite = 0, turned = 0;
    for (const ZoneAnswer& z : s.zones) {
      austenite = std::max(austenite, std::isfinite(z.retained_austenite) ? z.retained_austenite : 0.0);
      ferrite = std::max(ferrite, std::isfinite(z.austenite) ? std::min(1 - z.austenite, 0.5) : 0.0);
      if (z.wanted == treatment::Wanted::hard && std::isfinite(z.pearlite))
        turned = std::max(turned, z.pearlite + z.bainite);
    }
    s.hrc_as_quenched_band = steel::as_quenched_band_HRC(austenite, ferrite, turned);
    if (span_of(run, Part::temper)) {
      const auto [soft, hard] = std::minmax_element(run.final_HV.begin(), run.final_HV.end());
      s.hrc_tempered_least = steel::hrc_from_hv(*soft);
      s.hrc_tempered_most = steel::hrc_from_hv(*hard);
      for (const double parameter : run.final_state.tempering)
        s.hrc_band = std::max(s.hrc_band, steel::temper_band_HRC(c.steel.temper, parameter));
    }
    s.hardness = judge_hardness(c, s);
  }
  return s;
}

StationAnswer whole_station(const Case& c, std::size_t station, const Run& run, const StationMargins& margins,
                            Besides besides) {
  StationAnswer s = answer_station(c, run, margins);
  if (besides.surface)
    s.surface = surface_answer(c, c.blade.stations[station].profile, run, s);
  if (besides.metallurgy)
    fill_metallurgy(s, c, run);
  return s;
}

const char* verdict_name(Verdict verdict) {
  switch (verdict) {
  case Verdict::pass:
    return "PASS";
  case Verdict::marginal:
    return "MARGINAL";
  case Verdict::fail:
    return "FAIL";
  case Verdict::not_asked:
    return "not asked";
  }
  return "";
}

namespace {

/// Adds up the progress of pieces that an executor carries out, and passes on the wish to stop.
class SharedProgress {
 public:
  SharedProgress(const treatment::Progress& told, bool at_once, std::size_t pieces)
      : told_(told), at_once_(at_once), done_(pieces) {}

  /// From a piece: it is this far. False when somebody wants to stop.
  bool step(std::size_t piece, double share, Part part) {
    done_[piece] = share;
    part_ = part;
    if (at_once_ && !tell())
      stop_ = true;
    return !stop_;
  }
  /// From the thread of the caller.
  bool tell() {
    if (!told_)
      return true;
    double sum = 0;
    for (const std::atomic<double>& share : done_)
      sum += share;
    if (!told_(sum / static_cast<double>(done_.size()), part_))
      stop_ = true;
    return !stop_;
  }

 private:
  const treatment::Progress& told_;
  const bool at_once_; ///< all pieces run on the caller's thread
  std::vector<std::atomic<double>> done_;
  std::atomic<Part> part_{Part::furnace};
  std::atomic<bool> stop_{false};
};

} // namespace

void take_worst(Answers& a) {
  for (std::size_t i = 0; i < a.stations.size(); ++i) {
    const StationAnswer& s = a.stations[i];
    const auto take = [&](Judgement& total, const Judgement& one) {
      if (i == 0 || worst_of(total.verdict, one.verdict) != total.verdict) {
        total = one;
        if (a.stations.size() > 1 && !one.reason.empty())
          total.reason.lead_with(s.name + ": ");
      }
    };
    take(a.soak, s.soak);
    take(a.quench, s.quench);
    take(a.hardness, s.hardness);
  }
}

namespace {

Answers answer(const CarefulTimer* known, const Case& given, std::vector<Run>& runs,
               const treatment::Progress& progress, Executor* executor, const Stated& stated) {
  Case c = given;
  const std::size_t stations = c.blade.stations.size();
  SerialExecutor serial;
  Executor& hands = executor != nullptr ? *executor : serial;
  std::vector<StationMargins> margins(stations);
  Answers out;
  out.title = c.title;
  const bool set_timer = c.heated() && !c.furnace().timer_s;
  if (set_timer) {
    hands.for_each_index(stations, [&](std::size_t i) { margins[i] = soak_margins(c, i); });
    const CarefulTimer timer = known != nullptr ? *known : careful_timer(c, &hands);
    set_timer_from_door(c, std::isfinite(timer.careful_s) ? timer.careful_s : treatment::no_timer_s);
    out.assumptions.push_back(
        formatted("timer not given: set to %.0f min from door-close, which gives nine "
                  "blades in ten the asked soak of %.0f min; half of them have it by %.0f "
                  "min",
                  *c.furnace().timer_s / 60, c.wishes.soak_s / 60, timer.middle_s / 60));
  }
  Experiment experiment(c, Fields::all);
  // two pieces for each station: the run itself, and the many short ones behind its margins
  runs.assign(stations, {});
  std::vector<std::array<ZoneMargins, treatment::zone_count>> quench(stations);
  std::atomic<std::size_t> runs_done{0};
  bool told = !stated;
  const auto tell_stated = [&] {
    if (told || runs_done < stations)
      return;
    told = true;
    Answers first;
    first.title = c.title;
    for (std::size_t i = 0; i < stations; ++i)
      first.stations.push_back(
          answer_station(c, runs[i], set_timer ? margins[i] : soak_margins(c, i, runs[i])));
    take_worst(first);
    stated(first);
  };
  SharedProgress shared(progress, executor == nullptr, 2 * stations);
  hands.for_each_index(
      2 * stations,
      [&](std::size_t piece) {
        const std::size_t i = piece % stations;
        const bool run = piece < stations;
        if (run)
          runs[i] = experiment.take_run(
              i, [&](double share, Part part) { return shared.step(piece, share, part); });
        else
          quench_margins(c, i, quench[i], [&](double share) {
            if (!shared.step(piece, share, Part::bath))
              throw treatment::Interrupted();
          });
        shared.step(piece, 1, run ? Part::temper : Part::bath);
        runs_done += run ? 1 : 0;
      },
      [&](std::size_t) {
        tell_stated();
        return shared.tell();
      });
  tell_stated();
  out.stations.resize(stations);
  hands.for_each_index(stations, [&](std::size_t i) {
    if (!set_timer)
      margins[i] = soak_margins(c, i, runs[i]);
    take_quench_margins(margins[i], quench[i]);
    StationAnswer& s = out.stations[i];
    s = whole_station(c, i, runs[i], margins[i]);
    s.ovens = other_ovens(c, runs[i], s);
  });
  take_worst(out);
  out.warnings = warnings_for(c, out, runs);
  for (const std::string& line : c.defaults)
    out.assumptions.push_back(line);
  for (const std::string& line : model_assumptions(c))
    out.assumptions.push_back(line);
  out.cautions = cautions_for(c);
  return out;
}

} // namespace

Answers answer(const Case& c, std::vector<Run>& runs, const treatment::Progress& progress, Executor* executor,
               const Stated& stated) {
  return answer(nullptr, c, runs, progress, executor, stated);
}

Answers answer_with(const CarefulTimer& timer, const Case& c, std::vector<Run>& runs,
                    const treatment::Progress& progress, Executor* executor, const Stated& stated) {
  return answer(&timer, c, runs, progress, executor, stated);
}

} // namespace tq::answers
