// Questions about the work around one heat: several blades in a row, a second heat, normalising.
#include "answers/bath_limit.hpp"
#include "answers/find_parts.hpp"
#include "answers/margins.hpp"
#include "answers/surface.hpp"
#include "answers/timer.hpp"
#include "steel/grain.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers::questioning {

using treatment::Case;
using treatment::Part;

namespace {

constexpr double normalise_above_K = 60; ///< over the top of the usual hardening range; common practice
constexpr double normalise_soak_s = 600; ///< common practice, no source
constexpr double air_hardened = 0.05;    ///< martensite from which a drill notices; assumption, no source

double edge_thickness(const section::Profile& p) { return p.top.back() - p.bottom.back(); }

/// The blades of a row one after another, each in the bath as the one before left it `wait` seconds ago, up
/// to the first that makes it hotter than `limit`. `trial` has come to the bath.
std::vector<std::unique_ptr<Experiment>> row_of(const Asked& a, Experiment& trial, int blades, double wait,
                                                double limit) {
  const auto& bath = a.c.bath();
  std::vector<std::unique_ptr<Experiment>> row;
  double start = bath.temperature_degC;
  for (int blade = 0; blade < blades; ++blade) {
    trial.change(Part::bath, [&](Case& c) {
      c.bath().blades = 1; // the row is worked out here
      c.bath().temperature_degC = start;
    });
    compute(a, {&trial}, Part::bath);
    const double end = trial.outcome(Part::bath).bath_end_degC();
    if (end > limit)
      break;
    row.push_back(trial.twin());
    // it cools while the furnace recovers
    surroundings::Tank between = treatment::span_of(trial.run(0), Part::bath)->tank;
    between.fresh_degC = end;
    between.heat_J = 0;
    between.interval_s = wait;
    start = std::max(bath.temperature_degC, surroundings::bath_before_blade(between, 2));
  }
  return row;
}

struct Batch {
  int blades, in_a_row;
  double first, wait, last; ///< timers and time between blades [s]
  double first_soak, warmest;
};

void tell_batch(Finding& f, const Asked& a, const Batch& b, Experiment& last_blade) {
  f.settings = {
      minutes("first blade out, from closing the door", "first_out", "furnace.timer", b.first),
      minutes("wait for the furnace before the next", "wait", "", b.wait),
      minutes("last blade out", "last_out", "", b.last),
      count("blades before the bath must cool", "blades_in_a_row", "", static_cast<double>(b.in_a_row))};
  f.figures = {minutes("soak of the first blade", "first_soak", "", b.first_soak),
               minutes("soak of the last blade", "last_soak", "", last_blade.outcome(Part::furnace).soak_s()),
               temperature(a, "bath before the last of a row", "bath_before_last", "", b.warmest)};
  f.steps = {"order: the thinnest and the steel that bears a long soak least come out first",
             "all blades in together, upright and apart, so that each sees the walls",
             format("the first out after %.0f min, then one every %.0f min", b.first / 60, b.wait / 60),
             b.in_a_row < b.blades ? format("after %d blades wait until the bath is back at %s", b.in_a_row,
                                            a.degrees_text(a.c.bath().temperature_degC).c_str())
                                   : std::string("the bath takes all of them without a wait"),
             "temper each within the hour: the first must not wait for the last"};
  const double grain = grain_number(last_blade, 0);
  if (grain < coarsest_grain_number)
    f.notes.push_back(format("the last blade's grain grows coarser than ASTM %.0f: fewer blades per firing",
                             coarsest_grain_number));
  f.notes.push_back("the outcome is the last blade's, in the warmest bath of a row; a load of several blades "
                    "makes the furnace sag more than one: enter the sag you see as furnace.droop");
}

} // namespace

