// A share of the draws as a maker counts.
#pragma once

#include <string>

namespace tq::answers {

/// "7 blades in 10": down, so that it promises no more than the draws do.
std::string blades_in_ten(double share);

} // namespace tq::answers
