// What invites cracks in a quench: flags with their reasons, no probability.
#pragma once

#include "answers/answers.hpp"

#include <limits>
#include <string>
#include <vector>

namespace tq::answers {

enum class CrackLevel { note, raised, high };
const char* crack_level_name(CrackLevel level);

struct CrackFlag {
  std::string key;   ///< "notch", "scratches", "bath", "soak", "edge", "section", "cold", "delay"
  std::string title; ///< the same in two words, for a small place
  CrackLevel level = CrackLevel::note;
  Reason reason;
};

/// What the case does not say, and by which keys it could.
struct NotStated {
  std::string what, keys;
  /// "the last scratches (blade.scratches)"
  std::string text() const { return what + " (" + keys + ")"; }
};

struct CrackAnswer {
  double notch_factor = std::numeric_limits<double>::quiet_NaN(); ///< of the stated notch, on its net section
  std::vector<CrackFlag> flags;                                   ///< highest first
  std::vector<NotStated> not_stated;                              ///< what would be looked at too
  Judgement crack; ///< fails with a high flag, marginal with a raised one
};

/// The flags of the case with the carbon in solution that `a` found.
CrackAnswer crack_answer(const treatment::Case& c, const Answers& a);

} // namespace tq::answers
