// The one coarse grid of the answers: margins, searches (which are confirmed on the case's own grid) and the
// members of the bands (which are corrected to it).
#pragma once

#include "treatment/case.hpp"

namespace tq::answers {

/// The same case on a grid and at a step error that are good enough to look for something, some three times
/// as fast.
treatment::Case coarse_case(const treatment::Case& c);

} // namespace tq::answers
