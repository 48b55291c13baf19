// Plates pressed on both flanks in place of a liquid; spine and edge stand in the air.
#pragma once

#include "records/solid_record.hpp"

#include <array>
#include <vector>

// Every user of a case reads this file: the operator and its numerics only where plates are laid on.
namespace tq::conduction {
class HeatOperator;
struct CoverLayer;
using Cover = std::vector<CoverLayer>;
} // namespace tq::conduction
namespace tq::section {
struct Grid;
}

namespace tq::treatment {

struct Plates {
  records::SolidRecord metal;
  double thickness_m = 0;
  std::array<double, 2> contact_W_m2K{}; ///< flank A, flank B
};

/// Adds the plates to what covers the faces of a section.
void add_plates(conduction::Cover& cover, const Plates& plates, double start_degC, const section::Grid& grid,
                const conduction::HeatOperator& section);

} // namespace tq::treatment
