#include "answers/warnings.hpp"

#include "answers/bath_limit.hpp"
#include "answers/margins.hpp"
#include "answers/telling.hpp"
#include "answers/uncertain_inputs.hpp"
#include "steel/hardness.hpp"
#include "steel/temper.hpp"
#include "treatment/trace.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers {

using treatment::Part;
using units::formatted;

namespace {
constexpr double dissolved_water =
    5e-4; ///< above it an oil boils longer and cracks more; common practice, no source
constexpr double hand_warm_oil_degC = 80; ///< soft limit for cold mineral oil; common practice, no source
constexpr double most_retained_austenite = 0.18;
constexpr double energy_limit = 1e-9;
/// Published start curves are good to about this factor.
constexpr double safe_rate_margin = 2;

/// Ovens from 300 to 500 are usual in degF (149 to 260 degC); in degC they leave a spring.
bool likely_degF(double oven_degC) { return oven_degC >= 300 && oven_degC <= 500; }

/// What is wrong with the bath that is the step `place`; with several, the name of the step stands before it.
void warn_of_bath(std::vector<std::string>& out, const treatment::Case& c, const Answers& a,
                  const std::vector<treatment::Run>& runs, std::size_t place) {
  const treatment::Bath& bath = *c.steps[place].as<treatment::Bath>();
  const auto& oil = bath.coolant;
  const bool first = c.hardening().bath == place;
  const auto say = [&](const std::string& text) {
    out.push_back(first ? text : c.steps[place].name + ": " + text);
  };
  if (oil.recommended_to_degC > oil.recommended_from_degC &&
      (bath.temperature_degC < oil.recommended_from_degC - 0.5 ||
       bath.temperature_degC > oil.recommended_to_degC + 0.5))
    say("bath at " + temperature_text(bath.temperature_degC) + " is outside the usual " +
        temperature_text(oil.recommended_from_degC) + " to " + temperature_text(oil.recommended_to_degC) +
        " for " + oil.name);
  for (std::size_t i = 0; i < a.stations.size() && i < runs.size(); ++i) {
    const auto span = std::find_if(runs[i].spans.begin(), runs[i].spans.end(),
                                   [&](const treatment::StepSpan& s) { return s.step == place; });
    if (span == runs[i].spans.end())
      continue;
    const double end = span->bath_end_degC, rise = end - span->bath_start_degC;
    if (oil.flash_degC && end > *oil.flash_degC - c.thresholds.flash_margin_K)
      say("bath ends at " + temperature_text(end) + ", less than " +
          difference_text(c.thresholds.flash_margin_K) + " below its flash point of " +
          temperature_text(*oil.flash_degC) + ": stop and use more or cooler oil");
    else if (oil.kind == records::CoolantKind::oil && end > hand_warm_oil_degC)
      say("bath ends at " + temperature_text(end) + ", hot for an ordinary quench oil");
    if (first && bath.blades > 1 && end > a.stations[i].bath_limit_degC)
      say(formatted("after %d blades in a row the bath is at ", bath.blades) + temperature_text(end) +
          ", above " + told(Show::at_most_degC, a.stations[i].bath_limit_degC) +
          ": wait longer between them, or use more oil");
    else if (rise > most_bath_rise_K)
      say("bath warms by " + difference_text(rise) + ": use more oil or let it cool between blades");
    if (oil.flash_degC &&
        treatment::trace_value(runs[i].time_s, runs[i].outer_surface_max_degC, span->to_s) > *oil.flash_degC)
      say("surface is still above the oil's flash point of " + temperature_text(*oil.flash_degC) +
          " when the blade is lifted");
  }
  if (bath.water > dissolved_water)
    say(formatted("%.2g %% of water in the oil: its blanket of vapour stands longer, it spits and cracks "
                  "blades; from 0.1 %% on it boils over. Dry or replace it, do not quench",
                  100 * bath.water));
  if (oil.htc_kind == records::HtcKind::lumped)
    say("this bath's h(T) is a lumped probe value, about half the local one at its peak: margins read low");
}
} // namespace