Finding find_batch(const Asked& a) {
  a.require(Part::furnace);
  a.require(Part::bath);
  a.require_steel();
  const int blades = a.options.blades.value_or(a.c.bath().blades > 1 ? a.c.bath().blades : 6);
  if (blades < 2 || blades > 50)
    a.refuse(format("%d blades; allowed: 2 to 50", blades));
  Finding f = begin(a, format("%d blades like this in one firing", blades));
  Experiment trial(a.c);
  // the door is opened for each: the furnace must be back before the next one leaves it at temperature
  const double wait = std::max(60.0, whole_minutes_up(a.c.furnace().recovery_s));
  const Case& set = trial.settings();
  const double first = treatment::blade_out_s(set.furnace());
  const double last = first + wait * (blades - 1);
  const std::unique_ptr<Experiment> last_blade = trial.twin();
  last_blade->change(Part::furnace, [&](Case& c) { set_timer_from_door(c, last); });
  compute(a, {&trial, last_blade.get()}, Part::transfer);
  const double first_soak = trial.outcome(Part::furnace).soak_s();
  const double limit = row_limit(a.c.bath(), a.c.thresholds.flash_margin_K).degC;
  // first how warm the bath is for each, then whether each hardens in it
  const std::vector<std::unique_ptr<Experiment>> row = row_of(a, trial, blades, wait, limit);
  if (row.empty()) {
    give_up(f, a,
            format("one blade alone takes the bath to %s, %s is allowed; ask for the `oil-volume`",
                   a.degrees_text(trial.outcome(Part::bath).bath_end_degC()).c_str(),
                   a.degrees_text(limit).c_str()));
    return f;
  }
  std::vector<Experiment*> trials;
  for (const auto& one : row)
    trials.push_back(one.get());
  compute(a, trials, Part::cool);
  int in_a_row = 0;
  while (in_a_row < static_cast<int>(row.size()) &&
         hardens(a.c, row[static_cast<std::size_t>(in_a_row)]->outcome(Part::cool)))
    ++in_a_row;
  if (in_a_row == 0) {
    give_up(f, a, "not even the first hardens: " + soft_zone(a.c, row.front()->outcome(Part::cool)));
    return f;
  }
  const double warmest = row[static_cast<std::size_t>(in_a_row) - 1]->settings().bath().temperature_degC;
  last_blade->change(Part::bath, [&](Case& c) {
    c.bath().blades = 1;
    c.bath().temperature_degC = warmest;
  });
  compute(a, {last_blade.get()}, Part::temper);
  // a first blade pulled before it was austenite has nothing to turn to pearlite: the last one shows it
  if (const Outcome& o = last_blade->outcome(Part::cool); !hardens(a.c, o)) {
    give_up(f, a,
            format("the last blade, out after %.0f min, does not harden: ", last / 60) + soft_zone(a.c, o));
    return f;
  }
  f.found = true;
  tell_batch(f, a, {blades, in_a_row, first, wait, last, first_soak, warmest}, *last_blade);
  finish(f, a, *last_blade, {"furnace", "foil", "oil", "transfer", "as quenched"});
  return f;
}

Finding find_reharden(const Asked& a) {
  a.require(Part::furnace);
  a.require(Part::bath);
  a.require_steel();
  Finding f = begin(a, "hardening it once more after what this case did to it");
  // the same heat a second time over the same skin
  double grind_once = 0, grind_twice = 0, need = 0;
  const treatment::Station* short_of = nullptr;
  double coarsest = 1e9;
  Experiment trial(a.c);
  compute(a, {&trial}, Part::temper);
  const Outcome& heated = trial.outcome(Part::furnace);
  const std::vector<treatment::Run> runs = runs_before_temper(a, trial.settings());
  for (std::size_t i = 0; i < runs.size(); ++i) {
    std::vector<steel::SkinPoint> history = skin_history(trial.settings(), runs[i]);
    const steel::SkinSettings settings = skin_settings(a.c);
    grind_once =
        std::max(grind_once, steel::grind_allowance(steel::skin_over(history, settings)).grind_per_side_m);
    const std::size_t n = history.size();
    const double again = history.empty() ? 0 : history.back().time_s;
    for (std::size_t k = 0; k < n; ++k) {
      steel::SkinPoint p = history[k];
      p.time_s += again;
      history.push_back(p);
    }
    const auto allowance = steel::grind_allowance(steel::skin_over(history, settings));
    grind_twice = std::max(grind_twice, allowance.grind_per_side_m);
    if (allowance.least_edge_m > edge_thickness(a.c.blade.stations[i].profile)) {
      short_of = &a.c.blade.stations[i];
      need = std::max(need, allowance.least_edge_m);
    }
    coarsest = std::min(coarsest, grain_number(trial, i));
  }
  f.figures = {length("to grind off per side after one heat", "grind_once", "", grind_once),
               length("to grind off per side after two", "grind_twice", "", grind_twice),
               count("grain after the first soak, ASTM", "grain_number", "", coarsest)};
  const bool coarse = coarsest < coarsest_grain_number;
  const Verdict soak = soak_verdict(trial.settings(), heated);
  if (short_of) {
    give_up(f, a,
            format("after two heats the edge of %s needs %.2f mm, it has %.2f mm: grind the edge back, or "
                   "leave it as it is",
                   short_of->name.c_str(), need * 1e3, edge_thickness(short_of->profile) * 1e3));
    return f;
  }
  f.found = true;
  f.settings = {length("yes, with more to grind off per side", "grind_more", "",
                       std::max(0.0, grind_twice - grind_once))};
  f.steps = {coarse ? "normalise first: the grain has grown, and hardening again alone does not refine it"
                    : "no need to normalise: the grain is fine",
             "temper it first if it is fresh from the quench, and straighten it now",
             "heat it again as before, with clean foil: what went into solution once does so sooner"};
  if (soak == Verdict::fail)
    f.steps.push_back("the soak of the first heat was not enough: ask for the `timer` before the second");
  f.notes.push_back("every quench is a new risk of cracks and of a bow; two heats are common, more are not");
  finish(f, a, trial, {"furnace", "foil", "oil", "as quenched"});
  if (f.quench == Verdict::fail)
    f.notes.push_back("the same quench would fail the same way: ask for `transfer`, `spine` and compare oils "
                      "before the second heat");
  return f;
}

