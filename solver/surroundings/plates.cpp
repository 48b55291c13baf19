#include "surroundings/plates.hpp"

#include "surroundings/air.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <cmath>
#include <memory>

namespace tq::surroundings {

namespace {
constexpr int plate_slices = 7;
constexpr double slice_growth = 1.6; ///< 25 mm: the first slice is 0.6 mm, crossed by heat in 5 ms
// Slices of a coat, found on steel of 2 and 5 mm under 1 to 10 mm of clay, in media of constant h (against
// the series of the layered slab: steel within 0.5 K, surface within 5 K) and with a steep maximum of h(T),
// against 600 slices: behind it by no more than the 3 ms that pass until it is crossed.
constexpr double outer_slice = 0.18;        ///< of the depth k / h that the medium sees
constexpr double thickest_slice = 1.0 / 18; ///< of the coat
constexpr double coat_growth = 1.5;         ///< of neighbouring slices, from the surface inwards
constexpr double wedge_air_degC = 300;      ///< mean of blade and plate, where the air between is looked up

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
  double slice = thickness_m * (slice_growth - 1) / (math::pow(slice_growth, plate_slices) - 1), before = 0;
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

std::vector<double> coat_intervals(double biot) {
  std::vector<double> shares;
  double sum = 0, next = std::min(thickest_slice, outer_slice / biot);
  while (sum < 1 - 1e-9) {
    shares.push_back(next);
    sum += next;
    next = std::min(thickest_slice, next * coat_growth);
  }
  std::reverse(shares.begin(), shares.end());
  for (double& share : shares)
    share /= sum;
  return shares;
}

conduction::Cover coat(const records::SolidRecord& solid,
                       const std::array<std::vector<double>, conduction::faces>& thickness_m,
                       double greatest_htc_W_m2K) {
  double thickest = thinnest_coat_m;
  for (const std::vector<double>& face : thickness_m)
    for (double thickness : face)
      thickest = std::max(thickest, thickness);
  const std::vector<double> interval =
      coat_intervals(greatest_htc_W_m2K * thickest / solid.conductivity_W_mK);
  // Heat is counted at the ends of the intervals, half of each (the trapezoid rule). The half next to the
  // steel, which the steel's node cannot take, goes to the first two so that a straight profile is exact.
  std::vector<double> share(interval.size(), 0.0);
  for (std::size_t l = 0; l < interval.size(); ++l) {
    share[l] += 0.5 * interval[l];
    if (l > 0)
      share[l - 1] += 0.5 * interval[l];
  }
  const double beyond = interval[0] / interval[1];
  share[0] += 0.5 * interval[0] * (1 + beyond);
  share[1] -= 0.5 * interval[0] * beyond;

  conduction::Cover slices(interval.size());
  for (std::size_t l = 0; l < slices.size(); ++l) {
    conduction::CoverLayer& layer = slices[l];
    layer.mass_kg_m2 = solid.density_kg_m3 * share[l]; // of 1 m, thinned by `thickness`
    layer.c0 = solid.specific_heat_J_kgK;
    layer.along_W_K = solid.conductivity_W_mK * share[l];
    for (std::size_t f = 0; f < conduction::faces; ++f) {
      layer.conductance[f] = constant(solid.conductivity_W_mK / interval[l]);
      for (double thickness : thickness_m[f]) {
        const bool there = thickness >= thinnest_coat_m;
        layer.thickness[f].push_back(there ? thickness : 0.0);
        layer.factor[f].push_back(there ? 1 / thickness : 1.0);
      }
    }
  }
  return slices;
}

} // namespace tq::surroundings
