// Questions about the quench: the way to the bath, the oil, foil that stays on, lifting out.
#include "answers/bath_limit.hpp"
#include "answers/find_parts.hpp"
#include "answers/margins.hpp"
#include "answers/telling.hpp"
#include "steel/transformation.hpp"
#include "treatment/trace.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers::questioning {

using treatment::Case;
using treatment::Part;

namespace {

constexpr double most_oil_m3 = 0.2;
constexpr double widest_gap_m = 2e-3;
constexpr double longest_bath_s = 600;
constexpr double coldest_oil_degC = 10;

void check_quench(const Asked& a) {
  a.require(Part::bath);
  a.require_steel();
}

double hottest_surface_at_lift(const Outcome& o) {
  double most = -1e9;
  for (const StationAnswer& s : o.stations)
    most = std::max(most, s.surface_at_lift_degC);
  return most;
}

const ZoneAnswer& slowest_at_lift(const Outcome& o) {
  const ZoneAnswer* hottest = nullptr;
  for (const StationAnswer& s : o.stations)
    for (const ZoneAnswer& z : s.zones)
      if (!hottest || z.at_lift_degC > hottest->at_lift_degC)
        hottest = &z;
  return *hottest;
}

void set_bath_time(Experiment& trial, double s) {
  trial.change(Part::bath, [&](Case& c) {
    c.bath().time_s = s;
    c.bath().out_at_degC.reset();
  });
}

} // namespace

double lift_below(const Case& c) {
  const records::CoolantRecord& oil = c.bath().coolant;
  if (oil.kind != records::CoolantKind::oil)
    return 1e9;
  return std::min(oil.smoke_degC.value_or(1e9),
                  oil.flash_degC ? *oil.flash_degC - c.thresholds.flash_margin_K : 1e9);
}

Finding find_transfer(const Asked& a) {
  a.require(Part::transfer);
  check_quench(a);
  Finding f = begin(a, "longest way from furnace to " + a.c.bath().coolant.name);
  Rungs rungs(a, a.c, Part::transfer, [](Experiment& trial, long k) {
    trial.change(Part::transfer, [&](Case& c) { c.transfer().time_s = half_seconds.value(k); });
  });
  const auto cooled = [&](long k) -> const Outcome& { return rungs.exact(k).outcome(Part::cool); };
  const long most = half_seconds.at_most(most_transfer_s);
  const auto longest = rungs.last_good(
      0, most, Part::cool, [&](Experiment& trial) { return hardens(a.c, trial.outcome(Part::cool)); });
  if (!longest) {
    give_up(f, a,
            "even with no way at all " + soft_zone(a.c, cooled(0)) + "; the bath is too slow, not the way");
    return f;
  }
  f.found = true;
  f.settings = {at_most(seconds("from furnace to bath, at most", "longest_transfer", "transfer.time",
                                half_seconds.value(*longest)))};
  if (*longest == most)
    f.notes.push_back(format("longer than %.0f s was not looked at", most_transfer_s));
  else
    f.notes.push_back("half a second more and " + soft_zone(a.c, cooled(*longest + 1)));
  f.notes.push_back("this is the end of what passes, not a target: be quicker");
  const Outcome& o = cooled(*longest);
  f.figures = {temperature(a, "edge into the bath then at", "edge_into_bath", "",
                           o.stations.front().zones[treatment::zone_edge].into_bath_degC),
               temperature(a, "thickest place into the bath then at", "thickest_into_bath", "",
                           o.stations.front().zones[treatment::zone_thickest].into_bath_degC)};
  finish(f, a, rungs.exact(*longest), {"transfer", "foil", "oil"});
  return f;
}

