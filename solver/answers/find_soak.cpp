// Questions about the furnace: timer, earliest and latest out, set point, programme.
#include "answers/find_parts.hpp"
#include "answers/margins.hpp"
#include "answers/timer.hpp"
#include "steel/transformation.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers::questioning {

using treatment::Case;
using treatment::Loading;
using treatment::Part;
using treatment::TimerStart;

namespace {

constexpr long most_minutes = static_cast<long>(longest_timer_s) / 60;
constexpr double slack_s = 0.5;    ///< of a soak counted step by step
constexpr double settled_min = 20; ///< brick behind the display; common practice 15-30 min

double wanted_soak(const Asked& a) {
  const double soak = a.options.wish.value_or(a.c.wishes.soak_s);
  if (soak <= 0)
    a.refuse("no soak is asked for; give it with --wish, like --wish '20 min'");
  return soak;
}

void set_timer(Experiment& trial, double s) {
  trial.change(Part::furnace, [&](Case& c) { set_timer_from_door(c, s); });
}

bool sound(const Case& c, const Outcome& o) {
  return 1 - o.austenite() <= usable_part * (1 - c.thresholds.austenite_least) &&
         o.carbon_wt() >= c.steel.austenitising.carbon_wanted_wt;
}

double worst_grain(Experiment& trial) {
  double coarsest = 1e9;
  for (std::size_t i = 0; i < trial.outcome(Part::furnace).stations.size(); ++i)
    coarsest = std::min(coarsest, grain_number(trial, i));
  return coarsest;
}

/// What a soak overdone would show; empty when nothing is overdone.
std::string overdone(Experiment& trial) {
  const double grain = worst_grain(trial);
  if (grain < coarsest_grain_number)
    return format("the grain grows coarser than ASTM %.0f", coarsest_grain_number);
  const double austenite = trial.outcome(Part::cool).retained_austenite();
  if (austenite > most_retained_austenite)
    return format("more than %.0f %% of austenite is left after the quench", 100 * most_retained_austenite);
  return "";
}

/// The display's clock starts when it is back at its setting.
double ready_s(Experiment& trial) { return trial.outcome(Part::furnace).stations.front().display_ready_s; }

std::string never_hot(const Asked& a) {
  return format("the blade is never within %.3g K of the furnace's true %s; %.0f h were looked at",
                a.c.wishes.within_K, a.degrees_text(furnace_true_degC(a.c)).c_str(), most_minutes / 60.0);
}

std::string soak_lack(const Asked& a, const Outcome& o) {
  if (1 - o.austenite() > usable_part * (1 - a.c.thresholds.austenite_least))
    return format("only %.1f %% of it is austenite", 100 * o.austenite());
  return format("only %.3f %%C goes into solution of the %.3g wanted", o.carbon_wt(),
                a.c.steel.austenitising.carbon_wanted_wt);
}

struct FoundTimer {
  double timer_s = 0, reaches_s = 0;
  Experiment* trial = nullptr;
};

/// Whole minutes from closing the door until the blade comes out of a furnace that is asked for `soak`.
Rungs timers(const Asked& a, double soak) {
  Case c = a.c;
  c.wishes.soak_s = soak;
  c.furnace().timer_s = soak; // every rung sets its own
  return {a, c, Part::furnace,
          [](Experiment& trial, long minute) { set_timer(trial, whole_minutes.value(minute)); }};
}

/// Timer for the soak, confirmed on the case's own grid.
std::optional<FoundTimer> search_timer(const Asked& a, Rungs& rungs, double soak) {
  Case c = a.c;
  c.wishes.soak_s = soak;
  const double about = timer_for_soak(c);
  if (std::isnan(about))
    return std::nullopt;
  const long guess = whole_minutes.at_least(about);
  const auto k = rungs.first_good_from(guess, 1, guess + 60, Part::furnace, [&](Experiment& trial) {
    return trial.outcome(Part::furnace).soak_s() >= soak - slack_s;
  });
  if (!k)
    return std::nullopt;
  Experiment& trial = rungs.exact(*k);
  return FoundTimer{whole_minutes.value(*k), trial.outcome(Part::furnace).reaches_temperature_s(), &trial};
}

} // namespace

Finding find_timer(const Asked& a) {
  a.require(Part::furnace);
  const double soak = wanted_soak(a);
  Finding f = begin(a, format("timer for %.3g min within %.3g K of the furnace's %s", soak / 60,
                              a.c.wishes.within_K, a.degrees_text(furnace_true_degC(a.c)).c_str()));
  Rungs rungs = timers(a, soak);
  const auto found = search_timer(a, rungs, soak);
  if (!found) {
    give_up(f, a, never_hot(a));
    return f;
  }
  f.found = true;
  const double ready = ready_s(*found->trial);
  f.settings = {minutes("timer, from closing the door", "timer_from_door", "furnace.timer", found->timer_s),
                minutes("or from when the display is back at its setting", "timer_from_recovery", "",
                        whole_minutes_up(std::max(0.0, found->timer_s - ready)))};
  f.figures = {
      minutes("the display is back at its setting after", "display_ready", "", ready),
      minutes("the slowest place is at temperature after", "reaches_temperature", "", found->reaches_s)};
  finish(f, a, *found->trial, {"furnace", "foil"});
  if (!a.c.steel.inert && !sound(f.with_setting, f.outcome))
    f.notes.push_back("that soak is not enough for this steel at this temperature: " +
                      soak_lack(a, f.outcome) + "; ask for `out` or `setpoint`");
  return f;
}

