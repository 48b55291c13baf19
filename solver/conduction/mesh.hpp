// Geometric coefficients of the finite-difference scheme on a boundary-fitted grid: control volumes round the
// nodes.
#pragma once

#include "section/grid.hpp"

#include <vector>

namespace tq::conduction {

/// All per metre of blade. Node (i, j) is at j*nx + i. With vertical grid lines (x depends on i only) and
/// slope s = dy/dx along the other family, the heat flux through a face of the mapped cell is
///   across a line of constant x:   -k [ t/dx dT_i - s dT_j ],
///   across a line of constant eta: -k [ (1 + s^2) dx/t dT_j - s dT_i ];
/// the terms in s couple the four corners of a cell along its two diagonals only.
struct Mesh {
  int nx = 0, ny = 0;
  bool half = false;
  std::vector<double> area;     ///< control-volume area [m2]
  std::vector<double> along;    ///< conductance / k of face (i,j)-(i+1,j), at j*nx+i, last of a row 0 [-]
  std::vector<double> across;   ///< conductance / k of face (i,j)-(i,j+1), at j*nx+i [-]
  std::vector<double> diagonal; ///< s/2 of cell (i..i+1, j..j+1), at j*nx+i [-]
  bool skewed = false;          ///< any diagonal term at all
  std::vector<double> top_length, bottom_length; ///< outer face length per column along the true slant [m]
  std::vector<double> spine_length, edge_length; ///< outer face length per row [m]
};

Mesh make_mesh(const section::Grid& grid);

} // namespace tq::conduction
