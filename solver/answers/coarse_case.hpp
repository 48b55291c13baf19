// The one coarse grid of the answers: margins, searches (which are confirmed on the case's own grid) and the
// members of the bands (which are corrected to it).
#pragma once

#include "treatment/case.hpp"

namespace tq::answers {

/// The same case on a grid and at a step error that are good enough to look for something, some three times
/// as fast.
treatment::Case coarse_case(const treatment::Case& c);

/// How a figure of the coarse grid is brought to the fine one.
enum class Nature {
  difference, ///< moved by fine minus coarse
  ratio, ///< multiplied by fine over coarse; its variance is that of its rank: few large values tell little
};
/// What the figure `value` of a changed case on the coarse grid would be on the fine one, within [least,
/// most], when the case as stated has `fine` and `coarse` on the two. NaN stays; a correction that does not
/// exist (nothing there to compare) is left out.
double corrected(double value, double fine, double coarse, Nature nature, double least, double most);

} // namespace tq::answers