Finding find_out(const Asked& a) {
  a.require(Part::furnace);
  a.require(Part::bath);
  a.require_steel();
  Finding f = begin(a, format("earliest and latest out of the furnace at %s",
                              a.degrees_text(furnace_true_degC(a.c)).c_str()));
  Rungs rungs(a, a.c, Part::furnace,
              [](Experiment& trial, long minute) { set_timer(trial, whole_minutes.value(minute)); });
  const auto earliest = rungs.first_good(1, most_minutes, Part::furnace, [&](Experiment& trial) {
    return sound(a.c, trial.outcome(Part::furnace));
  });
  if (!earliest) {
    give_up(f, a,
            "even after " + format("%.0f h ", most_minutes / 60.0) +
                soak_lack(a, rungs.exact(most_minutes).outcome(Part::furnace)) + "; ask for a `setpoint`");
    return f;
  }
  const auto latest = rungs.last_good(*earliest, most_minutes, Part::cool,
                                      [](Experiment& trial) { return overdone(trial).empty(); });
  if (!latest) {
    give_up(f, a,
            format("by the time it is soaked, after %ld min, ", *earliest) +
                overdone(rungs.exact(*earliest)) + "; set the furnace lower");
    return f;
  }
  f.found = true;
  f.settings = {
      at_least(minutes("earliest out, from closing the door", "earliest_out", "furnace.timer",
                       whole_minutes.value(*earliest))),
      at_most(minutes("latest out, from closing the door", "latest_out", "", whole_minutes.value(*latest)))};
  if (*latest == most_minutes)
    f.notes.push_back(format("nothing is overdone within %.0f h as far as grain and austenite tell; the skin "
                             "suffers earlier when it is bare",
                             most_minutes / 60.0));
  else
    f.notes.push_back("later: " + overdone(rungs.exact(*latest + 1)));
  f.notes.push_back("what follows belongs to the earliest");
  Experiment& out = rungs.exact(*earliest);
  f.figures = {share("carbon in solution, by weight", "carbon_in_solution",
                     out.outcome(Part::furnace).carbon_wt() / 100)};
  finish(f, a, out, {"furnace", "foil"});
  return f;
}

