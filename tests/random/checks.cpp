#include "checks.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <sstream>

namespace tq::test {

namespace {

using namespace treatment;

/// Heat of a constituent between two temperatures [J/kg].
double heat_between(const records::PhaseProperties& p, double from, double to) {
  return (to - from) * (p.c0 + 0.5 * p.c1 * (from + to));
}

/// By how much austenite that turns at T [degC] warms itself at most: by the record of the phases the
/// greatest latent heat of the three products, carried to T by the heat capacities of the two (Kirchhoff),
/// over that of the product at T, which only grows as it warms; all of it stays in the node. It falls more
/// slowly than T rises, so that the warmest start ends warmest.
double recalescence_K(const records::Phases& p, double T) {
  const auto rise = [&](const records::PhaseProperties& product, double latent_J_kg, double at_degC) {
    const double latent =
        latent_J_kg + heat_between(product, T, at_degC) - heat_between(p.austenite, T, at_degC);
    return std::max(latent, 0.0) / (product.c0 + product.c1 * T);
  };
  const double magnetic_J_kg = T < 2 * p.curie_peak_degC - p.curie_from_degC ? p.curie_heat_J_kg : 0;
  return std::max({rise(p.pearlite, p.latent_pearlite_J_kg + magnetic_J_kg, p.latent_pearlite_at_degC),
                   rise(p.pearlite, p.latent_bainite_J_kg, p.latent_bainite_at_degC),
                   rise(p.martensite, p.latent_martensite_J_kg, p.latent_martensite_at_degC)});
}

std::string said(const std::string& what, double value, double time_s) {
  std::ostringstream out;
  out.precision(10);
  out << what << " " << value << " at " << time_s << " s";
  return out.str();
}

bool all_finite(const std::vector<double>& list) {
  return std::all_of(list.begin(), list.end(), [](double v) { return std::isfinite(v); });
}

std::string shape_of_histories(const Case& c, const Run& run) {
  const std::size_t n = run.time_s.size();
  if (n == 0)
    return "nothing written down";
  for (const auto* list :
       {&run.time_s, &run.surroundings_degC, &run.outer_surface_max_degC, &run.heat_out_J_m})
    if (list->size() != n || !all_finite(*list))
      return "a history is not finite or of another length";
  for (const auto* list : {&run.zones, &run.probes})
    for (const Trace& trace : *list)
      if (trace.temperature.size() != n || !all_finite(trace.temperature))
        return "the trace of " + trace.name + " is not finite or of another length";
  // A moment is written twice where one stage ends and the next begins: at most twice within a stage, and
  // once for each line of a programme, whose temperature may jump.
  std::size_t twice = 0, allowed = 2 * run.spans.size();
  for (const treatment::Step& step : c.steps)
    if (const auto* furnace = step.as<treatment::Furnace>())
      allowed += furnace->programme.size();
  for (std::size_t i = 1; i < n; ++i) {
    if (run.time_s[i] < run.time_s[i - 1])
      return said("time runs back to", run.time_s[i], run.time_s[i - 1]);
    twice += run.time_s[i] == run.time_s[i - 1];
  }
  if (twice > allowed)
    return "time stands still";
  for (std::size_t i = 1; i < run.frames.size(); ++i)
    if (!(run.frames[i].time_s > run.frames[i - 1].time_s))
      return "frames not in the order of time";
  for (std::size_t i = 0; i < run.events.size(); ++i) {
    const Event& e = run.events[i];
    if (!std::isfinite(e.temperature_degC) || !std::isfinite(e.time_s) ||
        (i > 0 && e.time_s < run.events[i - 1].time_s))
      return "an event is not finite or out of order";
  }
  return "";
}

std::string state_fault(const NodeState& s, const std::vector<double>& hardness_HV, double time_s) {
  for (std::size_t n = 0; n < s.temperature.size(); ++n) {
    double sum = 0;
    for (double share :
         {s.austenite[n], s.pearlite[n], s.bainite[n], s.martensite[n], s.ferrite[n], s.cementite[n]}) {
      if (!(share >= 0 && share <= 1 + 1e-9))
        return said("a share is", share, time_s);
      sum += share;
    }
    if (!(std::abs(sum - 1) <= 1e-9))
      return said("shares sum to", sum, time_s);
    if (!std::isfinite(s.temperature[n]))
      return said("a temperature is", s.temperature[n], time_s);
    for (double v :
         {s.carbon[n], s.scheil_pearlite[n], s.scheil_bainite[n], s.tempering[n], s.time_at_temperature[n]})
      if (!(std::isfinite(v) && v >= 0))
        return said("carbon, a clock or a sum is", v, time_s);
  }
  for (double hv : hardness_HV)
    if (!(hv > 100 && hv < 1200))
      return said("hardness HV", hv, time_s);
  return "";
}

struct Hull {
  double least = std::numeric_limits<double>::infinity(), most = -least;
  void take(double v) {
    least = std::min(least, v);
    most = std::max(most, v);
  }
};

/// The worst excess and where it was.
struct Excess {
  double worst = 0, degC = 0, time_s = 0;
  void take(double excess, double T, double at_s) {
    if (!(excess <= worst)) {
      worst = excess;
      degC = T;
      time_s = at_s;
    }
  }
};

/// Temperature of the bath of this span when the blade came, as far as it is known.
double bath_at_start(const Case& c, const Run& run, const StepSpan& span) {
  (void)run;
  return std::max(c.steps[span.step].as<treatment::Bath>()->temperature_degC, span.bath_start_degC);
}

/// What the temperatures of one stage can lie between: those of blade and foil when it began, and those of
/// what surrounded it. Heat of transformation only lifts, in the stages that cool and where a temper turns
/// retained austenite. A bath has no cause to be warmer than it was but the blade.
std::string stage_fault(const Case& c, const Run& run, const StepSpan& span, const Frame& at_start,
                        Findings& found) {
  const auto from = static_cast<std::size_t>(
      std::lower_bound(run.time_s.begin(), run.time_s.end(), span.from_s) - run.time_s.begin());
  const auto to = static_cast<std::size_t>(std::upper_bound(run.time_s.begin(), run.time_s.end(), span.to_s) -
                                           run.time_s.begin());
  if (from >= to || span.to_s <= span.from_s)
    return "";
  Hull hull;
  for (double T : at_start.state.temperature)
    hull.take(T);
  hull.take(run.outer_surface_max_degC[from]);
  for (std::size_t i = from; i < to; ++i)
    hull.take(run.surroundings_degC[i]);
  if (span.part == Part::temper) {
    hull.take(c.oven().oven_degC + c.oven().swing_K + c.oven().edge_extra_K);
    hull.take(c.oven().oven_degC - c.oven().swing_K);
  }
  if (span.part == Part::furnace) {
    if (c.furnace().overshoot_K > 0) // its peak may lie between two moments written down
      hull.take(hull.most + c.furnace().overshoot_K);
    if (c.furnace().support) {
      for (std::size_t i = from; i < to; ++i)
        hull.take(run.surroundings_degC[i] - c.furnace().support->cooler_K);
    }
  }
  if (span.part == Part::bath) // part of it may stand out, or it may be on its way to the second bath
    hull.take(c.transfer().air_degC);
  const double bath_degC = span.part == Part::bath ? bath_at_start(c, run, span) : 0;
  const bool cools = span.part == Part::transfer || span.part == Part::bath || span.part == Part::cool;
  const std::vector<double>& austenite = at_start.state.austenite;
  if (!c.steel.inert && (cools || (span.part == Part::temper && !austenite.empty())))
    // in a temper what austenite is left gives off its latent heat too, in proportion
    hull.most += recalescence_K(c.steel.phases, hull.most) *
                 (cools ? 1.0 : *std::max_element(austenite.begin(), austenite.end()));
  const auto outside = [&](double T) { return std::max(hull.least - T, T - hull.most); };
  // a bath into which only a part dips may stay warmer than the blade, which the air cools on
  const auto* bath = c.steps[span.step].as<treatment::Bath>();
  const bool dips = bath && bath->immersion_m > 0;
  double hottest_yet = -std::numeric_limits<double>::infinity();
  Excess steel, foil;
  for (std::size_t i = from; i < to; ++i) {
    const double time = run.time_s[i];
    if (time == span.from_s || time == span.to_s)
      continue; // also the end of the stage before and the start of the next
    double hottest = run.outer_surface_max_degC[i];
    (c.wrap.layers > 0 ? foil : steel).take(outside(hottest), hottest, time);
    for (const auto* list : {&run.zones, &run.probes})
      for (const Trace& trace : *list) {
        steel.take(outside(trace.temperature[i]), trace.temperature[i], time);
        hottest = std::max(hottest, trace.temperature[i]);
      }
    hottest_yet = dips ? std::max(hottest_yet, hottest) : hottest;
    const double surroundings = run.surroundings_degC[i];
    if (span.part == Part::bath)
      steel.take(surroundings - std::max({hottest_yet, bath_degC, c.transfer().air_degC}), surroundings,
                 time);
  }
  for (const Frame& frame : run.frames)
    if (frame.time_s > span.from_s && frame.time_s <= span.to_s)
      for (double T : frame.state.temperature)
        steel.take(outside(T), T, frame.time_s);
  const double tolerance = c.solver.tolerance_K;
  found.overshoot = std::max(found.overshoot, steel.worst / tolerance);
  found.foil_overshoot = std::max(found.foil_overshoot, foil.worst / tolerance);
  const bool of_steel = !(steel.worst <= most_overshoot * tolerance);
  if (!of_steel && foil.worst <= most_foil_overshoot * tolerance)
    return "";
  const Excess& e = of_steel ? steel : foil;
  std::ostringstream out;
  out.precision(8);
  out << part_name(span.part) << ": " << e.degC << " degC of the " << (of_steel ? "blade" : "surface")
      << " at " << e.time_s << " s lies " << e.worst / tolerance << " tolerances outside " << hull.least
      << " to " << hull.most << " degC";
  return out.str();
}

std::string first_fault(const Case& c, const Run& run, Findings& found) {
  std::string fault = shape_of_histories(c, run);
  if (!fault.empty())
    return fault;
  for (const Frame& frame : run.frames)
    if (fault = state_fault(frame.state, frame.hardness_HV, frame.time_s); !fault.empty())
      return fault;
  if (fault = state_fault(run.after_cool, run.as_quenched_HV, run.time_s.back()); !fault.empty())
    return "after cooling: " + fault;
  if (fault = state_fault(run.final_state, run.final_HV, run.time_s.back()); !fault.empty())
    return "at the end: " + fault;
  for (const StepSpan& span : run.spans) {
    const auto after = std::upper_bound(run.frames.begin(), run.frames.end(), span.from_s + 1e-9,
                                        [](double t, const Frame& frame) { return t < frame.time_s; });
    if (after == run.frames.begin())
      return "no field at the start";
    if (fault = stage_fault(c, run, span, *(after - 1), found); !fault.empty())
      return fault;
  }
  if (!(run.energy_residual <= most_residual))
    return said("energy residual", run.energy_residual, run.time_s.back());
  if (const long steps = run.counters.steps + run.counters.rejected; steps > most_steps)
    return std::to_string(steps) + " steps";
  return "";
}

} // namespace

Findings inspect(const Case& c, const Run& run) {
  Findings found;
  found.fault = first_fault(c, run, found);
  return found;
}

} // namespace tq::test
