// Plates of metal pressed on the flanks, and clay on them: slices of a solid as layers of a cover.
#pragma once

#include "conduction/heat_operator.hpp"
#include "records/solid_record.hpp"

#include <vector>

namespace tq::surroundings {

/// Width of the wedge of air [m] at each x between a flat plate and a flank y(x), x ascending. The plate lies
/// on the side of the flank's convex hull that takes most of the width (on the flat of a bevelled blade, on
/// the whole flank of a full flat grind), so the gap is 0 along that side.
std::vector<double> gap_under_plate(const std::vector<double>& x, const std::vector<double>& y);

/// One plate as slices that grow thicker away from the blade, for one face: conduction between the middles of
/// the slices, contact `contact_W_m2K` and the wedge of still air `gap_m` (one value per node) in series
/// before the first. The plate is insulated outside and starts at `start_degC`. Conduction into the plate is
/// one-dimensional; along it heat spreads inside each slice.
void add_plate(conduction::Cover& slices, int face, const records::SolidRecord& metal, double thickness_m,
               double contact_W_m2K, const std::vector<double>& gap_m, double start_degC);

/// Shares of a coat's thickness between the places where its temperature is computed, from the steel
/// outwards: fine at the surface where heat leaves faster than the coat brings it (Biot number h t / k of the
/// thickest place and the greatest h), at most an eighteenth of the thickness.
std::vector<double> coat_intervals(double biot);

/// A coat of the thickness given per face and node [m] as layers, the outermost at its surface; below
/// `thinnest_coat_m` it counts as none. `greatest_htc_W_m2K` is that of what will surround it.
conduction::Cover coat(const records::SolidRecord& solid,
                       const std::array<std::vector<double>, conduction::faces>& thickness_m,
                       double greatest_htc_W_m2K);
inline constexpr double thinnest_coat_m = 10e-6;

} // namespace tq::surroundings
