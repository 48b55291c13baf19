#include "answers/surface.hpp"

#include "steel/grain.hpp"
#include "steel/reading.hpp"
#include "steel/skin.hpp"
#include "steel/temper_colour.hpp"
#include "steel/transformation.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace tq::answers {

using treatment::Case;
using treatment::Part;
using treatment::Run;

namespace {

constexpr double thinning_K = 1.0, thinning_s = 120.0;

bool has_furnace(const Run& run) { return treatment::span_of(run, Part::furnace) != nullptr; }

/// Trace of a zone over one span, thinned to what the slow laws of the surface can tell apart.
std::vector<steel::HistoryPoint> history(const Run& run, treatment::Zone zone,
                                         const treatment::StepSpan& span) {
  const std::vector<double>& T = run.zones[zone].temperature;
  std::vector<steel::HistoryPoint> out;
  constexpr double slack_s = 1e-9;
  std::size_t last = 0;
  for (std::size_t k = 0; k < run.time_s.size() && k < T.size(); ++k) {
    if (run.time_s[k] < span.from_s - slack_s || run.time_s[k] > span.to_s + slack_s)
      continue;
    last = k;
    if (out.empty() || std::abs(T[k] - out.back().T_degC) >= thinning_K ||
        run.time_s[k] - out.back().time_s >= thinning_s)
      out.push_back({run.time_s[k], T[k]});
  }
  if (!out.empty() && run.time_s[last] > out.back().time_s)
    out.push_back({run.time_s[last], T[last]});
  return out;
}

void fill_skin(SurfaceAnswer& out, const Case& c, const Run& run) {
  const steel::Skin skin = steel::skin_over(skin_history(c, run), skin_settings(c));
  const steel::GrindAllowance allowance = steel::grind_allowance(skin);
  out.soft_depth_m = skin.soft_m;
  out.affected_depth_m = skin.affected_m;
  out.scale_m = skin.scale_m;
  out.scale_loss_m = skin.metal_lost_m;
  out.grind_per_side_m = allowance.grind_per_side_m;
  out.least_edge_m = allowance.least_edge_m;
  out.edge_governed_by = allowance.governs == steel::GrindAllowance::Governs::skin ? "skin" : "floor";
}

void fill_grain(SurfaceAnswer& out, const Case& c, const Run& run) {
  double coarsest = 0.0;
  const treatment::StepSpan* span = treatment::span_of(run, Part::furnace); // grains of earlier ones are gone
  if (span == nullptr)
    return;
  const bool hardened_before = std::any_of(run.spans.begin(), run.spans.end(), [&](const auto& s) {
    return s.step < span->step && s.part == Part::furnace;
  });
  const auto from = hardened_before ? records::StartState::fine_pearlite : c.blade.start_state;
  for (int z = 0; z < treatment::zone_count; ++z) {
    const steel::SoakState soak =
        steel::soak_over(history(run, static_cast<treatment::Zone>(z), *span), c.steel, from);
    if (soak.formed > 0.5)
      coarsest = std::max(coarsest, soak.grain_m);
  }
  if (coarsest > 0.0)
    out.grain_number = steel::grain_number(coarsest);
}

void fill_soak_window(SurfaceAnswer& out, const Case& c) {
  const double true_degC = c.furnace().setpoint_degC + c.furnace().reading_offset_K;
  if (true_degC <= steel::ac1(c.steel))
    return; // a preheat, no soak
  steel::SoakLimits limits;
  limits.cooled_to_degC = c.lowest_degC();
  const steel::SoakWindow window = steel::soak_window(c.steel, c.blade.start_state, true_degC, limits);
  out.soak_earliest_s = window.earliest_s;
  out.soak_latest_s = window.latest_s;
  out.soak_too_short = window.too_short;
  out.soak_too_long = window.too_long;
}

void fill_readings(SurfaceAnswer& out, const section::Profile& profile, const StationAnswer& s) {
  const double edge = s.zones[treatment::zone_edge].as_quenched_HRC;
  if (std::isfinite(edge)) {
    const steel::FileFeel feel = steel::file_feel(edge);
    out.file_as_quenched = steel::file_feel_name(feel);
    if (out.soft_depth_m > steel::file_depth_m && feel != steel::FileFeel::bites)
      out.file_as_quenched = "bites on the soft skin, " + out.file_as_quenched + " below it";
  }
  const ZoneAnswer& thickest = s.zones[treatment::zone_thickest];
  const double hrc = std::isfinite(thickest.tempered_HRC) ? thickest.tempered_HRC : thickest.as_quenched_HRC;
  if (!std::isfinite(hrc) || profile.x.size() < 2)
    return;
  const steel::RockwellPlaces places = steel::rockwell_places(profile, hrc);
  out.rockwell_thickness_m = places.least_thickness_m;
  out.rockwell_from_m = places.valid.from_m;
  out.rockwell_to_m = places.valid.to_m;
}

void fill_colour(SurfaceAnswer& out, const Run& run) {
  std::vector<steel::HistoryPoint> body, edge;
  for (const treatment::StepSpan& span : run.spans)
    if (span.part == Part::temper) {
      const auto add = [&](std::vector<steel::HistoryPoint>& to, treatment::Zone zone) {
        for (const steel::HistoryPoint& p : history(run, zone, span))
          to.push_back(p);
      };
      add(body, treatment::zone_thickest);
      add(edge, treatment::zone_edge);
    }
  if (body.empty())
    return;
  const steel::ColourHint hint = steel::colour_over(body);
  out.temper_colour = hint.colour.name;
  out.temper_colour_edge = steel::colour_over(edge).colour.name;
  out.temper_colour_srgb = hint.colour.hex();
  out.temper_colour_doubt = hint.from == hint.to ? hint.from : hint.from + " to " + hint.to;
}

} // namespace

