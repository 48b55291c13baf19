// What happened inside the steel: the diagram its austenite has, what cold would still turn, cycle by cycle
// what the tempers did.
#pragma once

#include "answers/answers.hpp"

namespace tq::answers {

/// Fills the diagram, the cold treatment, the tempering cycles and the grinding flash of one station, and the
/// austenite that the tempers left in each zone. Needs the zones' hardness and carbon. An inert steel has
/// none of it.
void fill_metallurgy(StationAnswer& s, const treatment::Case& c, const treatment::Run& run);

} // namespace tq::answers
