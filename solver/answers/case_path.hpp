// Where a setting stands in a case, as --set and the live page take it.
#pragma once

#include "treatment/case.hpp"

#include <string>

namespace tq::answers {

/// The path of a key of the short form in this case: "furnace.timer" as it is, or "step[3].timer" where the
/// case lists its steps, "blade.station[1].spine" for "blade.station.spine", "furnace.programme[2].hold" of
/// the last line. Parted by blanks where the same value goes to several places; empty where the case has no
/// such place.
std::string case_path(const treatment::Case& c, const std::string& key);

} // namespace tq::answers
