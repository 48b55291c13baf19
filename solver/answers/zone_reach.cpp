#include "answers/zone_reach.hpp"

#include <algorithm>

namespace tq::answers {

using treatment::zone_count;

std::array<ZoneReach, zone_count> zone_reaches(const treatment::Case& c, const section::Grid& grid,
                                               const std::array<int, zone_count>& columns) {
  std::array<ZoneReach, zone_count> reach;
  std::array<std::size_t, zone_count> order{};
  for (std::size_t z = 0; z < zone_count; ++z) {
    reach[z] = {columns[z], columns[z], columns[z]};
    order[z] = z;
  }
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return columns[a] < columns[b]; });
  const auto hard = [&](std::size_t column) { // all zones on that line
    for (std::size_t z = 0; z < zone_count; ++z)
      if (columns[z] == columns[column] && c.wishes.zones[z] != treatment::Wanted::hard)
        return false;
    return true;
  };
  for (std::size_t k = 0; k + 1 < order.size(); ++k) {
    // by number the thickest comes last of those on one line, so it looks towards the edge ...
    const std::size_t left = order[k];
    std::size_t right = order[k + 1];
    if (columns[left] == columns[right] || !hard(left) || !hard(right))
      continue;
    // ... and towards the spine it must be looked for
    for (std::size_t z = 0; z < zone_count; ++z)
      if (columns[z] == columns[right])
        right = std::max(right, z);
    const auto x = [&](int i) { return grid.x[static_cast<std::size_t>(i)]; };
    const double half_way = 0.5 * (x(columns[left]) + x(columns[right]));
    int last = columns[left];
    while (last + 1 < columns[right] && x(last + 1) <= half_way)
      ++last;
    reach[left].to = last;
    reach[right].from = last + 1;
  }
  return reach;
}

} // namespace tq::answers
