// Sections made thicker or thinner, for questions about the blade.
#pragma once

#include "treatment/case.hpp"

namespace tq::answers {

/// Stretches every section in its thickness, the edge kept, so that the thickest place of the blade has
/// `thickness_m`; sections keep their proportion to each other.
void set_thickest(treatment::Blade& blade, double thickness_m);
/// Bounds for set_thickest() that the program computes.
double least_thickest(const treatment::Blade& blade);
double most_thickest(const treatment::Blade& blade);
/// Thickest place of all sections [m].
double thickest(const treatment::Blade& blade);

/// Gives every section this thickness [m] at the edge, the thickest place kept.
void set_edge(treatment::Blade& blade, double edge_m);
/// Bounds for set_edge(), from 0.1 mm to the least of the sections' greatest thicknesses, as far as the
/// program computes such sections.
double least_edge(const treatment::Blade& blade);
double most_edge(const treatment::Blade& blade);

} // namespace tq::answers