std::vector<steel::SkinPoint> skin_history(const Case& c, const Run& run) {
  std::vector<steel::SkinPoint> points;
  bool cold = false;
  for (const treatment::StepSpan& span : run.spans) {
    const treatment::Step& step = c.steps[span.step];
    const treatment::Bath* bath = step.as<treatment::Bath>();
    // a liquid keeps the air away, and what follows it up to the next furnace is too cold
    if (span.part == Part::furnace)
      cold = false;
    cold = cold || span.part == Part::temper || (bath && bath->coolant.kind != records::CoolantKind::air);
    if (cold)
      continue;
    const auto open = c.surface.painted ? steel::Cover::painted : steel::Cover::bare;
    const auto cover = c.wrap.layers > 0 && step.foil ? steel::Cover::foil : open;
    for (const steel::HistoryPoint& p : history(run, treatment::zone_edge, span))
      points.push_back({p.time_s, p.T_degC, cover});
  }
  return points;
}

steel::SkinSettings skin_settings(const Case& c) {
  steel::SkinSettings settings;
  settings.carbon_wt = c.steel.composition.C;
  settings.austenite_from_degC = steel::ac1(c.steel);
  if (c.wrap.layers > 0) {
    const double gap = std::accumulate(c.wrap.gap_m.begin(), c.wrap.gap_m.end(), 0.0) / c.wrap.gap_m.size();
    settings.packet_skin_m =
        steel::packet_skin(settings.carbon_wt, c.steel.density_kg_m3, std::max(gap, steel::packet_air));
  }
  return settings;
}

SurfaceAnswer surface_answer(const Case& c, const section::Profile& profile, const Run& run,
                             const StationAnswer& s, Advice advice) {
  SurfaceAnswer out;
  if (c.steel.inert)
    return out;
  if (has_furnace(run)) {
    fill_skin(out, c, run);
    fill_grain(out, c, run);
  }
  if (advice == Advice::none)
    return out;
  if (has_furnace(run))
    fill_soak_window(out, c);
  fill_readings(out, profile, s);
  fill_colour(out, run);
  return out;
}

} // namespace tq::answers
