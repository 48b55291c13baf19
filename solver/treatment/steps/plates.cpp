#include "treatment/steps/plates.hpp"

#include "surroundings/plates.hpp"
#include "treatment/steps/furnace.hpp"

#include <algorithm>

namespace tq::treatment {

void add_plates(conduction::Cover& cover, const Plates& plates, double start_degC, const section::Grid& grid,
                const conduction::HeatOperator& section) {
  conduction::Cover slices;
  std::vector<double> lower(grid.bottom.size());
  std::transform(grid.bottom.begin(), grid.bottom.end(), lower.begin(), [](double y) { return -y; });
  for (int f : {flank_a, flank_b})
    if (section.face_nodes(f) > 0)
      surroundings::add_plate(
          slices, f, plates.metal, plates.thickness_m, plates.contact_W_m2K[static_cast<std::size_t>(f)],
          surroundings::gap_under_plate(grid.x, f == flank_a ? grid.top : lower), start_degC);
  cover.insert(cover.end(), slices.begin(), slices.end());
}

} // namespace tq::treatment