Finding find_oil_volume(const Asked& a) {
  check_quench(a);
  const auto& bath = a.c.bath();
  if (bath.coolant.kind == records::CoolantKind::air || bath.fixed_htc_W_m2K > 0)
    a.refuse("this bath has no volume");
  const int blades = a.options.blades.value_or(bath.blades);
  if (blades < 1 || blades > 50)
    a.refuse(format("%d blades; allowed: 1 to 50", blades));
  const double rise = a.options.wish.value_or(most_bath_rise_K);
  if (rise <= 0)
    a.refuse("the rise allowed must be more than 0 K");
  const double limit =
      std::min(bath.temperature_degC + rise, bath_limit(bath, a.c.thresholds.flash_margin_K).degC);
  Finding f = begin(a, format("least %s at %s for %s, rise at most %.3g K", bath.coolant.name.c_str(),
                              a.degrees_text(bath.temperature_degC).c_str(),
                              blades > 1 ? format("%d blades in a row", blades).c_str() : "one blade", rise));
  if (limit <= bath.temperature_degC) {
    give_up(f, a, "the bath stands at its limit before the first blade");
    return f;
  }
  Rungs rungs(a, a.c, Part::bath, [&](Experiment& trial, long k) {
    trial.change(Part::bath, [&](Case& c) {
      c.bath().blades = blades;
      c.bath().volume_m3 = half_litres.value(k);
    });
  });
  const long most = half_litres.at_most(most_oil_m3);
  const auto least = rungs.first_good(1, most, Part::bath, [&](Experiment& trial) {
    return trial.outcome(Part::bath).bath_end_degC() <= limit && hardens(a.c, trial.outcome(Part::cool));
  });
  if (!least) {
    const Outcome& o = rungs.exact(most).outcome(Part::cool);
    give_up(f, a,
            o.bath_end_degC() > limit
                ? format("even %.0f L end at %s, %s is allowed", most_oil_m3 * 1e3,
                         a.degrees_text(o.bath_end_degC()).c_str(), a.degrees_text(limit).c_str())
                : "in any amount of it " + soft_zone(a.c, o));
    return f;
  }
  f.found = true;
  f.settings = {at_least(volume("oil, at least", "least_volume", "bath.volume", half_litres.value(*least)))};
  Experiment& best = rungs.exact(*least);
  f.figures = {temperature(a, "it ends at", "bath_end", "", best.outcome(Part::bath).bath_end_degC())};
  if (blades > 1)
    f.notes.push_back("the outcome is the last blade's, " +
                      (bath.interval_s > 0 ? hours_text(bath.interval_s) + " after the one before"
                                           : std::string("without a wait between blades")));
  f.notes.push_back("the tank must also be deep enough to take blade and tongs wholly");
  finish(f, a, best, {"oil"});
  return f;
}

