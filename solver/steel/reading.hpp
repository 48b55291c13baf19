// What file and hardness tester would say of a blade, and where the tester may be believed.
#pragma once

#include "section/profile.hpp"

#include <string>

namespace tq::steel {

/// How a new file of 62-65 HRC takes on a surface. Common practice, no source: it skates from about 60 HRC on
/// and bites below 57; hands and files differ by two points.
enum class FileFeel { skates, just_skates, bites };
inline constexpr double file_skates_HRC = 60, file_bites_HRC = 57;
FileFeel file_feel(double hrc);
/// "skates", "just skates", "bites"
const char* file_feel_name(FileFeel feel);
/// A soft skin deeper than this lets the file bite whatever lies below (a stroke's depth; assumption, no
/// source).
inline constexpr double file_depth_m = 0.01e-3;

/// Depth [m] of a Rockwell C indentation: (100 - HRC) 2 um. Definition of the scale.
double rockwell_depth(double hrc);
/// Least thickness [m] on which a Rockwell C reading holds: 10 times that depth (ASTM E18 and ISO 6508, from
/// memory).
double least_thickness_for_rockwell(double hrc);

/// The 10 x rule covers the thickness only. Faces more than this out of parallel give false (low) readings,
/// as do places nearer to the rim than `rockwell_rim_m` (2.5 diameters of the indentation). From memory, ASTM
/// E18.
inline constexpr double most_taper_deg = 2.0, rockwell_rim_m = 1.0e-3;

/// A stretch of the section, in distances [m] from the spine face; NaN when there is none.
struct Stretch {
  double from_m, to_m;
  bool exists() const { return to_m > from_m; }
};
struct RockwellPlaces {
  double least_thickness_m = 0;
  Stretch thick_enough{}; ///< longest stretch that is thick enough and off the rims
  Stretch valid{};        ///< longest part of the section that is parallel as well
};
/// Where on the section a Rockwell C reading of `hrc` would hold.
RockwellPlaces rockwell_places(const section::Profile& profile, double hrc);

} // namespace tq::steel
