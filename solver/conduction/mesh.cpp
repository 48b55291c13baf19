#include "conduction/mesh.hpp"

#include "units/math.hpp"

#include <cmath>

namespace tq::conduction {

namespace {

/// Share of a flank node's area to count at the next node, for the grid's lines across: the trapezoid rule
/// over (y - centre)^2 from the centre to the flank becomes exact.
double handed_over(const section::Grid& grid) {
  const std::size_t n = grid.eta.size();
  const double centre = grid.half ? 0.0 : 0.5, outer = grid.eta[n - 1] - centre;
  double excess = 0; // a sixth of the cube of every interval
  for (std::size_t j = 0; j + 1 < n; ++j) {
    const double h = grid.eta[j + 1] - grid.eta[j];
    excess += h * h * h / 6.0;
  }
  if (!grid.half)
    excess *= 0.5;
  const double next = grid.eta[n - 2] - centre;
  return excess / ((outer * outer - next * next) * 0.5 * (outer - next));
}

/// Moves a share of the areas of the rows at the flanks to the rows next to them. Along-conductances and the
/// lengths of the end faces follow, so that heat along a row warms it as before.
void shift_storage(Mesh& m, double share) {
  const auto nx = static_cast<std::size_t>(m.nx), ny = static_cast<std::size_t>(m.ny);
  const std::vector<double> before = m.area;
  const auto hand_over = [&](std::size_t outer, std::size_t next) {
    for (std::size_t i = 0; i < nx; ++i) {
      m.area[outer * nx + i] -= share * before[outer * nx + i];
      m.area[next * nx + i] += share * before[outer * nx + i];
    }
  };
  hand_over(ny - 1, ny - 2);
  if (!m.half)
    hand_over(0, 1);
  const auto storage = [&](std::size_t outer, std::size_t next) {
    const double moved = share * before[outer * nx]; // the ratios are the same in every column
    return FlankStorage{moved / before[next * nx], moved / m.area[next * nx]};
  };
  m.top_storage = storage(ny - 1, ny - 2);
  if (!m.half)
    m.bottom_storage = storage(0, 1);
  for (std::size_t j = 0; j < ny; ++j) {
    const double change = m.area[j * nx] / before[j * nx];
    for (std::size_t i = 0; i < nx; ++i)
      m.along[j * nx + i] *= change;
    m.spine_length[j] *= change;
    m.edge_length[j] *= change;
  }
}

} // namespace

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
    m.top_spacing.push_back(math::hypot(dx, grid.top[i + 1] - grid.top[i]));
    if (!grid.half)
      m.bottom_spacing.push_back(math::hypot(dx, grid.bottom[i + 1] - grid.bottom[i]));
  }
  for (int j = 0; j + 1 < ny; ++j) {
    m.spine_spacing.push_back(grid.y(0, j + 1) - grid.y(0, j));
    m.edge_spacing.push_back(grid.y(nx - 1, j + 1) - grid.y(nx - 1, j));
  }
  const auto halves = [](const std::vector<double>& spacing, std::vector<double>& length) {
    for (std::size_t k = 0; k < spacing.size(); ++k) {
      length[k] += 0.5 * spacing[k];
      length[k + 1] += 0.5 * spacing[k];
    }
  };
  halves(m.top_spacing, m.top_length);
  halves(m.bottom_spacing, m.bottom_length);
  halves(m.spine_spacing, m.spine_length);
  halves(m.edge_spacing, m.edge_length);
  shift_storage(m, handed_over(grid));
  return m;
}

Sides sides_of(const Mesh& mesh) {
  const auto nx = static_cast<std::size_t>(mesh.nx), ny = static_cast<std::size_t>(mesh.ny);
  Sides sides;
  sides[side::flank_a] = {(ny - 1) * nx, 1, mesh.top_length, mesh.top_spacing};
  sides[side::flank_b] = {0, 1, mesh.half ? std::vector<double>{} : mesh.bottom_length, mesh.bottom_spacing};
  sides[side::spine] = {0, nx, mesh.spine_length, mesh.spine_spacing};
  sides[side::edge] = {nx - 1, nx, mesh.edge_length, mesh.edge_spacing};
  return sides;
}

} // namespace tq::conduction
