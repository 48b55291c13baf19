#include "treatment/steps/air.hpp"

#include "steel/skin.hpp"
#include "treatment/simulation.hpp"

#include <algorithm>
#include <cmath>

namespace tq::treatment {

namespace {

/// Emissivity of bare steel over the time [s] of the case from now on, as scale grows on it; nothing where
/// none grows. The scale is that of the hottest place as it is now: it cools by some 10 K in a second, and by
/// then a film is there.
std::function<double(double)> scaling_skin(const Simulation& sim) {
  const Case& c = sim.settings();
  const double bright = c.surface.emissivity_air, scaled = c.surface.emissivity_scaled;
  const bool bare = !sim.covers().foil && !sim.covers().coat;
  if (!bare || c.steel.inert || bright <= 0 || scaled <= bright)
    return {};
  const double film = steel::film_of(sim.bare_emissivity(), bright, scaled); // goes on from what is there
  return [bright, scaled, grown = film * film, since = sim.time(),
          rate = steel::film_rate(sim.hottest())](double t) {
    return steel::emissivity_under(std::sqrt(grown + rate * std::max(0.0, t - since)), bright, scaled);
  };
}

} // namespace

const char* word(const Air&) { return "air"; }

Part counts_as(const Air& air) { return air.until_degC ? Part::cool : Part::transfer; }

void take(const Air& air, Simulation& sim, double seconds, const StepObserver& observer) {
  const double length = seconds < 0 ? air.time_s : seconds;
  sim.cover();
  conduction::Surround surround =
      sim.air_surround(air.air_degC, air.convection_W_m2K, sim.bare_or_foil(sim.bare_emissivity()));
  const std::function<double(double)> skin = scaling_skin(sim);
  if (skin)
    surround.emissivity_factor.fill([skin, from = skin(sim.time())](double t) { return skin(t) / from; });
  sim.enter(surround, steel::TransformMode::cooling);
  if (length <= 0)
    return;
  // where it stops is located inside the time step: in air one is long enough to pass the level by tens of
  // kelvin
  const bool slow = air.until_degC.has_value();
  sim.advance(sim.time() + length, observer, slow, {},
              slow ? sim.down_to(*air.until_degC) : std::function<double()>());
  if (skin)
    sim.set_bare_emissivity(skin(sim.time()));
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
