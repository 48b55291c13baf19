#include "answers/what_if.hpp"

#include "answers/coarse_case.hpp"
#include "answers/telling.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>

namespace tq::answers {

using treatment::Case;
using treatment::Part;

namespace {

struct Step {
  double change;
  std::string label;
  bool as_set = false;
};

struct Strip {
  const char *key, *question, *case_key, *change_in;
  Part from;
  std::vector<Step> steps;
  /// Changes the case; returns why it cannot be, or nothing.
  std::function<std::string(Case&, double)> apply;
};

std::string number(double value) { return units::formatted("%.4g", value); }

std::vector<Step> in_kelvin(const std::vector<double>& changes, const char* more, const char* less) {
  std::vector<Step> steps;
  for (const double K : changes)
    steps.push_back({K, K == 0 ? "as set" : number(std::abs(K)) + " K " + (K > 0 ? more : less), K == 0});
  return steps;
}

void add_heating(std::vector<Strip>& out, const Case& c) {
  if (c.has(Part::furnace))
    out.push_back({"furnace", "What if the furnace is hotter or colder than it shows?",
                   "furnace.reading_offset", "K", Part::furnace,
                   in_kelvin({-30, -20, -10, 0, 10, 20, 30}, "hotter", "colder"), [](Case& k, double K) {
                     k.furnace().reading_offset_K += K;
                     return std::string();
                   }});
  if (c.has(Part::furnace) && c.wrap.layers > 0)
    out.push_back({"foil",
                   "What if the foil lies tighter or looser?",
                   "wrap.gap",
                   "times",
                   Part::furnace,
                   {{1.0 / 3, "a third of the gap"},
                    {0.5, "half the gap"},
                    {1, "as set", true},
                    {2, "twice the gap"},
                    {3, "three times the gap"}},
                   [](Case& k, double factor) {
                     for (double& gap : k.wrap.gap_m)
                       gap *= factor;
                     if (k.wrap.fixed_conductance_W_m2K > 0)
                       k.wrap.fixed_conductance_W_m2K /= factor;
                     return std::string();
                   }});
  if (c.has(Part::bath))
    out.push_back({"thickness",
                   "What if the stock is thicker or thinner?",
                   "blade.station.spine",
                   "times",
                   Part::furnace,
                   {{0.8, "20 % thinner"},
                    {0.9, "10 % thinner"},
                    {1, "as set", true},
                    {1.1, "10 % thicker"},
                    {1.2, "20 % thicker"},
                    {1.4, "40 % thicker"}},
                   [](Case& k, double factor) {
                     for (treatment::Station& s : k.blade.stations) {
                       for (auto* flank : {&s.profile.top, &s.profile.bottom})
                         for (double& y : *flank)
                           y *= factor;
                       try {
                         s.profile = section::make_profile(s.profile);
                       } catch (const section::ProfileError& e) {
                         return std::string(e.what());
                       }
                     }
                     return std::string();
                   }});
}

void add_quench(std::vector<Strip>& out, const Case& c) {
  if (c.has(Part::transfer))
    out.push_back({"transfer",
                   "What if the way to the bath takes longer?",
                   "transfer.time",
                   "s",
                   Part::transfer,
                   {{0, "as set", true}, {1, "1 s more"}, {2, "2 s more"}, {4, "4 s more"}, {8, "8 s more"}},
                   [](Case& k, double s) {
                     k.transfer().time_s += s;
                     return std::string();
                   }});
  if (c.has(Part::bath) && c.bath().coolant.kind != records::CoolantKind::air &&
      c.bath().fixed_htc_W_m2K <= 0)
    out.push_back({"oil", "What if the bath is hotter or colder?", "bath.temperature", "K", Part::bath,
                   in_kelvin({-30, -15, 0, 15, 30, 45}, "hotter", "colder"), [](Case& k, double K) {
                     double& T = k.bath().temperature_degC;
                     T += K;
                     const auto& coolant = k.bath().coolant;
                     if (coolant.flash_degC && T >= *coolant.flash_degC - k.thresholds.flash_margin_K)
                       return "too near the flash point of " + temperature_text(*coolant.flash_degC);
                     if (coolant.kind == records::CoolantKind::water && (T < 0 || T > 100))
                       return std::string("no liquid water");
                     if (coolant.kind == records::CoolantKind::oil && T < -10)
                       return std::string("too cold for an oil to be liquid");
                     return std::string();
                   }});
}

void add_temper(std::vector<Strip>& out, const Case& c) {
  if (c.has(Part::cool))
    out.push_back({"cold",
                   "What if it is cooled less or more before the temper?",
                   "cool.lowest",
                   "K",
                   Part::cool,
                   {{-196, "nitrogen"}, {-78, "dry ice"}, {-18, "freezer"}, {20, "room"}, {60, "hand-warm"}},
                   [](Case& k, double degC) {
                     k.cool_to(degC);
                     return std::string();
                   }});
  if (c.has(Part::temper) && c.tempers() > 0) {
    out.push_back({"oven", "What if the oven is hotter or colder than set?", "temper.oven", "K", Part::temper,
                   in_kelvin({-30, -15, 0, 15, 30}, "hotter", "colder"), [](Case& k, double K) {
                     k.for_each_oven([&](treatment::Oven& o) { o.oven_degC += K; });
                     return std::string();
                   }});
    out.push_back({"cycles",
                   "What if it is tempered once, or more often?",
                   "temper.count",
                   "times",
                   Part::temper,
                   {{1, "once"}, {2, "twice"}, {3, "three times"}},
                   [](Case& k, double n) {
                     k.temper_times(static_cast<int>(n));
                     return std::string();
                   }});
  }
}

std::vector<Strip> strips_of(const Case& c) {
  std::vector<Strip> out;
  add_heating(out, c);
  add_quench(out, c);
  add_temper(out, c);
  // strips that name values instead of changes mark the one that the case has
  for (Strip& s : out) {
    if (std::string(s.key) == "cold")
      s.change_in = "degC";
    for (Step& step : s.steps)
      if ((std::string(s.key) == "cold" && step.change == c.lowest_degC()) ||
          (std::string(s.key) == "cycles" && step.change == c.tempers()))
        step.as_set = true;
  }
  return out;
}

void name(WhatIfPoint& p, const Strip& strip, const Step& step) {
  const bool marked = step.as_set && step.label != "as set", degrees = std::string(strip.change_in) == "degC";
  p.change = step.change;
  p.label = step.label + (degrees ? ", " + number(step.change) + " degC" : "") + (marked ? ", as set" : "");
  p.told = degrees ? step.label + ", " + temperature_text(step.change) + (marked ? ", as set" : "") : p.label;
}

WhatIfPoint point_of(const Case& c, const Outcome& o) {
  WhatIfPoint p;
  p.soak = soak_verdict(c, o);
  p.quench = quench_verdict(c, o);
  p.hardness = hardness_verdict(c, o);
  p.carbon_wt = o.carbon_wt();
  p.rate_margin = o.rate_margin();
  p.transformed = o.transformed();
  p.retained_austenite = o.retained_austenite();
  p.as_quenched_least_HRC = o.as_quenched_least_HRC();
  p.as_quenched_most_HRC = o.as_quenched_most_HRC();
  p.tempered_least_HRC = o.tempered_least_HRC();
  p.tempered_most_HRC = o.tempered_most_HRC();
  if (p.quench != Verdict::not_asked)
    p.limiting_zone = o.limiting_name(c);
  return p;
}

/// The outcome `changed` of the coarse grid as it would be on the fine one, on which the case as set has
/// `fine` where it has `coarse` on the coarse one.
Outcome on_fine_grid(Outcome changed, const Outcome& fine, const Outcome& coarse) {
  constexpr double inf = std::numeric_limits<double>::infinity();
  struct Corrected {
    double ZoneAnswer::*figure;
    Nature nature;
    double least, most;
  };
  static constexpr Corrected figures[] = {
      {&ZoneAnswer::soak_s, Nature::difference, 0, inf},
      {&ZoneAnswer::austenite, Nature::difference, 0, 1},
      {&ZoneAnswer::carbon_in_solution, Nature::difference, 0, inf},
      {&ZoneAnswer::transformed, Nature::ratio, 0, 1},
      {&ZoneAnswer::rate_margin, Nature::ratio, 0, inf},
      {&ZoneAnswer::martensite, Nature::difference, 0, 1},
      {&ZoneAnswer::retained_austenite, Nature::difference, 0, 1},
      {&ZoneAnswer::as_quenched_HRC, Nature::difference, -inf, inf},
      {&ZoneAnswer::tempered_HRC, Nature::difference, -inf, inf},
  };
  for (std::size_t i = 0; i < changed.stations.size(); ++i)
    for (std::size_t z = 0; z < treatment::zone_count; ++z)
      for (const Corrected& f : figures) {
        double& value = changed.stations[i].zones[z].*f.figure;
        value = corrected(value, fine.stations[i].zones[z].*f.figure, coarse.stations[i].zones[z].*f.figure,
                          f.nature, f.least, f.most);
      }
  return changed;
}

} // namespace

std::vector<WhatIfStrip> what_if(const Case& given, const std::function<bool(double)>& go_on,
                                 Executor* executor) {
  SerialExecutor serial;
  Executor& workers = executor != nullptr ? *executor : serial;
  // The strips are computed on the coarse grid, each from the stage on at which its change counts, and moved
  // by what the two grids differ in as set.
  Experiment as_set(given);
  const Case base = as_set.settings();
  Experiment coarse_as_set(coarse_case(base));
  workers.for_each_index(
      2, [&](std::size_t i) { (i == 0 ? as_set : coarse_as_set).outcome(); },
      [&](std::size_t) { return !go_on || go_on(0); });
  const Outcome &fine = as_set.outcome(), &coarse = coarse_as_set.outcome();
  const WhatIfPoint unchanged = point_of(base, fine);
  const std::vector<Strip> strips = strips_of(base);
  std::vector<WhatIfStrip> out(strips.size());
  struct Piece {
    std::size_t strip, step;
  };
  std::vector<Piece> pieces;
  for (std::size_t n = 0; n < strips.size(); ++n) {
    const Strip& s = strips[n];
    out[n].key = s.key;
    out[n].question = s.question;
    out[n].case_key = s.case_key;
    out[n].change_in = s.change_in;
    out[n].points.resize(s.steps.size());
    for (std::size_t k = 0; k < s.steps.size(); ++k)
      pieces.push_back({n, k});
  }
  const auto work = [&](std::size_t index) {
    const Piece& piece = pieces[index];
    const Strip& s = strips[piece.strip];
    const Step& step = s.steps[piece.step];
    WhatIfPoint p;
    if (step.as_set) {
      p = unchanged;
      p.as_set = true;
    } else {
      Case changed = base;
      p.why_not = s.apply(changed, step.change);
      p.possible = p.why_not.empty();
      if (p.possible) {
        const std::unique_ptr<Experiment> trial = coarse_as_set.twin();
        trial->change(s.from, [&](Case& c) { c = coarse_case(changed); });
        p = point_of(changed, on_fine_grid(trial->outcome(), fine, coarse));
      }
    }
    name(p, s, step);
    out[piece.strip].points[piece.step] = std::move(p);
  };
  workers.for_each_index(pieces.size(), work, [&](std::size_t done) {
    return !go_on || go_on(static_cast<double>(done) / static_cast<double>(pieces.size()));
  });
  return out;
}

} // namespace tq::answers
