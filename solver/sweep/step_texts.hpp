// What each step of a case depends on, as text: two cases with the same texts up to a step have the same
// blade after it.
#pragma once

#include "treatment/case.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace tq::sweep {

struct StepTexts {
  std::string base;               ///< blade, steel, furnace and all that acts from the beginning
  std::vector<std::string> steps; ///< further, one for each step of the case
  std::string judged;             ///< what the verdicts alone depend on

  /// From the resolved text of a case, which says all that the case is.
  static StepTexts of(const treatment::Case& c);
  /// Leading steps that both have in common; nothing (`none`) when they differ before the first one.
  static constexpr std::size_t none = static_cast<std::size_t>(-1);
  std::size_t shared_with(const StepTexts& other) const;
};

} // namespace tq::sweep