Finding find_oil_temperature(const Asked& a) {
  check_quench(a);
  const auto& bath = a.c.bath();
  const bool oil = bath.coolant.kind == records::CoolantKind::oil;
  if (bath.coolant.kind == records::CoolantKind::air || bath.fixed_htc_W_m2K > 0)
    a.refuse("this bath has no temperature to choose");
  Finding f = begin(a, "how hot " + bath.coolant.name + " should be");
  const Ladder& ladder = a.degrees();
  Rungs rungs(a, a.c, Part::bath, [&](Experiment& trial, long k) {
    trial.change(Part::bath, [&](Case& c) { c.bath().temperature_degC = ladder.value(k); });
  });
  treatment::Bath fresh = bath;
  fresh.temperature_degC = coldest_water_degC; // the usual window counts, wherever the case begins
  const BathLimit hottest = bath_limit(fresh, a.c.thresholds.flash_margin_K);
  const double limit = oil ? hottest.degC : hottest_water_degC;
  const Rungs::Good good = [&](Experiment& trial) {
    return trial.outcome(Part::bath).bath_end_degC() <= limit && hardens(a.c, trial.outcome(Part::cool));
  };
  // nothing outside the range for which the record says what the temperature does
  const auto& rows = bath.coolant.by_bath_temperature;
  const bool ranged = oil && rows.size() > 1;
  const double tested_from = ranged ? std::max(rows.front().at, coldest_oil_degC) : coldest_oil_degC,
               tested_to = ranged ? rows.back().at : 200.0;
  const long bottom = ladder.at_least(oil ? tested_from : coldest_water_degC),
             top = ladder.at_most(std::min(limit, tested_to));
  // from the usual temperature outwards, or from the first that passes
  const bool window = bath.coolant.recommended_to_degC > bath.coolant.recommended_from_degC;
  const long usual = std::clamp(
      ladder.at_most(window ? 0.5 * (bath.coolant.recommended_from_degC + bath.coolant.recommended_to_degC)
                            : bath.temperature_degC),
      bottom, top);
  std::optional<long> inside;
  for (long away = 0; away <= top - bottom && !inside; away = away < 1 ? 1 : away + 2)
    for (const long k : {usual + away, usual - away})
      if (!inside && k >= bottom && k <= top && rungs.good_on_both(k, Part::cool, good))
        inside = k;
  if (!inside) {
    give_up(f, a,
            "at its usual temperature " + soft_zone(a.c, rungs.exact(usual).outcome(Part::cool)) +
                ", and warmer or colder it does no better");
    return f;
  }
  f.found = true;
  const long highest = *rungs.last_good(*inside, top, Part::cool, good),
             lowest = *rungs.first_good(bottom, *inside, Part::cool, good);
  const long best = std::clamp(usual, lowest, highest);
  f.settings = {
      temperature(a, "bath, before the blade", "bath", "bath.temperature", ladder.value(best)),
      at_least(temperature(a, "lowest that still hardens", "lowest_bath", "", ladder.value(lowest))),
      at_most(temperature(a, "highest that still hardens", "highest_bath", "", ladder.value(highest)))};
  for (const long k : {lowest, highest})
    f.figures.push_back(
        count(format("cooling at %s, times the rate it needs", a.degrees_text(ladder.value(k)).c_str()),
              k == lowest ? "rate_margin_lowest" : "rate_margin_highest", "",
              rungs.exact(k).outcome(Part::cool).rate_margin()));
  if (lowest == bottom)
    f.notes.push_back(oil ? "colder was not looked at: cold oil is thick and wets badly, and below " +
                                a.degrees_text(tested_from) + " its record knows nothing"
                          : std::string("colder was not looked at"));
  if (highest == top)
    f.notes.push_back(!oil ? std::string("hotter was not looked at")
                      : limit <= tested_to
                          ? "hotter was not looked at: at " + a.degrees_text(limit) + " " + hottest.by
                          : "hotter was not looked at: above " + a.degrees_text(tested_to) +
                                " its record knows nothing");
  if (window && (ladder.value(best) < bath.coolant.recommended_from_degC - 3 ||
                 ladder.value(best) > bath.coolant.recommended_to_degC + 3))
    f.notes.push_back(format("usual for it is %s to %s",
                             a.degrees_text(bath.coolant.recommended_from_degC).c_str(),
                             a.degrees_text(bath.coolant.recommended_to_degC).c_str()));
  finish(f, a, rungs.exact(best), {"oil"});
  return f;
}

Finding find_foil_gap(const Asked& a) {
  check_quench(a);
  if (a.c.wrap.layers == 0)
    a.refuse("the case has no foil ([wrap])");
  Finding f = begin(a, "largest gap of foil that stays on in " + a.c.bath().coolant.name);
  Case plunged = a.c;
  plunged.keep_foil_on();
  plunged.wrap.fixed_conductance_W_m2K = 0;
  constexpr double bath_in_foil_s = 180; // as the case reader: foil needs longer
  plunged.bath().time_s = std::max(plunged.bath().time_s, bath_in_foil_s);
  Rungs rungs(a, plunged, Part::furnace, [](Experiment& trial, long k) {
    trial.change(Part::furnace, [&](Case& c) {
      c.wrap.gap_m.fill(five_um.value(k));
      let_timer_follow(c);
    });
  });
  const auto cooled = [&](long k) -> const Outcome& { return rungs.exact(k).outcome(Part::cool); };
  const long most = five_um.at_most(widest_gap_m);
  const auto widest = rungs.last_good(
      0, most, Part::cool, [&](Experiment& trial) { return hardens(a.c, trial.outcome(Part::cool)); });
  if (!widest) {
    give_up(f, a,
            "even foil pressed on without any gap is too slow: " + soft_zone(a.c, cooled(0)) +
                "; strip it before the oil");
    return f;
  }
  f.found = true;
  f.settings = {at_most(
      length("gap between foil and steel, at most", "widest_gap", "wrap.gap", five_um.value(*widest)))};
  if (*widest == most)
    f.notes.push_back(format("wider than %.0f mm was not looked at", widest_gap_m * 1e3));
  else
    f.notes.push_back("5 um more and " + soft_zone(a.c, cooled(*widest + 1)));
  const auto& foil = a.c.wrap.foil;
  f.notes.push_back(
      format("a hand-folded packet has %.2g mm, a pressed one %.0f um, a factor %.2g either way",
             foil.gap_hand_folded_m * 1e3, foil.gap_pressed_m * 1e6, foil.gap_factor));
  if (five_um.value(*widest) < foil.gap_pressed_m * foil.gap_factor)
    f.notes.push_back("no packet is that tight for certain: strip the foil before the oil");
  if (a.c.heated())
    f.settings.push_back(minutes("timer with that gap, from closing the door", "timer_from_door",
                                 "furnace.timer", cooled(*widest).stations.front().timer_used_s));
  finish(f, a, rungs.exact(*widest), {"foil", "oil", "transfer"});
  return f;
}

