// The section of the blade in true proportions, coloured by a field, with its edge magnified.
#pragma once

#include "answers/answers.hpp"
#include "output/figures.hpp"
#include "output/svg.hpp"

#include <array>
#include <string>
#include <vector>

namespace tq::output {

/// What the section is coloured by.
struct Shade {
  std::string key;           ///< "hardness", "martensite" ...
  std::vector<double> value; ///< per node of the whole section
  double low = 0, high = 1, tick = 1;
  std::string title, unit;
  bool hardness = false;                                  ///< Rockwell C: ends at 20, shows what was wanted
  bool temperature = false;                               ///< degC
  int digits = 0;                                         ///< of the figures
  std::array<std::string, treatment::zone_count> at_zone; ///< figure of each zone; empty: not shown
  double share(double v) const { return (v - low) / (high - low); }
};

/// Whether its figures differ between the zones by more than a hardness can be told (1 HRC; elsewhere a
/// fifth of the scale).
bool differs(const Shade& shade);
/// Bounds and ticks that hold all values, at least `least_span` across: small differences must not look
/// large.
void set_bounds(Shade& shade, double least_span);
/// Hardness at the end, or the last temperature where there is none.
Shade main_shade(const treatment::Case& c, const treatment::Run& run, const answers::StationAnswer& answer,
                 const WholeSection& whole);
/// Hardness, martensite, pearlite and bainite, retained austenite, time at temperature, temper: what of it
/// exists.
std::vector<Shade> section_shades(const treatment::Case& c, const treatment::Run& run,
                                  const answers::StationAnswer& answer, const WholeSection& whole);

/// Section coordinates to the page: x to the right from the spine, y upwards from the centre plane.
struct Placement {
  double left, centre, scale; ///< px, px, px/m
  double from_m = 0;
  Point at(double x, double y) const { return {left + (x - from_m) * scale, centre - y * scale}; }
};

enum class Cells { merged, each }; ///< each: one piece per cell, so that a script can colour it anew
enum class Ink { colour, grey };

/// Figures that fit a section into a width.
struct MapLayout {
  double left = 40, width = 1120, most_height = 170;
  double inset_width = 470, inset_height = 150;
  double label_gap = 130; ///< between the figures of the zones
  Cells cells = Cells::merged;
  Ink ink = Ink::colour;
  bool bar = true;    ///< colour bar beside the inset
  double header = 38; ///< above the section, for the figures of the zones
};
/// For a page column of 500.
MapLayout column_layout();

/// Draws the map below `top`; returns the y below it.
double draw_section_map(Svg& svg, const treatment::Case& c, const treatment::Run& run,
                        const WholeSection& whole, const Shade& shade, const MapLayout& layout, double top);
/// Only the coloured section and its outline.
void draw_section(Svg& svg, const WholeSection& whole, const Shade& shade, const Placement& place,
                  double from_m, Cells cells = Cells::merged, Ink ink = Ink::colour);
void draw_outline(Svg& svg, const WholeSection& whole, const Placement& place, double from_m);

} // namespace tq::output
