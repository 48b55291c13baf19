#include "answers/metallurgy.hpp"

#include "steel/grain.hpp"
#include "steel/hardness.hpp"
#include "steel/retained_austenite.hpp"
#include "steel/temper.hpp"
#include "steel/transformation.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers {

using treatment::Case;
using treatment::Part;
using treatment::Run;

namespace {

/// Node on the centre line of a zone.
std::size_t centre(const Run& run, int zone) {
  const int row = run.grid.half ? 0 : (run.grid.ny - 1) / 2;
  return static_cast<std::size_t>(row * run.grid.nx + run.zone_column[static_cast<std::size_t>(zone)]);
}

void fill_diagram(StationAnswer& s, const Case& c, double carbon_wt, double grain_m) {
  constexpr double step_K = 10;
  const steel::Decomposition d(c.steel, carbon_wt, steel::grain_number(grain_m));
  DiagramAnswer& a = s.diagram;
  a.carbon_wt = carbon_wt;
  a.ae1_degC = d.ae1();
  a.bs_degC = d.bs();
  a.ms_degC = d.ms();
  a.pearlite_band = c.steel.transformation.factor_uncertainty;
  a.bainite_band = c.steel.transformation.bainite_uncertainty;
  a.pearlite_nose = steel::pearlite_nose(d);
  a.bainite_nose = steel::bainite_nose(d);
  a.critical = steel::critical_rate(d);
  a.isothermal = steel::isothermal_diagram(d, step_K);
  // two rates to a factor of two, from one that turns nothing to one that turns all
  constexpr int rates = 16;
  for (int i = 0; i < rates; ++i)
    a.cooling.push_back(steel::cool_at_constant_rate(d, steel::martensite_rate(c.steel, carbon_wt),
                                                     1.5 * a.critical.both * math::exp2(-0.5 * i)));
}

steel::Constituents shares_of(const treatment::NodeState& s, std::size_t n) {
  return {s.martensite[n],         s.austenite[n],  s.bainite[n] - s.tempered_austenite[n],
          s.pearlite[n],           s.ferrite[n],    s.cementite[n],
          s.tempered_austenite[n], s.bainite_HV[n], s.pearlite_HV[n]};
}

void fill_cold(StationAnswer& s, const Case& c, const Run& run, std::size_t n) {
  const treatment::NodeState& now = run.after_cool;
  const double carbon = now.carbon[n], ms = steel::martensite_start(c.steel, carbon);
  const double before = run.austenite_before_cold.empty() ? now.austenite[n] : run.austenite_before_cold[n];
  if (!run.austenite_before_cold.empty())
    s.cold_gain = before - now.austenite[n];
  const double martensite = now.martensite[n] + now.austenite[n] - before;
  for (const steel::ColdMedium& medium : steel::cold_media) {
    ColdAnswer a;
    a.medium = medium.name;
    a.temperature_degC = medium.T;
    a.retained_austenite = steel::austenite_after_cold(
        before, martensite, ms, steel::martensite_rate(c.steel, carbon), medium.T, c.wait_s());
    steel::Constituents shares = shares_of(now, n);
    shares.martensite = martensite + before - a.retained_austenite;
    shares.retained_austenite = a.retained_austenite;
    a.as_quenched_HRC = steel::hrc_from_hv(
        steel::mixture_hv(shares, steel::martensite_hv(c.steel, carbon), c.steel.hardness));
    s.cold.push_back(a);
  }
}

void fill_cycles(StationAnswer& s, const Run& run) {
  for (const treatment::StepSpan& span : run.spans) {
    if (span.part != Part::temper)
      continue;
    const auto at_end = std::find_if(run.frames.begin(), run.frames.end(), [&](const treatment::Frame& f) {
      return std::abs(f.time_s - span.to_s) < 1e-6;
    });
    if (at_end == run.frames.end())
      continue;
    CycleAnswer cycle;
    cycle.cycle = span.cycle;
    double least = INFINITY, most = -INFINITY;
    for (int z = 0; z < treatment::zone_count; ++z) {
      const std::size_t n = centre(run, z);
      least = std::min(least, at_end->hardness_HV[n]);
      most = std::max(most, at_end->hardness_HV[n]);
      cycle.retained_austenite_most = std::max(cycle.retained_austenite_most, at_end->state.austenite[n]);
    }
    cycle.hrc_least = steel::hrc_from_hv(least);
    cycle.hrc_most = steel::hrc_from_hv(most);
    s.cycles.push_back(cycle);
  }
}

/// Highest temperature that a flash of one second may have for a loss of one HRC.
double flash_limit(const Case& c, double parameter, double carbon_wt, const steel::Constituents& shares) {
  constexpr double loss_HRC = 1, flash_s = 1;
  const steel::TemperResponse response = steel::TemperResponse::of_martensite(c.steel);
  const auto hrc = [&](double p) {
    return steel::hrc_from_hv(steel::mixture_hv(
        shares, steel::martensite_hv(c.steel, carbon_wt) * response.factor(p), c.steel.hardness));
  };
  const double wanted = hrc(parameter) - loss_HRC;
  double low = 20, high = steel::ac1(c.steel);
  for (int i = 0; i < 40; ++i) {
    const double T = 0.5 * (low + high);
    (hrc(steel::add_tempering(parameter, T, flash_s, c.steel.temper.hj_constant_h)) > wanted ? low : high) =
        T;
  }
  return 0.5 * (low + high);
}

} // namespace

void fill_metallurgy(StationAnswer& s, const Case& c, const Run& run) {
  if (c.steel.inert || run.after_cool.carbon.empty())
    return;
  const std::size_t thickest = centre(run, treatment::zone_thickest);
  fill_diagram(s, c, run.after_cool.carbon[thickest], run.after_cool.grain[thickest]);
  if (!c.quenched() && !c.carried())
    return;
  fill_cold(s, c, run, thickest);
  if (!c.tempered())
    return;
  fill_cycles(s, run);
  if (!c.steel.temper.hardness_HRC.empty())
    s.surface.flash_limit_degC =
        flash_limit(c, run.final_state.tempering[thickest], run.final_state.carbon[thickest],
                    shares_of(run.final_state, thickest));
}

} // namespace tq::answers