Finding find_lift(const Asked& a) {
  check_quench(a);
  a.require(Part::cool);
  const double below = lift_below(a.c);
  Finding f = begin(a, "shortest time in " + a.c.bath().coolant.name + " before it may cool on in air");
  Rungs rungs(a, a.c, Part::bath,
              [](Experiment& trial, long k) { set_bath_time(trial, half_seconds.value(k)); });
  const long most = half_seconds.at_most(longest_bath_s);
  const auto shortest = rungs.first_good(1, most, Part::bath, [&](Experiment& trial) {
    return hottest_surface_at_lift(trial.outcome(Part::bath)) <= below &&
           hardens(a.c, trial.outcome(Part::cool));
  });
  if (!shortest) {
    const Outcome& o = rungs.exact(most).outcome(Part::cool);
    give_up(f, a,
            hardens(a.c, o) ? format("even after %.0f s the surface is at %s", longest_bath_s,
                                     a.degrees_text(hottest_surface_at_lift(o)).c_str())
                            : "however long it stays, " + soft_zone(a.c, o));
    return f;
  }
  f.found = true;
  f.settings = {at_least(
      seconds("in the bath, at least", "least_in_bath", "bath.time", half_seconds.value(*shortest)))};
  const Outcome& o = rungs.exact(*shortest).outcome(Part::bath);
  f.figures = {temperature(a, "hottest place then", "centre_at_lift", "", slowest_at_lift(o).at_lift_degC),
               temperature(a, "surface then", "surface_at_lift", "", hottest_surface_at_lift(o))};
  if (*shortest > 1) {
    const Outcome& sooner = rungs.exact(*shortest - 1).outcome(Part::cool);
    f.notes.push_back(hardens(a.c, sooner) ? std::string("sooner: the oil on it smokes or may flare")
                                           : "sooner: " + soft_zone(a.c, sooner));
  }
  f.notes.push_back("unless it is to be straightened, leave it until it is hand-warm");
  finish(f, a, rungs.exact(*shortest), {"oil", "as quenched"});
  return f;
}

namespace {

/// Martensite start [degC] of the thickest place as it is lifted.
double ms_at_lift(const Asked& a, Experiment& trial, std::size_t station) {
  const ZoneAnswer& thickest = trial.outcome(Part::bath).stations[station].zones[treatment::zone_thickest];
  return std::isnan(thickest.carbon_in_solution)
             ? thickest.ms_degC
             : steel::martensite_start(a.c.steel, thickest.carbon_in_solution);
}

/// From lifting until the thickest place reaches Ms, and until half of it is martensite [s].
struct Window {
  double soft_s = ZoneAnswer::none, half_hard_s = ZoneAnswer::none;
};

Window window_of(const Asked& a, Experiment& lifted) {
  Window out;
  const Outcome& cooled = lifted.outcome(Part::cool);
  const double half_K = math::log(2.0) / steel::martensite_rate(a.c.steel, a.c.steel.transformation.matrix.C);
  for (std::size_t i = 0; i < cooled.stations.size(); ++i) {
    const treatment::Run& run = lifted.run(i);
    const double from = treatment::span_of(run, Part::cool)->from_s;
    const auto until = [&](double level) {
      return treatment::last_fall(run.time_s, run.zones[treatment::zone_thickest].temperature, level, from,
                                  run.spans[run.hardening.after(Part::cool) - 1].to_s) -
             from;
    };
    const auto sooner = [](double x, double y) {
      return std::isnan(x) ? y : std::isnan(y) ? x : std::min(x, y);
    };
    out.soft_s = sooner(out.soft_s, until(ms_at_lift(a, lifted, i)));
    out.half_hard_s = sooner(out.half_hard_s, until(ms_at_lift(a, lifted, i) - half_K));
  }
  return out;
}

/// What a hot surface does on lifting.
std::string flare_note(const Asked& a, const Outcome& earliest, const Outcome& latest) {
  return format("lifted at the earliest its surface is at %s, at the latest at %s; oil on it smokes or may "
                "flare above %s: lift late rather than early, lid at hand, nothing that burns near",
                a.degrees_text(hottest_surface_at_lift(earliest)).c_str(),
                a.degrees_text(hottest_surface_at_lift(latest)).c_str(),
                a.degrees_text(lift_below(a.c)).c_str());
}

} // namespace