std::vector<std::string> warnings_for(const treatment::Case& c, const Answers& a,
                                      const std::vector<treatment::Run>& runs) {
  std::vector<std::string> out = c.odd;
  const auto& steel = c.steel;
  if (c.hardness_wished() && !c.tempered())
    out.push_back("a hardness is wished, but the case has no [temper]: it is not judged");
  if (c.heated() && !steel.inert) {
    const double true_degC = c.furnace().setpoint_degC + c.furnace().reading_offset_K;
    const auto& w = steel.austenitising;
    if (true_degC < w.hardening_from_degC - 0.5 || true_degC > w.hardening_to_degC + 0.5)
      out.push_back("true furnace temperature " + temperature_text(true_degC) + " is outside the usual " +
                    temperature_text(w.hardening_from_degC) + " to " + temperature_text(w.hardening_to_degC) +
                    " for " + steel.key);
  }
  if (c.heated() && c.wrap.layers > 0 && c.wrap.foil.service_limit_degC > 0 &&
      c.furnace().setpoint_degC + c.furnace().reading_offset_K > c.wrap.foil.service_limit_degC)
    out.push_back("furnace above the foil's limit of " + temperature_text(c.wrap.foil.service_limit_degC));
  for (std::size_t k = 0; k < c.steps.size(); ++k)
    if (const auto* bath = c.steps[k].as<treatment::Bath>();
        bath && bath->fixed_htc_W_m2K <= 0 && !bath->plates)
      warn_of_bath(out, c, a, runs, k);
  if (!steel.inert) {
    for (const auto& s : a.stations) {
      const ZoneAnswer* tight = nullptr;
      for (const auto& z : s.zones)
        if (z.wanted == treatment::Wanted::hard && z.hardens.verdict == Verdict::pass &&
            z.rate_margin < safe_rate_margin && (!tight || z.rate_margin < tight->rate_margin))
          tight = &z;
      if (tight)
        out.push_back(formatted("%s passes by the rule of %.3g %%, but only ", tight->name.c_str(),
                                100 * c.thresholds.transformed_pass) +
                      cools_text(tight->rate_margin) +
                      ": a little slower oil or transfer, or another melt, would not pass");
      double most = 0;
      for (const auto& z : s.zones)
        most = std::max(most, z.retained_austenite);
      if (most > most_retained_austenite)
        out.push_back(formatted(
            "retained austenite up to %.0f %% before tempering: lower furnace, or cool further before it",
            100 * most));
      if (std::isfinite(s.hrc_as_quenched_least) && !steel::valid_hrc(s.hrc_as_quenched_least))
        out.push_back("part of the section lies outside the Rockwell C scale (20-68 HRC)");
    }
    if (c.tempered()) {
      const double hottest = c.oven().oven_degC + c.oven().swing_K + c.oven().edge_extra_K;
      const bool told = std::any_of(c.odd.begin(), c.odd.end(), [](const std::string& line) {
        return line.find(".oven: ") != std::string::npos;
      });
      if (likely_degF(c.oven().oven_degC) && !told)
        out.push_back(
            "oven at " + temperature_text(c.oven().oven_degC) + ": far hotter than a blade's temper; was " +
            formatted("%.0f degF (%.0f degC) meant?", c.oven().oven_degC, (c.oven().oven_degC - 32) / 1.8));
      if (hottest > steel.brittle_from_degC && c.oven().oven_degC - c.oven().swing_K < steel.brittle_to_degC)
        out.push_back("tempering reaches the embrittlement range of " +
                      temperature_text(steel.brittle_from_degC) + " to " +
                      temperature_text(steel.brittle_to_degC) + " (up to " + temperature_text(hottest) +
                      "): softer, yet no tougher than below it");
      if (!steel.temper.hardness_HRC.empty()) {
        const steel::TemperResponse response(steel.temper);
        for (const auto& run : runs) {
          const auto& p = run.final_state.tempering;
          if (!p.empty() && (!response.inside(*std::max_element(p.begin(), p.end())) ||
                             !response.inside(*std::min_element(p.begin(), p.end())))) {
            out.push_back("tempering lies outside the published table of this steel");
            break;
          }
        }
      }
    }
  }
  for (const auto& run : runs) {
    if (run.energy_residual > energy_limit)
      out.push_back(formatted("energy balance closes only to %.1e", run.energy_residual));
    for (const auto& w : run.warnings)
      out.push_back(w);
  }
  return out;
}

std::vector<std::string> model_assumptions(const treatment::Case& c) {
  std::vector<std::string> out;
  out.push_back("two-dimensional section: heat along the blade, tip and tang are left out");
  if (c.heated() && c.wrap.layers > 0)
    out.push_back("foil lies at one mean gap per face, the seams left out");
  if (c.quenched() && c.bath().fixed_htc_W_m2K <= 0 && c.bath().coolant.kind != records::CoolantKind::air)
    out.push_back(
        "heat transfer of the bath depends on the local surface temperature only (still bath, whole section "
        "wetted at once)");
  if (c.steel.inert)
    return out;
  out.push_back("transformation from composition, calibrated on typical start curves: times good to about a "
                "factor of " +
                formatted("%.2g (pearlite) and %.2g (bainite)", c.steel.transformation.factor_uncertainty,
                          c.steel.transformation.bainite_uncertainty));
  if (c.tempered())
    out.push_back(formatted(
        "hardness after tempering from one published table, plus or minus %.2g HRC; retained austenite "
        "leaves by one law for all steels, anchored to 52100",
        c.steel.temper.uncertainty_HRC));
  if (reheated(c))
    out.push_back(
        "heated again, austenite and its grain form anew; carbon of the treatment before lies in fine "
        "carbide and dissolves as in fine pearlite, coarse pearlite as at the start; the heat that "
        "hardened steel gives off while it is heated is left out: assumptions, no source, and bands "
        "doubt carbide and grain by a factor each");
  if (c.wait_s() > 0)
    out.push_back(
        "waiting before the cold stabilises austenite by 10 K for each factor of ten in time beyond "
        "a minute: an assumption, good to a factor of 2");
  out.push_back("hardness is that of the steel below any decarburised skin");
  return out;
}

} // namespace tq::answers
