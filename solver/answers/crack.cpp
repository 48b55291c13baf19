#include "answers/crack.hpp"

#include "answers/telling.hpp"
#include "steel/notch.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers {

using units::formatted;

namespace {

using treatment::Case;
using treatment::Part;

// Fillets of hardened tools: 1.5 mm or more; a sharp one below a third of that. From memory of tool-steel
// design rules (ASM); the factors beside them are assumptions, no source: a round hole has 3.
constexpr double sound_radius_m = 1.5e-3, sharp_radius_m = 0.5e-3, raised_factor = 4, high_factor = 6;
// Plate martensite of so much carbon in solution has cracks in it from the start; from memory (0.95-1.0 %C).
constexpr double microcracks_wt = 0.95;
// Below, water and brine are used without fear; from memory (0.4 %C and Ms below 300 degC crack).
constexpr double cracks_from_wt = 0.4;
constexpr double thin_edge_m = 0.5e-3;                       ///< common practice: 0.5 to 1.3 mm
constexpr double section_step = 2;                           ///< assumption, no source
constexpr double soon_s = 3600, industry_limit_s = 4 * 3600; ///< to the temper; common practice
constexpr double cold_degC = -40;

/// What to change about a flag that is more than a note.
std::string cure_of(const CrackFlag& f) {
  const auto is = [&](const char* title) { return f.title == title; };
  if (is("inner corner"))
    return "inner corners round: 1.5-3 mm";
  if (is("cross scratches"))
    return "lengthwise finish, 120 grit or finer";
  if (is("water"))
    return f.level == CrackLevel::high ? "oil, or water for a few seconds and then oil"
                                       : "out of the water before martensite starts, or oil alone";
  if (is("cold oil"))
    return "warmer oil";
  if (is("wet oil"))
    return "dry oil";
  if (is("overheated"))
    return "a colder furnace";
  if (is("much carbon"))
    return "a colder furnace or a shorter soak";
  if (is("thin edge"))
    return "a thicker edge before hardening";
  if (is("section change"))
    return "a long taper or a fillet between the sections";
  if (is("cold treatment"))
    return "a snap temper at 150 degC (302 degF) before the cold";
  return is("late temper") ? "the temper within the hour" : "";
}

/// Extremes over all stations.
struct Facts {
  double carbon = 0, ms = 1e9;                                 ///< most in solution [wt%], lowest Ms [degC]
  double width = 0, least_edge = 1, most = 0, least_thick = 1; ///< [m]; thickest and thinnest section
};

Facts facts_of(const Case& c, const Answers& a) {
  Facts f;
  for (const StationAnswer& s : a.stations)
    for (const ZoneAnswer& z : s.zones) {
      if (z.wanted == treatment::Wanted::soft)
        continue; // it makes no martensite to crack
      if (std::isfinite(z.carbon_in_solution))
        f.carbon = std::max(f.carbon, z.carbon_in_solution);
      if (std::isfinite(z.ms_degC))
        f.ms = std::min(f.ms, z.ms_degC);
    }
  if (f.carbon <= 0)
    f.carbon = c.steel.composition.C;

  for (const treatment::Station& s : c.blade.stations) {
    const section::Profile& p = s.profile;
    f.width = std::max(f.width, p.width());
    f.least_edge = std::min(f.least_edge, p.thickness_at(p.width()));
    const double thick = p.thickness_at(p.thickest_at());
    f.most = std::max(f.most, thick);
    f.least_thick = std::min(f.least_thick, thick);
  }
  return f;
}

/// `instead`: what to do about it, a clause of its own; may be empty.
void flag(CrackAnswer& out, const char* key, const char* title, CrackLevel level, const std::string& reason,
          const std::string& instead = "") {
  out.flags.push_back({key, title, level, reason});
  if (!instead.empty())
    out.flags.back().reason.add({instead});
}

bool liquid(const treatment::Bath& b) { return !b.plates && b.fixed_htc_W_m2K <= 0; }
bool water(const treatment::Bath& b) { return liquid(b) && b.coolant.kind == records::CoolantKind::water; }

void flag_shape(CrackAnswer& out, const Case& c, const Facts& facts) {
  const treatment::Blade& blade = c.blade;
  if (blade.notch_depth_m > 0) {
    out.notch_factor = steel::notch_factor(blade.notch_depth_m, blade.notch_radius_m, facts.width);
    const double r = blade.notch_radius_m;
    const CrackLevel level = r < sharp_radius_m || out.notch_factor >= high_factor     ? CrackLevel::high
                             : r < sound_radius_m || out.notch_factor >= raised_factor ? CrackLevel::raised
                                                                                       : CrackLevel::note;
    flag(out, "notch", "inner corner", level,
         formatted("an inner corner %.1f mm deep with a radius of %.2g mm raises the stress %.1f times",
                   blade.notch_depth_m * 1e3, r * 1e3, out.notch_factor),
         level == CrackLevel::note ? "" : "round it to 1.5-3 mm");
  } else {
    out.not_stated.push_back({"inner corners", "blade.notch_depth, blade.notch_radius"});
  }
  if (blade.scratches == treatment::Scratches::across)
    flag(out, "scratches", "cross scratches", CrackLevel::raised, "scratches across the edge are notches",
         "finish lengthwise with 120 grit or finer");
  else if (blade.scratches == treatment::Scratches::unknown)
    out.not_stated.push_back({"the last scratches", "blade.scratches"});
}

void flag_bath(CrackAnswer& out, const Case& c, const Facts& facts) {
  if (water(c.bath()) && facts.carbon >= cracks_from_wt) {
    const bool short_one = c.second_bath() && !water(*c.second_bath());
    flag(out, "bath", "water", short_one ? CrackLevel::raised : CrackLevel::high,
         formatted("%s on %.2f %%C in solution, Ms %s", c.bath().coolant.name.c_str(), facts.carbon,
                   temperature_text(facts.ms).c_str()),
         short_one ? "the second bath eases it when it comes before Ms"
                   : "oil, or water for a few seconds and then oil");
  }
  if (liquid(c.bath()) && c.bath().coolant.kind == records::CoolantKind::oil &&
      c.bath().coolant.recommended_to_degC > c.bath().coolant.recommended_from_degC &&
      c.bath().temperature_degC < c.bath().coolant.recommended_from_degC)
    flag(out, "bath", "cold oil", CrackLevel::raised,
         "oil at " + temperature_text(c.bath().temperature_degC) + ", colder than its usual " +
             temperature_text(c.bath().coolant.recommended_from_degC));
  if (c.bath().water > 0)
    flag(out, "bath", "wet oil", CrackLevel::raised, "water in the oil cools in patches");
}

void flag_soak(CrackAnswer& out, const Case& c, const Facts& facts) {
  if (c.heated()) {
    const double over =
        c.furnace().setpoint_degC + c.furnace().reading_offset_K - c.steel.austenitising.hardening_to_degC;
    if (c.steel.austenitising.hardening_to_degC > 0 && over > 0)
      flag(out, "soak", "overheated", CrackLevel::raised,
           formatted("%.0f K above the usual hardening range: coarse grain and more carbon in solution",
                     over));
  }
  if (facts.carbon >= microcracks_wt)
    flag(out, "soak", "much carbon", CrackLevel::raised,
         formatted("%.2f %%C in solution: plate martensite with cracks of its own", facts.carbon));
  else if (facts.carbon > 0)
    flag(out, "soak", "carbon", CrackLevel::note,
         formatted("%.2f %%C in solution, Ms ", facts.carbon) + temperature_text(facts.ms));
}

void flag_sections(CrackAnswer& out, const Case& c, const Facts& facts) {
  if (facts.least_edge < thin_edge_m)
    flag(out, "edge", "thin edge", water(c.bath()) ? CrackLevel::raised : CrackLevel::note,
         formatted("an edge of %.2f mm before hardening", facts.least_edge * 1e3), "0.5-1.3 mm is usual");
  if (facts.most > section_step * facts.least_thick)
    flag(out, "section", "section change", CrackLevel::raised,
         formatted(
             "the blade is %.1f mm thick at one section and %.1f mm at another; a long taper or a fillet "
             "between",
             facts.most * 1e3, facts.least_thick * 1e3));
}

void flag_what_follows(CrackAnswer& out, const Case& c) {
  bool cold_first = false; // before any temper
  for (std::size_t k = c.hardening().done[0]; k < c.hardening().after(treatment::Part::cool); ++k) {
    const auto* cold = c.steps[k].as<treatment::Cold>();
    cold_first = cold_first || (cold && cold->medium_degC < cold_degC);
  }
  if (cold_first)
    flag(out, "cold", "cold treatment", CrackLevel::raised,
         "cold before the first temper: a snap temper at 150 degC (302 degF) first is safer");

  if (c.oven().delay_s) {
    const double delay = *c.oven().delay_s;
    if (delay > soon_s)
      flag(out, "delay", "late temper", delay > industry_limit_s ? CrackLevel::high : CrackLevel::raised,
           formatted("left untempered for %.1f h", delay / 3600),
           "within the hour, or a snap temper at 150-175 degC (302-347 degF)");
  } else {
    out.not_stated.push_back({"the time to the temper", "temper.delay"});
  }
}

void judge(CrackAnswer& out) {
  std::stable_sort(out.flags.begin(), out.flags.end(),
                   [](const CrackFlag& x, const CrackFlag& y) { return x.level > y.level; });
  const auto count = [&](CrackLevel level) {
    return std::count_if(out.flags.begin(), out.flags.end(), [&](const auto& f) { return f.level == level; });
  };
  out.crack.verdict = count(CrackLevel::high) > 0     ? Verdict::fail
                      : count(CrackLevel::raised) > 0 ? Verdict::marginal
                                                      : Verdict::pass;
  for (const CrackFlag& f : out.flags)
    if (f.level != CrackLevel::note)
      for (const Clause& clause : f.reason.clauses())
        out.crack.reason.add({clause.text, clause.joint, Clause::Kind::more});
  if (out.crack.verdict != Verdict::pass)
    out.crack.cure = cure_of(out.flags.front());
  if (out.crack.reason.empty())
    out.crack.reason = "nothing stated invites a crack";
  if (out.crack.verdict == Verdict::pass && !out.not_stated.empty()) { // a pass rests on what is known
    std::string names;
    for (const NotStated& one : out.not_stated)
      names += (names.empty() ? "" : ", ") + one.what;
    out.crack.reason.add({"not stated: " + names});
  }
}

} // namespace

const char* crack_level_name(CrackLevel level) {
  return level == CrackLevel::high ? "high" : level == CrackLevel::raised ? "raised" : "note";
}

CrackAnswer crack_answer(const Case& c, const Answers& a) {
  CrackAnswer out;
  if (c.steel.inert || !c.quenched()) {
    out.crack.reason = c.steel.inert ? "the steel does not transform" : "the case has no quench";
    return out;
  }
  const Facts facts = facts_of(c, a);
  flag_shape(out, c, facts);
  flag_bath(out, c, facts);
  flag_soak(out, c, facts);
  flag_sections(out, c, facts);
  flag_what_follows(out, c);
  judge(out);
  return out;
}

} // namespace tq::answers
