// What becomes of a case when one thing is not as set: a furnace that reads wrong, a colder oil, a looser
// foil. One strip of outcomes per question, everything else as the case says.
#pragma once

#include "answers/answers.hpp"
#include "answers/executor.hpp"
#include "answers/experiment.hpp"
#include "treatment/case.hpp"

#include <functional>
#include <string>
#include <vector>

namespace tq::answers {

/// One outcome of a strip. HRC are least and most over zones and stations; NaN where a figure does not exist.
struct WhatIfPoint {
  std::string label;    ///< "15 K hotter", "as set"
  std::string told;     ///< the same, a temperature in both units: "freezer, -18 degC (0 degF)"
  double change = 0;    ///< from what the case says, or the value itself; see WhatIfStrip::change_in
  bool as_set = false;  ///< the case itself
  bool possible = true; ///< false: cannot be set up (a bath above its flash point); `why_not` says why
  std::string why_not;
  Verdict soak = Verdict::not_asked, quench = Verdict::not_asked, hardness = Verdict::not_asked;
  double carbon_wt = ZoneAnswer::none;          ///< least in solution
  double rate_margin = ZoneAnswer::none;        ///< least, times the cooling rate that the steel needs
  double transformed = ZoneAnswer::none;        ///< greatest share of pearlite and bainite
  double retained_austenite = ZoneAnswer::none; ///< greatest share
  double as_quenched_least_HRC = ZoneAnswer::none, as_quenched_most_HRC = ZoneAnswer::none;
  double tempered_least_HRC = ZoneAnswer::none, tempered_most_HRC = ZoneAnswer::none;
  std::string limiting_zone; ///< of the quench
};

struct WhatIfStrip {
  std::string key;       ///< furnace, foil, thickness, transfer, oil, cold, oven, cycles
  std::string question;  ///< "What if the furnace is hotter or colder than it shows?"
  std::string case_key;  ///< the key of the case that was changed, "furnace.reading_offset"
  std::string change_in; ///< WhatIfPoint::change is in "K", "s" or a factor ("times"); "degC": the value
  std::vector<WhatIfPoint> points; ///< ascending in `change`
};

/// All strips that this case's stages allow, computed on the coarse grid (coarse_case.hpp) and corrected to
/// that of the case by what the two differ in as set: over the shipped cases at most 0.1 HRC, 2.5 % of a rate
/// margin and 3.5 % of a transformed share (or 0.01 % of the steel) from strips on the full grid, no verdict
/// another. The timer stays what it is for the case as set, since the maker does not know of the change.
/// `go_on` is told the share done and stops by returning false (throws treatment::Interrupted).
std::vector<WhatIfStrip> what_if(const treatment::Case& c,
                                 const std::function<bool(double share)>& go_on = {},
                                 Executor* executor = nullptr);

} // namespace tq::answers
