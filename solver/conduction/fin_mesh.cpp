#include "conduction/fin_mesh.hpp"

#include <numeric>

namespace tq::conduction {

Mesh make_fin(const Mesh& section) {
  const auto nx = static_cast<std::size_t>(section.nx), ny = static_cast<std::size_t>(section.ny);
  const auto over_rows = [&](const std::vector<double>& of) {
    std::vector<double> sums(nx, 0.0);
    for (std::size_t j = 0; j < ny; ++j)
      for (std::size_t i = 0; i < nx; ++i)
        sums[i] += of[j * nx + i];
    return sums;
  };
  Mesh m;
  m.nx = section.nx;
  m.ny = 1;
  m.half = section.half;
  m.area = over_rows(section.area);
  m.along = over_rows(section.along);
  m.across.assign(nx, 0);
  m.diagonal.assign(nx, 0);
  m.top_length = section.top_length;
  m.bottom_length = section.bottom_length;
  m.top_spacing = section.top_spacing;
  m.bottom_spacing = section.bottom_spacing;
  m.spine_length = {std::accumulate(section.spine_length.begin(), section.spine_length.end(), 0.0)};
  m.edge_length = {std::accumulate(section.edge_length.begin(), section.edge_length.end(), 0.0)};
  return m;
}

} // namespace tq::conduction
