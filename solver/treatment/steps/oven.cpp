#include "treatment/steps/oven.hpp"

#include "treatment/simulation.hpp"

#include <algorithm>

namespace tq::treatment {

namespace {
constexpr double hand_warm_degC = 60, longest_out_s = 3600;
} // namespace

const char* word(const Oven&) { return "oven"; }

Part counts_as(const Oven&) { return Part::temper; }

void take(const Oven& oven, Simulation& sim, double seconds, const StepObserver& observer) {
  sim.cover();
  conduction::Surround s;
  const double start = sim.time();
  const std::optional<surroundings::FurnaceTemperature> logged =
      oven.log ? std::optional(surroundings::FurnaceTemperature::logged(
                     oven.log->time_s, oven.log->temperature_degC, oven.oven_degC - oven.log->level_degC,
                     oven.log->level_degC))
               : std::nullopt;
  if (logged)
    s.temperature = [logged, start](double now) { return (*logged)(now - start); };
  else
    s.temperature = [oven, start](double now) {
      return surroundings::oven_temperature(oven.oven_degC, oven.swing_K, oven.swing_period_s, now - start);
    };
  for (auto& face : s.face) {
    face.htc_constant_W_m2K = oven.convection_W_m2K;
    face.emissivity = oven.emissivity;
  }
  const section::Grid& grid = sim.grid();
  if (oven.edge_extra_K != 0) {
    // full at the edge, fading to nothing at 70 % of the width: the part that stands out towards the element
    const double width = grid.x.back();
    for (const double x : grid.x)
      s.extra_K.push_back(oven.edge_extra_K * std::clamp((x / width - 0.7) / 0.3, 0.0, 1.0));
  }
  // A blade that comes hotter than the oven cools in it, and may transform; so may one whose quench was
  // broken off while most of it was austenite. What decays as retained austenite does has martensite about
  // it.
  const bool heats = sim.hottest() <= oven.oven_degC && !sim.mostly_austenite();
  const auto mode = heats ? steel::TransformMode::tempering : steel::TransformMode::cooling;
  sim.enter(s, mode);
  sim.set_tempering(heats);
  const double length = seconds >= 0 ? seconds : oven.time_s;
  std::vector<double> breaks;
  if (logged)
    for (const double t : logged->breakpoints())
      breaks.push_back(start + t);
  if (sim.advance(start + length, observer, true, breaks)) {
    sim.enter(sim.air_surround(room_degC, 0, sim.settings().surface.emissivity_air), mode);
    sim.advance(sim.time() + longest_out_s, observer, true, {}, sim.down_to(hand_warm_degC));
  }
  sim.set_tempering(false);
}

double expected_s(const Oven& oven) { return oven.time_s; }

std::vector<double> usual_frames(const Oven& oven) { return even_frames(expected_s(oven), 3); }

double weight(const Oven&) { return 0.15; }

bool same_on_both_flanks(const Oven&) { return true; }

} // namespace tq::treatment
