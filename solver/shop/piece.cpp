#include "shop/piece.hpp"

#include <algorithm>

namespace tq::shop {

using treatment::Case;

Case piece_case(const Case& blade, double thickness_m) {
  constexpr double narrowest_m = 25e-3, widths = 4; // the middle knows nothing of the rims
  constexpr int along = 8;
  Case c = blade;
  // couple and tester stand in the middle, so that it has to be the thickest place
  constexpr double crown = 1e-3;
  const double width = std::max(narrowest_m, widths * thickness_m), y = 0.5 * thickness_m,
               rim = (1 - crown) * y;
  c.blade.stations = {
      {"piece", section::make_profile({{0, 0.5 * width, width}, {rim, y, rim}, {-rim, -y, -rim}, {}})}};
  c.coat.reset();
  if (const auto temper = c.hardening().temper)
    c.steps.resize(*temper);
  c.output_times_s = {1e12}; // no fields, so no steps that land on them
  c.probes.clear();
  c.solver.along = std::min(c.solver.along, along);
  return c;
}

const treatment::Run& Pieces::run(const Case& blade, double thickness_m) {
  const auto known = runs_.find(thickness_m);
  if (known != runs_.end())
    return known->second;
  return runs_.emplace(thickness_m, treatment::run_station(piece_case(blade, thickness_m), 0)).first->second;
}

} // namespace tq::shop
