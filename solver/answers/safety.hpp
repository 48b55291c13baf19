// Verdicts on what the figures of the steel do not tell: whether the oil is used where it may be, and whether
// the edge is thick enough to come through.
#pragma once

#include "answers/answers.hpp"

namespace tq::answers {

/// Every oil of the hardening against its one limit (bath_limit.hpp). Fails above its flash point less the
/// margin; marginal above the limit otherwise, when it warms by more than a row may, and when the blade is
/// lifted while its surface is above the flash point. Not asked without oil.
Judgement oil_verdict(const treatment::Case& c, const Answers& a);

/// The edge against what the skin and the floor of the surface answer ask for. Fails when the skins of both
/// flanks meet, so that nothing hard is left after grinding; marginal when it is thinner than that. Not asked
/// where the case does not harden.
Judgement edge_verdict(const treatment::Case& c, const Answers& a);

} // namespace tq::answers
