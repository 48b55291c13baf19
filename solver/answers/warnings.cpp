#include "answers/warnings.hpp"

#include "answers/margins.hpp"
#include "steel/hardness.hpp"
#include "steel/temper.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers {

using treatment::Stage;
using units::formatted;

namespace {
constexpr double dissolved_water =
    5e-4; ///< above it an oil boils longer and cracks more; common practice, no source
constexpr double hand_warm_oil_degC = 80; ///< soft limit for cold mineral oil; common practice, no source
constexpr double most_retained_austenite = 0.18;
constexpr double energy_limit = 1e-9;
/// Published start curves are good to about this factor.
constexpr double safe_rate_margin = 2;
} // namespace

std::vector<std::string> warnings_for(const treatment::Case& c, const Answers& a,
                                      const std::vector<treatment::Run>& runs) {
  std::vector<std::string> out;
  const auto& steel = c.steel;
  if (c.has(Stage::furnace) && !steel.inert) {
    const double true_degC = c.furnace.setpoint_degC + c.furnace.reading_offset_K;
    const auto& w = steel.austenitising;
    if (true_degC < w.hardening_from_degC - 0.5 || true_degC > w.hardening_to_degC + 0.5)
      out.push_back(formatted("true furnace temperature %.0f degC is outside the usual %.0f-%.0f degC for %s",
                              true_degC, w.hardening_from_degC, w.hardening_to_degC, steel.key.c_str()));
  }
  if (c.has(Stage::furnace) && c.wrap.layers > 0 && c.wrap.foil.service_limit_degC > 0 &&
      c.furnace.setpoint_degC + c.furnace.reading_offset_K > c.wrap.foil.service_limit_degC)
    out.push_back(formatted("furnace above the foil's limit of %.0f degC", c.wrap.foil.service_limit_degC));
  if (c.has(Stage::bath) && c.bath.fixed_htc_W_m2K <= 0 && !c.bath.plates) {
    const auto& oil = c.bath.coolant;
    if (oil.recommended_to_degC > oil.recommended_from_degC &&
        (c.bath.temperature_degC < oil.recommended_from_degC - 0.5 ||
         c.bath.temperature_degC > oil.recommended_to_degC + 0.5))
      out.push_back(formatted("bath at %.0f degC is outside the usual %.0f-%.0f degC for %s",
                              c.bath.temperature_degC, oil.recommended_from_degC, oil.recommended_to_degC,
                              oil.name.c_str()));
    for (const auto& s : a.stations) {
      if (oil.flash_degC && s.bath_end_degC > *oil.flash_degC - c.thresholds.flash_margin_K)
        out.push_back(
            formatted("bath ends at %.0f degC, less than %.0f K below its flash point of %.0f degC: stop and "
                      "use more or cooler oil",
                      s.bath_end_degC, c.thresholds.flash_margin_K, *oil.flash_degC));
      else if (oil.kind == records::CoolantKind::oil && s.bath_end_degC > hand_warm_oil_degC)
        out.push_back(formatted("bath ends at %.0f degC, hot for an ordinary quench oil", s.bath_end_degC));
      if (c.bath.blades > 1 && s.bath_end_degC > s.bath_limit_degC)
        out.push_back(
            formatted("after %d blades in a row the bath is at %.0f degC, above %.0f: wait longer between "
                      "them, or use more oil",
                      c.bath.blades, s.bath_end_degC, s.bath_limit_degC));
      else if (s.bath_rise_K > most_bath_rise_K)
        out.push_back(
            formatted("bath warms by %.0f K: use more oil or let it cool between blades", s.bath_rise_K));
      if (oil.flash_degC && s.surface_at_lift_degC > *oil.flash_degC)
        out.push_back(
            formatted("surface is still above the oil's flash point of %.0f degC when the blade is lifted",
                      *oil.flash_degC));
    }
    if (c.bath.water > dissolved_water)
      out.push_back(
          formatted("%.2g %% of water in the oil: its blanket of vapour stands longer, it spits and cracks "
                    "blades; from 0.1 %% on it boils over. Dry or replace it, do not quench",
                    100 * c.bath.water));
    if (oil.htc_kind == records::HtcKind::lumped)
      out.push_back(
          "this bath's h(T) is a lumped probe value, about half the local one at its peak: margins read low");
  }
  if (!steel.inert) {
    for (const auto& s : a.stations) {
      const ZoneAnswer* tight = nullptr;
      for (const auto& z : s.zones)
        if (z.wanted == treatment::Wanted::hard && z.hardens.verdict == Verdict::pass &&
            z.rate_margin < safe_rate_margin && (!tight || z.rate_margin < tight->rate_margin))
          tight = &z;
      if (tight)
        out.push_back(
            formatted("%s passes by the rule of %.3g %%, but cools only %.2g times as fast as it needs: "
                      "a little slower oil or transfer, or another melt, would not pass",
                      tight->name.c_str(), 100 * c.thresholds.transformed_pass, tight->rate_margin));
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
    if (c.has(Stage::temper) && c.temper.count > 0) {
      const double hottest = c.temper.oven_degC + c.temper.swing_K + c.temper.edge_extra_K;
      if (hottest > steel.brittle_from_degC && c.temper.oven_degC - c.temper.swing_K < steel.brittle_to_degC)
        out.push_back(
            formatted("tempering reaches the embrittlement range of %.0f-%.0f degC (up to %.0f degC): "
                      "softer, yet no tougher than below it",
                      steel.brittle_from_degC, steel.brittle_to_degC, hottest));
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
  if (c.has(Stage::furnace) && c.wrap.layers > 0)
    out.push_back("foil lies at one mean gap per face, the seams left out");
  if (c.has(Stage::bath) && c.bath.fixed_htc_W_m2K <= 0 && c.bath.coolant.kind != records::CoolantKind::air)
    out.push_back(
        "heat transfer of the bath depends on the local surface temperature only (still bath, whole section "
        "wetted at once)");
  if (c.steel.inert)
    return out;
  out.push_back("transformation from composition, calibrated on typical start curves: times good to about a "
                "factor of " +
                formatted("%.2g (pearlite) and %.2g (bainite)", c.steel.transformation.factor_uncertainty,
                          c.steel.transformation.bainite_uncertainty));
  if (c.has(Stage::temper) && c.temper.count > 0)
    out.push_back(formatted(
        "hardness after tempering from one published table, plus or minus %.2g HRC; retained austenite "
        "leaves by one law for all steels, anchored to 52100",
        c.steel.temper.uncertainty_HRC));
  if (c.cool.wait_s > 0)
    out.push_back(
        "waiting before the cold stabilises austenite by 10 K for each factor of ten in time beyond "
        "a minute: an assumption, good to a factor of 2");
  out.push_back("hardness is that of the steel below any decarburised skin");
  return out;
}

} // namespace tq::answers
