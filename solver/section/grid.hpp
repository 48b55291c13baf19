// Boundary-fitted structured grid over a section: lines of constant x across the thickness, lines of constant
// eta along the width. Node (i, j): x = x[i], y = (1-s) bottom + s top with s = eta[j].
#pragma once

#include "section/profile.hpp"

#include <cstddef>
#include <vector>

namespace tq::section {

struct GridOptions {
  int along = 110;              ///< intervals along the width (at least; kinks may add some)
  int across = 6;               ///< intervals across the full thickness (even)
  double edge_clustering = 1.0; ///< 0 uniform, 1 default clustering towards both ends and kinks
  bool use_symmetry = true;     ///< solve one half when the profile is symmetric
  /// Distances from the spine [m] where what the flanks see changes (end of a coat, level of a bath): a line
  /// stands on each, and lines are closer round it.
  std::vector<double> changes = {};
  /// Distances from the spine [m] that are read: a line stands on each, to 1e-4 of the width. It splits an
  /// interval only where a line that must stand is too near to shift the others.
  std::vector<double> places = {};
};

struct Grid {
  int nx = 0;                 ///< nodes along the width
  int ny = 0;                 ///< nodes across (the half only when `half`)
  bool half = false;          ///< true: bottom line is the centre plane (no flux), the section is mirrored
  std::vector<double> x;      ///< [m], ascending, x[0] = spine face
  std::vector<double> eta;    ///< 0..1 from bottom to top
  std::vector<double> bottom; ///< y of the lowest line at each x [m] (0 when half)
  std::vector<double> top;    ///< y of the highest line at each x [m]

  double y(int i, int j) const { return bottom[i] + eta[j] * (top[i] - bottom[i]); }
  std::size_t nodes() const { return static_cast<std::size_t>(nx) * static_cast<std::size_t>(ny); }
};

/// Grid over the profile; x lines stand on every kink, change and place.
Grid make_grid(const Profile& profile, const GridOptions& options = {});

} // namespace tq::section