Finding find_normalise(const Asked& a) {
  a.require_steel();
  const auto& usual = a.c.steel.austenitising;
  Case c = a.c;
  const treatment::Hardening h = c.hardening();
  const treatment::Air still{20, 0, treatment::longest_cooling_s, 20 + treatment::all_but_cold_K};
  treatment::Step furnace = h.furnace
                                ? c.steps[*h.furnace]
                                : treatment::Step{"furnace", treatment::Furnace{}, c.wrap.layers > 0, false};
  const treatment::Step carry{"transfer", c.transfer(), false, false};
  const treatment::Step cool = h.cool ? c.steps[*h.cool] : treatment::Step{"cool", still, false, false};
  furnace.coat = false;
  c.steps = {furnace, carry, cool};
  const Ladder& ladder = a.degrees();
  c.furnace().loading = treatment::Loading::hot;
  c.furnace().programme.clear();
  c.furnace().setpoint_degC = ladder.value(
      ladder.at_most(usual.hardening_to_degC + normalise_above_K - c.furnace().reading_offset_K));
  c.start = {};
  c.furnace().timer_s.reset();
  c.wishes.soak_s = normalise_soak_s;
  c.wrap.on_in_oil = false;
  c.transfer().time_s = 0;
  c.cool_to(c.cool().air_degC);
  let_timer_follow(c);
  const bool annealed = a.c.blade.start_state == records::StartState::spheroidised;
  Finding f =
      begin(a, format("normalising from %s in still air%s", a.degrees_text(c.furnace().setpoint_degC).c_str(),
                      annealed ? ", which annealed bar does not need" : ", which was done before"));
  if (!c.furnace().timer_s) {
    give_up(f, a, "the furnace does not bring the blade there");
    return f;
  }
  Experiment trial(c);
  const Outcome& o = trial.outcome();
  double most = 0, hardest = 0;
  for (const StationAnswer& s : o.stations)
    for (const ZoneAnswer& z : s.zones) {
      most = std::max(most, z.martensite);
      hardest = std::max(hardest, z.as_quenched_HRC);
    }
  f.found = true;
  f.settings = {temperature(a, "furnace, on the display", "setpoint", "", c.furnace().setpoint_degC),
                minutes("timer, from closing the door", "timer_from_door", "", *c.furnace().timer_s)};
  f.figures = {share("martensite after cooling in air, most", "air_martensite", most),
               hardness("hardness after cooling in air, most", "air_HRC", hardest)};
  f.steps.push_back(annealed
                        ? "not needed: annealed bar hardens as it is; normalise what was forged or overheated"
                        : "done already, as the case says: once more only when it was overheated since");
  if (most > air_hardened)
    f.steps.push_back(
        format("it hardens in air: up to %.0f %% martensite. Temper or anneal it before drilling, and "
               "do not bend it",
               100 * most));
  else
    f.steps.push_back("it stays soft in air at this thickness");
  f.steps.push_back("afterwards set start = \"fine pearlite\" in the case: carbide dissolves sooner");
  f.notes.push_back(
      format("%.0f K over the usual hardening range and %.0f min are common practice, no source",
             normalise_above_K, normalise_soak_s / 60));
  finish(f, a, trial, {"furnace", "foil"});
  f.with_setting = a.c;
  f.soak = f.quench = f.hardness = Verdict::not_asked;
  return f;
}

} // namespace tq::answers::questioning
