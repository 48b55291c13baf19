#include "treatment/steps/cold.hpp"

#include "treatment/simulation.hpp"
#include "treatment/steps/air.hpp"

namespace tq::treatment {

const char* word(const Cold&) { return "cold"; }

Part counts_as(const Cold&) { return Part::cool; }

void take(const Cold& cold, Simulation& sim, double seconds, const StepObserver& observer) {
  if (cold.medium_degC >= cold.air_degC - all_but_cold_K)
    return;
  sim.cover();
  const double emissivity = sim.bare_or_foil(sim.bare_emissivity());
  if (cold.wait_s > 0) {
    sim.enter(sim.air_surround(cold.air_degC, cold.convection_W_m2K, emissivity),
              steel::TransformMode::cooling);
    // not the slow tolerance: falling below the air by its error would turn austenite for good
    sim.advance(sim.time() + cold.wait_s, observer, false);
  }
  sim.stabilise_austenite(cold.wait_s);
  sim.enter(sim.air_surround(cold.medium_degC, cold_medium_W_m2K, emissivity), steel::TransformMode::cooling);
  if (sim.advance(sim.time() + (seconds < 0 ? longest_cooling_s : seconds), observer, true, {},
                  sim.down_to(cold.medium_degC + all_but_cold_K)) &&
      cold.hold_s > 0)
    sim.advance(sim.time() + cold.hold_s, observer, true);
}

double expected_s(const Cold& cold) {
  constexpr double usual_cooling_s = 600;
  return cold.wait_s + usual_cooling_s + cold.hold_s;
}

std::vector<double> usual_frames(const Cold& cold) { return even_frames(expected_s(cold), 3); }

double weight(const Cold&) { return 0.1; }

bool same_on_both_flanks(const Cold&) { return true; }

} // namespace tq::treatment
