// How far along the section a zone speaks for its neighbourhood, so that the slowest and softest place of
// what is to harden, and the place that soaks least, is found wherever it lies, and not only on the four
// lines on which zones stand.
#pragma once

#include "section/grid.hpp"
#include "treatment/case.hpp"
#include "treatment/run.hpp"

#include <array>
#include <cstddef>
#include <vector>

namespace tq::answers {

/// Columns of the grid from `from` to `to`, both included; `column` is that of the zone itself.
struct ZoneReach {
  int column = 0, from = 0, to = 0;

  /// Calls f(node, column) with every node of these columns, those of the zone's own last, so that among
  /// equals they are the ones kept by `>=`.
  template <class F>
  void each_node(const section::Grid& grid, F&& f) const {
    for (int i = from; i <= to; ++i)
      if (i != column)
        for (int j = 0; j < grid.ny; ++j)
          f(static_cast<std::size_t>(j * grid.nx + i), i);
    for (int j = 0; j < grid.ny; ++j)
      f(static_cast<std::size_t>(j * grid.nx + column), column);
  }
};

/// The reach of each zone, by the columns on which the zones stand. A zone that is to harden reaches half way
/// to the next one where that is to harden too; else it is its own line through the thickness. So when all
/// four are to harden every node belongs to a zone, and where one half is to stay soft what lies between the
/// halves belongs to none. Of zones on one line the thickest reaches out.
std::array<ZoneReach, treatment::zone_count>
zone_reaches(const treatment::WantedZones& wanted, const section::Grid& grid,
             const std::array<int, treatment::zone_count>& columns);

/// The reach of each zone for the soak, which the whole section passes, soft places too: half way to the next
/// one, whatever is wished.
std::array<ZoneReach, treatment::zone_count>
soak_reaches(const section::Grid& grid, const std::array<int, treatment::zone_count>& columns);

/// The place within a reach that was at temperature for the shortest time.
struct LeastSoak {
  double seconds = 0;
  double later_s = 0; ///< than the middle of the thickness on the zone's own line
  int column = 0;     ///< the zone's own where that soaks as long to half a second
};
/// `time_at_temperature` [s] of each node.
LeastSoak least_soak(const section::Grid& grid, const ZoneReach& reach,
                     const std::vector<double>& time_at_temperature);

} // namespace tq::answers
