// Questions about the temper and the cooling before it.
#include "answers/find_parts.hpp"
#include "steel/hardness.hpp"
#include "steel/transformation.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tq::answers::questioning {

using treatment::Case;
using treatment::Part;

namespace {

constexpr double coldest_oven_degC = 100, hottest_oven_degC = 650;
constexpr double oven_error_K = 15; ///< how far off a kitchen oven easily is; about 25 degF
constexpr Ladder five_minutes{300, 0};
constexpr long most_five_minutes = 24 * 12, most_cycles = 20;
constexpr double warmest_degC = 150;
constexpr double room_degC = 20;

/// The least that each station is to keep: the figure asked for, else the middle of what is wished of it; -1
/// where nothing is.
std::vector<double> wanted_hardness(const Asked& a) {
  if (!a.options.wish && !a.c.hardness_wished())
    a.refuse("no hardness is wanted; give it with --wish, like --wish '60 HRC'");
  std::vector<double> out;
  for (std::size_t i = 0; i < a.c.blade.stations.size(); ++i) {
    const treatment::HardnessWish wish = a.c.hardness_wish(i);
    out.push_back(a.options.wish ? *a.options.wish : wish.stated() ? 0.5 * (wish.from + wish.to) : -1);
  }
  return out;
}

/// "60 HRC", or "60 HRC (ricasso 52 HRC)" where stations differ.
std::string wanted_text(const Asked& a, const std::vector<double>& wanted) {
  const double most = *std::max_element(wanted.begin(), wanted.end());
  std::string others;
  for (std::size_t i = 0; i < wanted.size(); ++i)
    if (wanted[i] != most)
      others += (others.empty() ? " (" : ", ") + a.c.blade.stations[i].name +
                (wanted[i] < 0 ? std::string(" any") : format(" %.3g", wanted[i]));
  return format("%.3g HRC", most) + (others.empty() ? "" : others + ")");
}

/// The wish as the case should hold it: a single figure becomes that and what the rung may leave above it.
Case with_wish(const Asked& a) {
  Case c = a.c;
  if (a.options.wish)
    c.wish_hardness({*a.options.wish, std::max(c.wishes.hrc_to, *a.options.wish + 1)});
  return c;
}

/// Least hardness over what a station is to keep, of the station that has least to spare.
bool all_hard_enough(const Outcome& o, const std::vector<double>& wanted) {
  for (std::size_t i = 0; i < wanted.size(); ++i)
    for (const ZoneAnswer& z : o.stations[i].zones)
      if (z.wanted == treatment::Wanted::hard && wanted[i] > 0 && !(z.tempered_HRC >= wanted[i]))
        return false;
  return true;
}

/// One oven serves all: which wishes lose by it.
void tell_losers(Finding& f) {
  const Case& c = f.with_setting;
  for (std::size_t i = 0; i < c.blade.stations.size(); ++i) {
    const double by = wish_missed_by(f.outcome.stations[i]);
    if (!(by > 0.05) || c.blade.stations.size() < 2)
      continue;
    const treatment::HardnessWish wish = c.hardness_wish(i);
    const auto [least, most] = hard_range(f.outcome.stations[i]);
    f.notes.insert(f.notes.begin(),
                   c.blade.stations[i].name +
                       format(" loses: %.1f to %.1f HRC where %.3g to %.3g is wished; one oven serves all "
                              "stations, so draw the softer one apart with a flame, or wish alike",
                              least, most, wish.from, wish.to));
  }
}

double zone_hardness(const Outcome& o, treatment::Zone zone, bool greatest) {
  double out = ZoneAnswer::none;
  for (const StationAnswer& s : o.stations) {
    const double hrc = s.zones[zone].tempered_HRC;
    out = std::isnan(out) ? hrc : greatest ? std::max(out, hrc) : std::min(out, hrc);
  }
  return out;
}

void check_temper(const Asked& a) {
  a.require(Part::temper);
  a.require_steel();
  if (a.c.steel.temper.hardness_HRC.empty())
    a.refuse("the steel's record has no table of hardness after tempering");
}

void warn_brittle(Finding& f) {
  const auto& steel = f.with_setting.steel;
  const auto& t = std::as_const(f.with_setting).oven();
  if (t.oven_degC + t.swing_K > steel.brittle_from_degC && t.oven_degC - t.swing_K < steel.brittle_to_degC)
    f.notes.push_back(format("this lies in the embrittlement range of %.0f to %.0f degC (%.0f to %.0f degF): "
                             "harder or softer would be tougher",
                             steel.brittle_from_degC, steel.brittle_to_degC,
                             steel.brittle_from_degC * 1.8 + 32, steel.brittle_to_degC * 1.8 + 32));
  f.notes.push_back(format("published tempering tables differ: +/- %.2g HRC; better is your own reading as "
                           "quenched and after one temper",
                           steel.temper.uncertainty_HRC));
}

std::string too_soft_already(const Outcome& o, const std::string& at) {
  const ZoneAnswer* soft = nullptr;
  for (const StationAnswer& s : o.stations)
    for (const ZoneAnswer& z : s.zones)
      if (!soft || z.as_quenched_HRC < soft->as_quenched_HRC)
        soft = &z;
  return format("%s leaves %.1f HRC at the softest place, which has %.1f HRC as quenched", at.c_str(),
                o.tempered_least_HRC(), soft->as_quenched_HRC);
}

} // namespace