Finding find_setpoint(const Asked& a) {
  a.require(Part::furnace);
  a.require(Part::bath);
  a.require_steel();
  if (a.c.furnace().loading == Loading::cold)
    a.refuse("a cold load follows its programme; ask for the programme, or load hot");
  const auto& usual = a.c.steel.austenitising;
  Finding f =
      begin(a, a.options.wish ? format("furnace setting for at least %.3g HRC as quenched", *a.options.wish)
                              : std::string("furnace setting for a sound soak"));
  const double offset = a.c.furnace().reading_offset_K;
  const Ladder& ladder = a.degrees();
  const bool own_timer = a.c.furnace().timer_s.has_value();
  Rungs rungs(a, a.c, Part::furnace, [&](Experiment& trial, long k) {
    trial.change(Part::furnace, [&](Case& c) {
      c.furnace().setpoint_degC = ladder.value(k);
      if (!own_timer)
        let_timer_follow(c);
    });
  });
  const auto low_enough = [&](Experiment& trial) { return overdone(trial).empty(); };
  const auto hot_enough = [&](Experiment& trial) {
    const Outcome& o = trial.outcome(a.options.wish ? Part::cool : Part::furnace);
    return sound(a.c, o) && o.soak_s() >= 0.9 * a.c.wishes.soak_s - slack_s &&
           (!a.options.wish || o.as_quenched_least_HRC() >= *a.options.wish);
  };
  double top_degC = usual.hardening_to_degC + overheated_K;
  if (a.c.wrap.layers > 0 && a.c.wrap.foil.service_limit_degC > 0)
    top_degC = std::min(top_degC, a.c.wrap.foil.service_limit_degC);
  const long bottom = ladder.at_least(steel::ac1(a.c.steel) - offset),
             top = ladder.at_most(top_degC - offset);
  const auto highest = rungs.last_good(bottom, top, Part::cool, low_enough);
  if (!highest) {
    give_up(f, a,
            "at the lowest temperature at which it turns to austenite, " + overdone(rungs.exact(bottom)) +
                " in that time");
    return f;
  }
  const auto lowest = rungs.first_good(bottom, *highest, Part::furnace, hot_enough);
  if (!lowest) {
    Experiment& trial = rungs.exact(*highest);
    const Outcome& o = trial.outcome(Part::cool);
    const std::string limit =
        "at the highest setting that is not overdone, " + a.degrees_text(ladder.value(*highest)) + ", ";
    if (!sound(a.c, o))
      give_up(f, a, limit + soak_lack(a, o));
    else if (o.soak_s() < 0.9 * a.c.wishes.soak_s - slack_s)
      give_up(f, a,
              limit + format("the soak is %.0f min of the %.0f asked; ask for the `timer`", o.soak_s() / 60,
                             a.c.wishes.soak_s / 60));
    else
      give_up(f, a, limit + format("the softest zone has %.1f HRC as quenched", o.as_quenched_least_HRC()));
    return f;
  }
  f.found = true;
  // in the middle of what allows it, inside what is usual for the steel; with a wish just what reaches it
  const long usual_low = ladder.at_least(usual.hardening_from_degC - offset),
             usual_high = ladder.at_most(usual.hardening_to_degC - offset);
  const long low = std::clamp(usual_low, *lowest, *highest), high = std::clamp(usual_high, *lowest, *highest);
  const long best = a.options.wish ? *lowest : low + (high - low) / 2;
  Experiment& there = rungs.exact(best);
  f.settings = {
      temperature(a, "furnace, on the display", "setpoint", "furnace.setpoint", ladder.value(best)),
      at_least(temperature(a, "lowest that still does it", "lowest_setpoint", "", ladder.value(*lowest))),
      at_most(temperature(a, "highest that still does it", "highest_setpoint", "", ladder.value(*highest)))};
  const double timer = there.outcome(Part::furnace).stations.front().timer_used_s;
  if (own_timer)
    f.notes.push_back(format("for the case's own timer, blade out after %.0f min", timer / 60));
  else
    f.settings.push_back(
        minutes("timer with it, from closing the door", "timer_from_door", "furnace.timer", timer));
  const std::string hotter = overdone(rungs.exact(*highest + 1));
  f.notes.push_back(!hotter.empty() ? "hotter: " + hotter
                                    : "hotter: beyond what is usual for this steel, or for the foil");
  if (offset != 0)
    f.notes.push_back(format("the furnace is taken as %.3g K %s than it shows", std::abs(offset),
                             offset > 0 ? "hotter" : "colder"));
  finish(f, a, there, {"furnace", "foil"});
  return f;
}

Finding find_programme(const Asked& a) {
  a.require(Part::furnace);
  const double soak = wanted_soak(a);
  Finding f = begin(a, format("programme of the furnace for %.3g min at temperature", soak / 60));
  Rungs rungs = timers(a, soak);
  const auto found = search_timer(a, rungs, soak);
  if (!found) {
    give_up(f, a, never_hot(a));
    return f;
  }
  f.found = true;
  const auto& furnace = a.c.furnace();
  const double ready = ready_s(*found->trial), out = found->timer_s;
  if (furnace.loading == Loading::hot) {
    f.steps = {"line 1: as fast as it will to " + a.degrees_text(furnace.setpoint_degC),
               format("hold %.0f min with the door shut, so that the brick is as hot as the display says",
                      settled_min),
               format("blade in; the display sags and is back after about %.0f min", std::ceil(ready / 60)),
               format("hold until the blade is out, %.0f min after the door was closed", out / 60)};
    f.settings = {minutes("hold before the blade goes in", "hold_before", "", 60 * settled_min),
                  minutes("blade out, from closing the door", "timer_from_door", "furnace.timer", out)};
    f.notes.push_back("the hold before the blade is common practice, 15 to 30 min; no source");
  } else {
    f.steps.push_back("blade in, door closed, then start");
    int line = 1;
    for (const auto& step : furnace.programme) {
      const bool last = line == static_cast<int>(furnace.programme.size());
      std::string text = format("line %d: ", line++);
      text += step.rate_K_s > 0
                  ? format("%.3g K/min (%.3g degF/min)", step.rate_K_s * 60, step.rate_K_s * 60 * 1.8)
                  : std::string("as fast as it will");
      text += " to " + a.degrees_text(step.target_degC) + ", hold ";
      const double hold = last ? whole_minutes_up(std::max(0.0, out - ready)) : step.hold_s;
      f.steps.push_back(text + format("%.0f min", std::ceil(hold / 60 - 1e-9)));
      if (last)
        f.settings = {minutes("hold of the last line", "last_hold", "furnace.programme.hold", hold),
                      minutes("blade out, from the start", "timer_from_door", "furnace.timer", out)};
    }
    f.steps.push_back(format("blade out %.0f min after the start", out / 60));
  }
  f.figures = {
      minutes("the slowest place is at temperature after", "reaches_temperature", "", found->reaches_s)};
  finish(f, a, *found->trial, {"furnace", "foil"});
  return f;
}

} // namespace tq::answers::questioning
