#include "answers/blades_in_ten.hpp"

#include "units/text.hpp"

#include <cmath>

namespace tq::answers {

std::string blades_in_ten(double share) {
  const int n = static_cast<int>(std::floor(10 * share + 1e-9));
  return n >= 10  ? "10 blades in 10"
         : n == 0 ? "fewer than 1 blade in 10"
                  : units::formatted("%d blade%s in 10", n, n > 1 ? "s" : "");
}

} // namespace tq::answers
