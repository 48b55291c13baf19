// What verdicts were judged by, as it stands beside them.
#pragma once

#include "answers/ledger.hpp"
#include "treatment/case.hpp"

#include <string>

namespace tq::output {

/// "judged by 128 draws", and "from 5 blades of this shop" where its readings narrowed them.
inline std::string judged_in_shop(const treatment::Case& c, int draws) {
  const auto& learnt = c.uncertainty.learnt;
  return answers::judged_text(draws) + (learnt ? ", " + learnt->from : "");
}

} // namespace tq::output
