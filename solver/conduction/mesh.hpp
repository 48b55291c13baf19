// Geometric coefficients of the finite-difference scheme on a boundary-fitted grid: control volumes round the
// nodes.
#pragma once

#include "section/grid.hpp"

#include <array>
#include <cstddef>
#include <vector>

namespace tq::conduction {

inline constexpr int faces = 4; ///< flank A (top), flank B (bottom), spine face, edge face
namespace side {
inline constexpr int flank_a = 0, flank_b = 1, spine = 2, edge = 3;
}

/// Heat counted at the nodes (the trapezoid rule) leaves a cooled section too hot by h^2/12 of the curvature.
/// Therefore a share of the flank node's control volume counts at the next node inwards, so much that the
/// parabola across the thickness, to which every quench tends, is counted exactly. The rates stay those of
/// the balances: the next node changes as its own part demands, and what the part handed over takes for that
/// comes out of the flank node's balance.
struct FlankStorage {
  double heat = 0; ///< of the next node's net heat from across: passes on from the flank node to it
  double area = 0; ///< of the next node's area: handed over by the flank node
};

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
  /// Distance along the face from each of its nodes to the next one [m].
  std::vector<double> top_spacing, bottom_spacing, spine_spacing, edge_spacing;
  FlankStorage top_storage, bottom_storage; ///< none at a centre plane
};

/// Areas, along-conductances and the lengths of the end faces are those after the flanks' shift of storage.
Mesh make_mesh(const section::Grid& grid);

/// Body nodes along one face of the section, and the face length of each [m]; no nodes on a centre plane.
struct Side {
  std::size_t first = 0, stride = 1;
  std::vector<double> length, spacing; ///< of each node; from each node to the next [m]
  std::size_t body(std::size_t n) const { return first + n * stride; }
};
using Sides = std::array<Side, faces>;
Sides sides_of(const Mesh& mesh);

} // namespace tq::conduction
