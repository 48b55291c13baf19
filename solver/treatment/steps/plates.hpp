// Plates pressed on both flanks in place of a liquid; spine and edge stand in the air.
#pragma once

#include "records/solid_record.hpp"

#include <array>

namespace tq::treatment {

struct Plates {
  records::SolidRecord metal;
  double thickness_m = 0;
  std::array<double, 2> contact_W_m2K{}; ///< flank A, flank B
};

} // namespace tq::treatment
