#include "treatment/steps/air.hpp"

#include "treatment/simulation.hpp"

namespace tq::treatment {

const char* word(const Air&) { return "air"; }

Part counts_as(const Air& air) { return air.until_degC ? Part::cool : Part::transfer; }

void take(const Air& air, Simulation& sim, double seconds, const StepObserver& observer) {
  const double length = seconds < 0 ? air.time_s : seconds;
  sim.cover();
  sim.enter(sim.air_surround(air.air_degC, air.convection_W_m2K,
                             sim.bare_or_foil(sim.settings().surface.emissivity_air)),
            steel::TransformMode::cooling);
  if (length <= 0)
    return;
  // where it stops is located inside the time step: in air one is long enough to pass the level by tens of
  // kelvin
  const bool slow = air.until_degC.has_value();
  sim.advance(sim.time() + length, observer, slow, {},
              slow ? sim.down_to(*air.until_degC) : std::function<double()>());
}

double expected_s(const Air& air) {
  constexpr double usual_cooling_s = 600;
  return air.until_degC ? usual_cooling_s : air.time_s;
}

std::vector<double> usual_frames(const Air& air) {
  return even_frames(expected_s(air), air.until_degC ? 3 : 1);
}

double weight(const Air& air) { return air.until_degC ? 0.1 : 0.05; }

bool same_on_both_flanks(const Air&) { return true; }

} // namespace tq::treatment
