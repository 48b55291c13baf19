// The one answer: go, go with care, do not; why, and what to change.
#pragma once

#include "answers/answers.hpp"
#include "answers/risks.hpp"

#include <string>
#include <vector>

namespace tq::answers {

enum class Go { go, with_care, do_not, not_asked };
/// "GO", "GO WITH CARE", "DO NOT", "NOT ASKED"
const char* go_word(Go go);
/// The same for programs: "go", "with_care", "do_not", "not_asked"
const char* go_key(Go go);

struct Decision {
  Go go = Go::not_asked;
  std::string because;              ///< the worst verdicts, each with its reason in one clause
  std::vector<std::string> changes; ///< what to change, worst first; empty when nothing need be
};

/// From all verdicts. Do not: soak, quench, hardness, crack, oil or edge fails, or more than half of the
/// draws fail the soak or the quench. With care: one of them is marginal, or it bows (a bow can be
/// straightened). `risks` may be null: then bow, crack, oil and edge do not count, and `because` says so.
Decision decide(const Answers& judged, const Risks* risks);

} // namespace tq::answers
