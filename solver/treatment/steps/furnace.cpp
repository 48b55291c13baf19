#include "treatment/steps/furnace.hpp"

#include "steel/transformation.hpp"
#include "surroundings/wrap.hpp"
#include "treatment/simulation.hpp"

#include <algorithm>
#include <utility>

namespace tq::treatment {

namespace {

/// Share of the muffle's area that blade or foil take up, for the finite-cavity correction (Incropera ch. 13:
/// below 5 % of the flux for ratios up to 0.2). A usual small muffle; no source.
constexpr double cavity_area_ratio = 0.1;
constexpr double oxidising_from_degC = 500; ///< foil browns above this; assumption, no source
/// A furnace that goes down by less than this still heats: controllers swing, loggers are noisy. Assumption.
constexpr double goes_down_K = 25;

double cavity_emissivity(double surface, const Furnace& f) {
  return surface <= 0
             ? 0
             : 1.0 / (1.0 / surface + cavity_area_ratio * f.blades * (1.0 / f.wall_emissivity - 1.0));
}

void heat_support(conduction::Surround& s, const Support& support, const Simulation& sim) {
  const std::vector<double>& x = sim.grid().x;
  for (auto& face : s.second.face)
    face.htc_constant_W_m2K = support.conductance_W_m2K;
  s.second.temperature = [air = s.temperature, cooler = support.cooler_K](double t) {
    const double furnace = air(t); // a brick came from the room, and is no colder
    return std::min(furnace, std::max(furnace - cooler, room_degC));
  };
  const bool spine = support.face == spine_face;
  for (int f : {flank_a, flank_b})
    for (std::size_t n = 0; n < sim.section().face_nodes(f); ++n) {
      const double from = n > 0 ? 0.5 * (x[n - 1] + x[n]) : x[n],
                   to = n + 1 < x.size() ? 0.5 * (x[n] + x[n + 1]) : x[n];
      const double in_slot = spine ? support.depth_m - from : to - (x.back() - support.depth_m);
      s.second.share[static_cast<std::size_t>(f)].push_back(std::clamp(in_slot / (to - from), 0.0, 1.0));
    }
  s.second.share[static_cast<std::size_t>(support.face)].assign(sim.section().face_nodes(support.face), 1.0);
}

/// What walls, neighbours and support do to each face, foil that browns included; `start` is the clock when
/// the door closed, `foil` gives the emissivity of the foil's outside over the clock.
conduction::Surround surround_of(const Furnace& f, const Simulation& sim, double start,
                                 const std::function<double(double)>& foil) {
  conduction::Surround s;
  s.temperature = [furnace = sim.furnace_temperature(), start](double t) { return furnace(t - start); };
  const double fresh = sim.bare_or_foil(sim.settings().surface.emissivity_furnace);
  for (int face = 0; face < face_count; ++face) {
    const bool shaded = (face == flank_a && f.blades > 2) || (face == flank_b && f.blades > 1);
    const double view = shaded ? surroundings::view_between_blades(sim.grid().x.back(), f.spacing_m) : 0;
    const auto towards_walls = [&f, view](double emissivity) {
      return cavity_emissivity(surroundings::shaded_emissivity(emissivity, view), f);
    };
    auto& exchange = s.face[static_cast<std::size_t>(face)];
    exchange.htc_constant_W_m2K = f.convection_W_m2K;
    exchange.emissivity = towards_walls(fresh);
    if (foil && exchange.emissivity > 0)
      s.emissivity_factor[static_cast<std::size_t>(face)] = [foil, towards_walls,
                                                             first = exchange.emissivity](double t) {
        return towards_walls(foil(t)) / first;
      };
  }
  if (f.support)
    heat_support(s, *f.support, sim);
  return s;
}

/// Times from the beginning at which the furnace turns, and whether it goes up from there on.
std::vector<std::pair<double, bool>> turns_of(const surroundings::FurnaceTemperature& furnace) {
  std::vector<std::pair<double, bool>> turns{{0, true}};
  double best = furnace(0), at = 0;
  for (const double t : furnace.points_s()) {
    const double T = furnace(t);
    const bool up = turns.back().second;
    if (up ? T >= best : T <= best) {
      best = T;
      at = t;
    } else if (std::abs(T - best) > goes_down_K) {
      turns.push_back({at, !up});
      best = T;
      at = t;
    }
  }
  return turns;
}

} // namespace

surroundings::FurnaceTemperature temperature_of(const Furnace& f) {
  if (f.log)
    return surroundings::FurnaceTemperature::logged(f.log->time_s, f.log->temperature_degC,
                                                    f.reading_offset_K + f.setpoint_degC - f.log->level_degC,
                                                    f.log->level_degC);
  auto furnace = f.loading == Loading::hot
                     ? surroundings::FurnaceTemperature::hot(f.setpoint_degC, f.reading_offset_K, f.droop_K,
                                                             f.recovery_s)
                     : surroundings::FurnaceTemperature::cold(f.start_degC, f.reading_offset_K, f.programme);
  if (f.overshoot_K > 0)
    furnace.overshoot(f.overshoot_K, f.overshoot_peak_s);
  return furnace;
}

std::optional<double> own_end_s(const Furnace& f) {
  if (!f.log && f.loading == Loading::hot)
    return {};
  const surroundings::FurnaceTemperature furnace = temperature_of(f);
  return f.log || turns_of(furnace).size() > 1 ? std::optional(furnace.points_s().back()) : std::nullopt;
}

double blade_out_s(const Furnace& f) {
  if (!f.timer_s)
    return own_end_s(f).value_or(no_timer_s);
  return *f.timer_s + (f.timer_start == TimerStart::recovery ? temperature_of(f).display_ready_s() : 0);
}

const char* word(const Furnace&) { return "furnace"; }

Part counts_as(const Furnace&) { return Part::furnace; }

void take(const Furnace& f, Simulation& sim, double seconds, const StepObserver& observer) {
  const double start = sim.time(), end = start + (seconds < 0 ? blade_out_s(f) : seconds);
  sim.cover();
  sim.set_furnace(temperature_of(f));
  const surroundings::FurnaceTemperature& furnace = sim.furnace_temperature();
  const Case& c = sim.settings();
  sim.set_foil_emissivity(c.wrap.emissivity_outside);
  sim.set_bare_emissivity(c.surface.emissivity_air);
  std::function<double(double)> foil;
  if (sim.covers().foil && c.wrap.emissivity_oxidised) {
    double hot_from = 0;
    if (f.loading == Loading::cold || f.log)
      while (start + hot_from < end && furnace(hot_from) < oxidising_from_degC)
        hot_from += 10;
    foil = [fresh = c.wrap.emissivity_outside, old = *c.wrap.emissivity_oxidised, in_s = c.wrap.oxidises_in_s,
            since = start + hot_from](double t) {
      return surroundings::oxidising_emissivity(fresh, old, in_s, t - since);
    };
  }
  const conduction::Surround s = surround_of(f, sim, start, foil);
  std::vector<double> breaks;
  for (const double t : furnace.breakpoints())
    breaks.push_back(start + t);
  const double ac1 = c.steel.inert ? 0 : steel::ac1(c.steel);
  const bool hardens = furnace.final_degC() > ac1;
  sim.forget_soak();
  sim.soak().begin(furnace.final_degC() - c.wishes.within_K);
  const auto turns = turns_of(furnace);
  bool goes_on = true;
  for (std::size_t k = 0; k < turns.size() && goes_on; ++k) {
    const double until = k + 1 < turns.size() ? std::min(end, start + turns[k + 1].first) : end;
    if (until <= sim.time() && k > 0)
      break;
    const bool tempers = turns[k].second && sim.hardened();
    if (tempers || !hardens) { // what an earlier quench left tempers on the way up
      sim.enter(s, steel::TransformMode::tempering);
      sim.set_tempering(true);
      goes_on =
          sim.advance(until, observer, true, breaks, hardens ? sim.up_to(ac1) : std::function<double()>());
      sim.set_tempering(false);
      sim.soak().jumped();
    }
    if (!hardens || !goes_on || (tempers && sim.time() >= until))
      continue;
    sim.enter(s, turns[k].second ? steel::TransformMode::heating : steel::TransformMode::cooling);
    goes_on = sim.advance(until, observer, true, breaks);
    sim.soak().jumped();
  }
  sim.soak() = {};
  if (foil)
    sim.set_foil_emissivity(foil(sim.time()));
}

double expected_s(const Furnace& f) { return blade_out_s(f); }

std::vector<double> usual_frames(const Furnace& f) { return even_frames(expected_s(f), 11); }

double weight(const Furnace&) { return 0.25; }

bool same_on_both_flanks(const Furnace& f) { return f.blades != 2; } // each is shaded on one flank only

} // namespace tq::treatment
