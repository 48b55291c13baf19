// The outermost tenths of a millimetre: skin, scale and grinding, grain, what file and tester will say,
// temper colour; from the temperatures a run has recorded.
#pragma once

#include "answers/answers.hpp"

namespace tq::answers {

/// Fills the answer about the surface. Steel in a wrap is covered while it is on; before the oil takes it and
/// when nothing is wrapped it stands in open air. `s` gives the hardness of the zones. Nothing for inert
/// steel.
SurfaceAnswer surface_answer(const treatment::Case& c, const section::Profile& profile,
                             const treatment::Run& run, const StationAnswer& s);

} // namespace tq::answers
