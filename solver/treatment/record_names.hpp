// Other names of shipped records, as their own titles give them: "100Cr6", "canola".
#pragma once

#include "treatment/case_reader.hpp"

#include <string>

namespace tq::treatment {

/// The key of the one shipped record whose title gives this name; "" when there is none or several. What a
/// title is only close to is another thing.
std::string key_by_title(const RecordSource& records, RecordKind kind, const std::string& name);

} // namespace tq::treatment
