#include "conduction/mesh.hpp"

#include <cmath>

namespace tq::conduction {

Mesh make_mesh(const section::Grid& grid) {
  Mesh m;
  m.nx = grid.nx;
  m.ny = grid.ny;
  m.half = grid.half;
  const int nx = grid.nx, ny = grid.ny;
  const std::size_t n = grid.nodes();
  m.area.assign(n, 0);
  m.along.assign(n, 0);
  m.across.assign(n, 0);
  m.diagonal.assign(n, 0);
  m.top_length.assign(static_cast<std::size_t>(nx), 0);
  m.bottom_length.assign(static_cast<std::size_t>(nx), 0);
  m.spine_length.assign(static_cast<std::size_t>(ny), 0);
  m.edge_length.assign(static_cast<std::size_t>(ny), 0);
  for (int j = 0; j + 1 < ny; ++j) {
    for (int i = 0; i + 1 < nx; ++i) {
      const auto n00 = static_cast<std::size_t>(j * nx + i), n10 = n00 + 1;
      const std::size_t n01 = n00 + static_cast<std::size_t>(nx), n11 = n01 + 1;
      const double dx = grid.x[i + 1] - grid.x[i];
      const double t_left = grid.y(i, j + 1) - grid.y(i, j);
      const double t_right = grid.y(i + 1, j + 1) - grid.y(i + 1, j);
      const double near_left = 0.75 * t_left + 0.25 * t_right, near_right = 0.25 * t_left + 0.75 * t_right;
      const double middle = 0.5 * (t_left + t_right);
      const double slope =
          0.5 * ((grid.y(i + 1, j) - grid.y(i, j)) + (grid.y(i + 1, j + 1) - grid.y(i, j + 1))) / dx;
      // a quarter of the cell belongs to each corner: width dx/2, mean thickness near that side, half of it
      m.area[n00] += 0.25 * dx * near_left;
      m.area[n01] += 0.25 * dx * near_left;
      m.area[n10] += 0.25 * dx * near_right;
      m.area[n11] += 0.25 * dx * near_right;
      m.along[n00] += 0.5 * middle / dx;
      m.along[n01] += 0.5 * middle / dx;
      m.across[n00] += (1 + slope * slope) * 0.5 * dx / near_left;
      m.across[n10] += (1 + slope * slope) * 0.5 * dx / near_right;
      m.diagonal[n00] = 0.5 * slope;
      m.skewed = m.skewed || std::abs(slope) > 1e-12;
    }
  }
  for (int i = 0; i + 1 < nx; ++i) {
    const double dx = grid.x[i + 1] - grid.x[i];
    const double top = 0.5 * std::hypot(dx, grid.top[i + 1] - grid.top[i]);
    const double bottom = 0.5 * std::hypot(dx, grid.bottom[i + 1] - grid.bottom[i]);
    for (int side = 0; side < 2; ++side) {
      m.top_length[static_cast<std::size_t>(i + side)] += top;
      if (!grid.half)
        m.bottom_length[static_cast<std::size_t>(i + side)] += bottom;
    }
  }
  for (int j = 0; j + 1 < ny; ++j)
    for (int side = 0; side < 2; ++side) {
      m.spine_length[static_cast<std::size_t>(j + side)] += 0.5 * (grid.y(0, j + 1) - grid.y(0, j));
      m.edge_length[static_cast<std::size_t>(j + side)] += 0.5 * (grid.y(nx - 1, j + 1) - grid.y(nx - 1, j));
    }
  return m;
}

} // namespace tq::conduction
