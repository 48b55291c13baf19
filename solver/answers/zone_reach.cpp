#include "answers/zone_reach.hpp"

#include <algorithm>
#include <limits>

namespace tq::answers {

using treatment::zone_count;

namespace {

/// `reaching`: which zones reach out.
std::array<ZoneReach, zone_count> reaches_of(const std::array<bool, zone_count>& reaching,
                                             const section::Grid& grid,
                                             const std::array<int, zone_count>& columns) {
  std::array<ZoneReach, zone_count> reach;
  std::array<std::size_t, zone_count> order{};
  for (std::size_t z = 0; z < zone_count; ++z) {
    reach[z] = {columns[z], columns[z], columns[z]};
    order[z] = z;
  }
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return columns[a] < columns[b]; });
  const auto reaches = [&](std::size_t column) { // all zones on that line
    for (std::size_t z = 0; z < zone_count; ++z)
      if (columns[z] == columns[column] && !reaching[z])
        return false;
    return true;
  };
  for (std::size_t k = 0; k + 1 < order.size(); ++k) {
    // by number the thickest comes last of those on one line, so it looks towards the edge ...
    const std::size_t left = order[k];
    std::size_t right = order[k + 1];
    if (columns[left] == columns[right] || !reaches(left) || !reaches(right))
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

} // namespace

std::array<ZoneReach, zone_count> zone_reaches(const treatment::WantedZones& wanted,
                                               const section::Grid& grid,
                                               const std::array<int, zone_count>& columns) {
  std::array<bool, zone_count> hard{};
  for (std::size_t z = 0; z < zone_count; ++z)
    hard[z] = wanted[z] == treatment::Wanted::hard;
  return reaches_of(hard, grid, columns);
}

std::array<ZoneReach, zone_count> soak_reaches(const section::Grid& grid,
                                               const std::array<int, zone_count>& columns) {
  std::array<bool, zone_count> all{};
  all.fill(true);
  return reaches_of(all, grid, columns);
}

LeastSoak least_soak(const section::Grid& grid, const ZoneReach& reach,
                     const std::vector<double>& time_at_temperature) {
  constexpr double alike_s = 0.5;
  double least = std::numeric_limits<double>::infinity(), own = least;
  LeastSoak place;
  place.column = reach.column;
  reach.each_node(grid, [&](std::size_t n, int column) {
    const double seconds = time_at_temperature[n];
    if (column == reach.column)
      own = std::min(own, seconds);
    if (seconds < least) {
      least = seconds;
      place.column = column;
    }
  });
  if (own <= least + alike_s)
    place.column = reach.column;
  const int centre = grid.half ? 0 : (grid.ny - 1) / 2;
  place.seconds = least;
  place.later_s = time_at_temperature[static_cast<std::size_t>(centre * grid.nx + reach.column)] - least;
  return place;
}

} // namespace tq::answers
