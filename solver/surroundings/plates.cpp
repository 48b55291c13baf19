#include "surroundings/plates.hpp"

#include "surroundings/air.hpp"

#include <cmath>
#include <memory>

namespace tq::surroundings {

namespace {
constexpr int plate_slices = 7;
constexpr double slice_growth = 1.6; ///< 25 mm: the first slice is 0.6 mm, crossed by heat in 5 ms
constexpr int coat_slices = 4;
constexpr double wedge_air_degC = 300; ///< mean of blade and plate, where the air between is looked up

std::shared_ptr<const conduction::UniformTable> constant(double value) {
  return std::make_shared<const conduction::UniformTable>(0, 1000, 1000, [value](double) { return value; });
}
} // namespace

std::vector<double> gap_under_plate(const std::vector<double>& x, const std::vector<double>& y) {
  // upper hull by a monotone chain
  std::vector<std::size_t> hull;
  const auto left_turn = [&](std::size_t a, std::size_t b, std::size_t c) {
    return (x[b] - x[a]) * (y[c] - y[a]) - (y[b] - y[a]) * (x[c] - x[a]) >= -1e-15;
  };
  for (std::size_t n = 0; n < x.size(); ++n) {
    while (hull.size() >= 2 && left_turn(hull[hull.size() - 2], hull.back(), n))
      hull.pop_back();
    hull.push_back(n);
  }
  std::size_t a = 0, b = 0;
  double longest = -1;
  for (std::size_t k = 0; k + 1 < hull.size(); ++k) {
    const double length = x[hull[k + 1]] - x[hull[k]];
    if (length > longest + 1e-12) {
      longest = length;
      a = hull[k];
      b = hull[k + 1];
    }
  }
  std::vector<double> gap(x.size(), 0.0);
  if (b > a)
    for (std::size_t n = 0; n < x.size(); ++n) {
      const double line = y[a] + (y[b] - y[a]) * (x[n] - x[a]) / (x[b] - x[a]);
      gap[n] = std::max(0.0, line - y[n]);
    }
  return gap;
}

void add_plate(conduction::Cover& slices, int face, const records::SolidRecord& metal, double thickness_m,
               double contact_W_m2K, const std::vector<double>& gap_m, double start_degC) {
  const double k = metal.conductivity_W_mK;
  double slice = thickness_m * (slice_growth - 1) / (std::pow(slice_growth, plate_slices) - 1), before = 0;
  if (slices.empty())
    slices.resize(plate_slices);
  const auto f = static_cast<std::size_t>(face);
  for (int l = 0; l < plate_slices; ++l) {
    conduction::CoverLayer& layer = slices[static_cast<std::size_t>(l)];
    layer.mass_kg_m2 = metal.density_kg_m3 * slice;
    layer.c0 = metal.specific_heat_J_kgK;
    layer.along_W_K = k * slice;
    layer.start_degC = start_degC;
    if (l == 0) {
      const double touching = 1 / contact_W_m2K + 0.5 * slice / k;
      layer.conductance[f] = constant(1 / touching);
      for (double gap : gap_m)
        layer.factor[f].push_back(touching / (touching + gap / air_conductivity(wedge_air_degC)));
    } else {
      layer.conductance[f] = constant(k / (0.5 * (before + slice)));
    }
    before = slice;
    slice *= slice_growth;
  }
}

conduction::Cover coat(const records::SolidRecord& solid,
                       const std::array<std::vector<double>, conduction::faces>& thickness_m) {
  conduction::CoverLayer layer;
  layer.mass_kg_m2 = solid.density_kg_m3 / coat_slices; // of 1 m, thinned by `thickness`
  layer.c0 = solid.specific_heat_J_kgK;
  layer.along_W_K = solid.conductivity_W_mK / coat_slices;
  for (std::size_t f = 0; f < conduction::faces; ++f) {
    layer.conductance[f] = constant(coat_slices * solid.conductivity_W_mK);
    for (double thickness : thickness_m[f]) {
      const bool there = thickness >= thinnest_coat_m;
      layer.thickness[f].push_back(there ? thickness : 0.0);
      layer.factor[f].push_back(there ? 1 / thickness : 1.0);
    }
  }
  return conduction::Cover(coat_slices, layer);
}

} // namespace tq::surroundings
