// What a page or document may show besides the plain answers.
#pragma once

#include "answers/bands.hpp"
#include "answers/log_beside.hpp"
#include "answers/risks.hpp"
#include "answers/what_if.hpp"

#include <vector>

namespace tq::output {

/// Null where it was not computed.
struct Extras {
  const answers::Bands* bands = nullptr;
  const std::vector<answers::WhatIfStrip>* what_if = nullptr;
  const answers::Risks* risks = nullptr;
  const answers::Bands* unlearnt = nullptr; ///< `bands` as they were before the shop's journal was read
  const std::vector<answers::LogBeside>* logs = nullptr; ///< of that journal
};

} // namespace tq::output
