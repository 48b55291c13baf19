// A Latin hypercube: in each dimension every one of n equal slices holds one point.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace tq::sweep {

/// n points of the `dimensions`-dimensional unit cube, [point * dimensions + dimension] (McKay, Beckman &
/// Conover 1979, Technometrics 21, 239-245). The same seed gives the same points everywhere.
std::vector<double> latin_hypercube(std::size_t n, std::size_t dimensions, std::uint64_t seed);

} // namespace tq::sweep
