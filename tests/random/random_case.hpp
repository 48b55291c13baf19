// Valid cases drawn from a seed: any blade, steel, furnace, wrap, bath and temper that the program accepts.
#pragma once

#include "treatment/case.hpp"

#include <cstdint>

namespace tq::test {

/// The case of this seed; the same on every machine.
treatment::Case random_case(std::uint64_t seed);

/// Least and greatest temperature that anything in the case is set to [degC].
struct TemperatureHull {
  double least, most;
};
TemperatureHull hull(const treatment::Case& c);

} // namespace tq::test