Finding find_temper(const Asked& a) {
  check_temper(a);
  const std::vector<double> wanted = wanted_hardness(a);
  const double target = *std::max_element(wanted.begin(), wanted.end());
  const auto ceiling = a.options.spine_at_most_HRC;
  Finding f = begin(
      a, "oven for " + wanted_text(a, wanted) +
             (ceiling ? format(" at the edge and at most %.3g HRC at the spine", *ceiling) : std::string()) +
             format(", %d x %.3g h", a.c.tempers(), a.c.oven().time_s / 3600));
  const Ladder& ladder = a.degrees();
  const long bottom = ladder.at_least(coldest_oven_degC),
             top = ladder.at_most(std::min(hottest_oven_degC, steel::ac1(a.c.steel) - 20));
  Rungs rungs(a, with_wish(a), Part::temper, [&](Experiment& trial, long k) {
    trial.change(Part::temper, [&](Case& c) {
      c.for_each_temper([&](treatment::Oven& o) { o.oven_degC = ladder.value(k); });
    });
  });
  const auto tempered = [&](long k) -> const Outcome& { return rungs.exact(k).outcome(); };
  const auto hard_enough = [&](Experiment& trial) {
    const Outcome& o = trial.outcome();
    return ceiling ? zone_hardness(o, treatment::zone_edge, false) >= target : all_hard_enough(o, wanted);
  };
  const auto hottest = rungs.last_good(bottom, top, Part::temper, hard_enough);
  if (!hottest) {
    give_up(f, a, "even " + too_soft_already(tempered(bottom), a.degrees_text(ladder.value(bottom))));
    return f;
  }
  if (*hottest == top) {
    give_up(f, a,
            format("even at %s it stays at %.1f HRC", a.degrees_text(ladder.value(top)).c_str(),
                   tempered(top).tempered_least_HRC()));
    return f;
  }
  if (ceiling) {
    const double spine = zone_hardness(tempered(*hottest), treatment::zone_thickest, true);
    if (spine > *ceiling) {
      give_up(
          f, a,
          format("the hottest oven that leaves %.3g HRC at the edge, %s, leaves %.1f HRC at the spine; an "
                 "oven tempers both alike: quench the edge only, coat the spine with clay, or draw the "
                 "spine with a flame",
                 target, a.degrees_text(ladder.value(*hottest)).c_str(), spine));
      return f;
    }
  }
  f.found = true;
  const double oven = ladder.value(*hottest);
  f.settings = {temperature(a, "oven", "oven", "temper.oven", oven)};
  Experiment& there = rungs.exact(*hottest);
  for (const double error : {-oven_error_K, oven_error_K}) {
    const std::unique_ptr<Experiment> off = there.twin();
    off->change(Part::temper,
                [&](Case& c) { c.for_each_temper([&](treatment::Oven& o) { o.oven_degC = oven + error; }); });
    f.figures.push_back(hardness(
        format("with the oven %.0f K %s, least", std::abs(error), error < 0 ? "colder" : "hotter"),
        error < 0 ? "least_HRC_oven_colder" : "least_HRC_oven_hotter", off->outcome().tempered_least_HRC()));
  }
  finish(f, a, there, {"temper", "as quenched"});
  warn_brittle(f);
  tell_losers(f);
  return f;
}

Finding find_temper_time(const Asked& a) {
  check_temper(a);
  const std::vector<double> wanted = wanted_hardness(a);
  Finding f = begin(a, format("time for %s at %s, %d times", wanted_text(a, wanted).c_str(),
                              a.degrees_text(a.c.oven().oven_degC).c_str(), a.c.tempers()));
  Rungs rungs(a, with_wish(a), Part::temper, [](Experiment& trial, long k) {
    trial.change(Part::temper, [&](Case& c) {
      c.for_each_temper([&](treatment::Oven& o) { o.time_s = five_minutes.value(k); });
    });
  });
  const auto tempered = [&](long k) -> const Outcome& { return rungs.exact(k).outcome(); };
  const auto longest = rungs.last_good(1, most_five_minutes, Part::temper, [&](Experiment& trial) {
    return all_hard_enough(trial.outcome(), wanted);
  });
  if (!longest) {
    give_up(f, a, "even " + too_soft_already(tempered(1), "5 min") + "; a colder oven is needed");
    return f;
  }
  if (*longest == most_five_minutes) {
    give_up(f, a,
            format("even %.0f h leave %.1f HRC; a hotter oven is needed", five_minutes.value(*longest) / 3600,
                   tempered(*longest).tempered_least_HRC()));
    return f;
  }
  f.found = true;
  f.settings = {minutes("each time in the oven, from blade in", "temper_time", "temper.time",
                        five_minutes.value(*longest))};
  finish(f, a, rungs.exact(*longest), {"temper", "as quenched"});
  tell_losers(f);
  constexpr double usual_least_s = 3600;
  if (five_minutes.value(*longest) < usual_least_s)
    f.notes.push_back("less than an hour is less than is usual: a colder oven for longer is surer");
  warn_brittle(f);
  return f;
}

