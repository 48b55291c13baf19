// What a case holds, as conditions in the tables of figures, uncertain inputs and faults.
#pragma once

#include "treatment/case.hpp"

namespace tq::answers {

inline bool heated(const treatment::Case& c) { return c.heated(); }
inline bool quenched(const treatment::Case& c) { return c.quenched(); }
/// The steel is one that changes, not a mere body.
inline bool transforms(const treatment::Case& c) { return !c.steel.inert; }

} // namespace tq::answers
