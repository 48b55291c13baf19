// The safety cautions that belong beside a case's numbers.
#pragma once

#include "answers/answers.hpp"

#include <vector>

namespace tq::answers {

/// One-line cautions for the stages this case has, in the order of the work: "furnace", "foil", "transfer",
/// "oil", "as quenched", "cold", "temper". The last one ("all") says what stands above them: local codes,
/// licensed practice and a trial on a coupon.
/// Common practice, no source, but for the distance to the flash point (29 CFR 1910.126(a)(2): 50 degF; a
/// difference, hence 28 K).
std::vector<Caution> cautions_for(const treatment::Case& c);

} // namespace tq::answers