Finding find_temper_cycles(const Asked& a) {
  check_temper(a);
  const std::vector<double> wanted = wanted_hardness(a);
  Finding f = begin(a, format("number of tempers of %.3g h at %s for %s", a.c.oven().time_s / 3600,
                              a.degrees_text(a.c.oven().oven_degC).c_str(), wanted_text(a, wanted).c_str()));
  Rungs rungs(a, with_wish(a), Part::temper, [](Experiment& trial, long k) {
    trial.change(Part::temper, [&](Case& c) { c.temper_times(static_cast<int>(k)); });
  });
  const auto tempered = [&](long k) -> const Outcome& { return rungs.exact(k).outcome(); };
  const auto most = rungs.last_good(1, most_cycles, Part::temper, [&](Experiment& trial) {
    return all_hard_enough(trial.outcome(), wanted);
  });
  if (!most) {
    give_up(f, a, "even " + too_soft_already(tempered(1), "one temper") + "; a colder oven is needed");
    return f;
  }
  if (*most == most_cycles) {
    give_up(f, a,
            format("even %ld tempers leave %.1f HRC; a hotter oven is needed", most_cycles,
                   tempered(most_cycles).tempered_least_HRC()));
    return f;
  }
  f.found = true;
  for (const long k : {1L, 2L})
    f.figures.push_back(hardness(format("least after %ld temper%s", k, k > 1 ? "s" : ""),
                                 format("least_HRC_after_%ld", k), tempered(k).tempered_least_HRC()));
  f.settings = {count("tempers, at most", "cycles", "temper.count", static_cast<double>(*most))};
  f.notes.push_back("two are usual: the second tempers what the first left fresh, and costs little hardness");
  finish(f, a, rungs.exact(*most), {"temper", "as quenched"});
  tell_losers(f);
  warn_brittle(f);
  return f;
}

Finding find_cool_to(const Asked& a) {
  a.require(Part::cool);
  a.require(Part::bath);
  a.require_steel();
  const Ladder& ladder = a.degrees();
  Rungs rungs(a, a.c, Part::cool, [&](Experiment& trial, long k) {
    trial.change(Part::cool, [&](Case& c) { c.cool_to(ladder.value(k)); });
  });
  const auto left_after = [&](double degC) {
    const std::unique_ptr<Experiment> trial = rungs.as_given().twin();
    trial->change(Part::cool, [&](Case& c) { c.cool_to(degC); });
    return trial->outcome(Part::cool).retained_austenite();
  };
  const double at_room = left_after(room_degC);
  const double allowed = a.options.wish.value_or(at_room + more_austenite);
  Finding f = begin(a, format("how cold before the temper, for at most %.3g %% of retained austenite",
                              std::round(1000 * allowed) / 10));
  const long bottom = ladder.at_least(coldest_degC), top = ladder.at_most(warmest_degC);
  const auto warmest = rungs.last_good(bottom, top, Part::cool, [&](Experiment& trial) {
    return trial.outcome(Part::cool).retained_austenite() <= allowed;
  });
  if (!warmest) {
    give_up(f, a,
            format("even liquid nitrogen leaves %.0f %%; the furnace is too hot or the soak too long",
                   100 * rungs.exact(bottom).outcome(Part::cool).retained_austenite()));
    return f;
  }
  f.found = true;
  constexpr double soon_s = 3600;
  f.settings = {at_most(temperature(a, "cool to below, before the temper", "cool_to", "cool.lowest",
                                    ladder.value(*warmest))),
                minutes("into the oven within", "temper_within", "", soon_s)};
  const double degC = ladder.value(*warmest);
  const auto& steps = a.c.steps;
  if (degC >= a.c.cool().air_degC && std::any_of(steps.begin(), steps.end(), [](const treatment::Step& step) {
        return step.number > 0 && step.as<treatment::Cold>();
      })) {
    f.settings.front().case_key.clear(); // a cold medium is no warmer than the room
    f.notes.push_back("the air alone does it: the cold step can be left out");
  }
  f.figures = {share("retained austenite after 20 degC", "retained_austenite_at_20_degC", at_room),
               share("after a household freezer, -18 degC", "retained_austenite_freezer", left_after(-18)),
               share("after dry ice, -78 degC", "retained_austenite_dry_ice", left_after(-78))};
  finish(f, a, rungs.exact(*warmest), {"as quenched", "cold", "temper"});
  const treatment::Run& run = rungs.exact(*warmest).run(0);
  const double cooled =
      run.spans[run.hardening.after(Part::cool) - 1].to_s - treatment::span_of(run, Part::cool)->from_s;
  if (degC >= a.c.cool().air_degC)
    f.figures.push_back(minutes("there in still air after lifting, about", "cooled_after", "", cooled));
  f.notes.push_back("within the hour is common practice (no source); when it must wait, a first temper of an "
                    "hour at 150 to 175 degC (300 to 350 degF) takes the risk out");
  return f;
}

} // namespace tq::answers::questioning