std::vector<Setting> window_settings(const Asked& a, Experiment& lifted) {
  const Window window = window_of(a, lifted);
  const auto down = [](double s) { return half_seconds.value(half_seconds.at_most(s)); };
  return {seconds("lifted at the earliest, it can be bent for", "window", "", down(window.soft_s)),
          seconds("and half hard after", "half_hard", "", down(window.half_hard_s))};
}

Finding find_interrupt(const Asked& a) {
  check_quench(a);
  a.require(Part::cool);
  Finding f = begin(a, "when to lift it out of " + a.c.bath().coolant.name + " to straighten it");
  Rungs rungs(a, a.c, Part::bath,
              [](Experiment& trial, long k) { set_bath_time(trial, half_seconds.value(k)); });
  // the body bends while its thickest place is austenite; thin edges harden before it
  const auto still_soft = [&](Experiment& trial) {
    const Outcome& o = trial.outcome(Part::bath);
    for (std::size_t i = 0; i < o.stations.size(); ++i)
      if (o.stations[i].zones[treatment::zone_thickest].at_lift_degC < ms_at_lift(a, trial, i))
        return false;
    return true;
  };
  const long most = half_seconds.at_most(longest_bath_s);
  const auto earliest = rungs.first_good(
      1, most, Part::cool, [&](Experiment& trial) { return hardens(a.c, trial.outcome(Part::cool)); });
  if (!earliest) {
    give_up(f, a,
            "it does not harden in this bath, however long it stays: " +
                soft_zone(a.c, rungs.exact(most).outcome(Part::cool)));
    return f;
  }
  Experiment& lifted = rungs.exact(*earliest);
  const auto latest = rungs.last_good(1, most, Part::bath, still_soft);
  if (!latest || *latest < *earliest) {
    give_up(
        f, a,
        format("it must stay %.1f s in the bath to harden, and by then even the thickest place is past the "
               "start of martensite at %s; straighten it in the second temper",
               half_seconds.value(*earliest), a.degrees_text(ms_at_lift(a, lifted, 0)).c_str()));
    return f;
  }
  f.found = true;
  const Outcome& at_lift = lifted.outcome(Part::bath);
  f.settings = {at_least(seconds("lift it out after, at the earliest", "lift_earliest", "bath.time",
                                 half_seconds.value(*earliest))),
                at_most(seconds("and at the latest", "lift_latest", "", half_seconds.value(*latest)))};
  for (Setting& s : window_settings(a, lifted))
    f.settings.push_back(std::move(s));
  const auto& edge = at_lift.stations.front().zones[treatment::zone_edge];
  f.figures = {temperature(a, "thickest place at the earliest", "thickest_at_lift", "",
                           at_lift.stations.front().zones[treatment::zone_thickest].at_lift_degC),
               temperature(a, "edge at the earliest", "edge_at_lift", "", edge.at_lift_degC),
               temperature(a, "martensite starts at", "Ms", "", ms_at_lift(a, lifted, 0))};
  if (edge.martensite > 0.02)
    f.notes.push_back(
        format("the edge is %.0f %% martensite by then: bend the body, not the edge", 100 * edge.martensite));
  if (hottest_surface_at_lift(at_lift) > lift_below(a.c))
    f.notes.push_back(flare_note(a, at_lift, rungs.exact(*latest).outcome(Part::bath)));
  if (a.c.wrap.on_in_oil)
    f.notes.push_back("the foil is on and must come off first");
  finish(f, a, lifted, {"oil", "as quenched"});
  f.cautions.push_back({"straightening", "Gloves and face shield, stand out of line: a blade bent after the "
                                         "window breaks and throws shards."});
  return f;
}

} // namespace tq::answers::questioning
