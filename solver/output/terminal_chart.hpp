// Cooling curves in letters, for a terminal. Plain ASCII.
#pragma once

#include "treatment/case.hpp"
#include "treatment/run.hpp"

#include <iosfwd>

namespace tq::output {

/// Temperature of edge (e), middle (m) and spine (s) over seconds from leaving the furnace, logarithmic; at
/// most 80 columns and 20 lines. Writes nothing when the run has no cooling.
void print_cooling_chart(std::ostream& out, const treatment::Case& c, const treatment::Run& run);

} // namespace tq::output
