// Outline of a blade's cross-section: x runs from the spine face (0) to the edge face (width), y across the
// thickness. Both flanks are polylines over the same x knots, so that a line of constant x cuts the section
// once.
#pragma once

#include <stdexcept>
#include <string>
#include <vector>

namespace tq::section {

inline constexpr double least_thickness = 0.05e-3; ///< [m] also of the blunt edge before hardening
inline constexpr double most_thickness = 25e-3;    ///< [m]
inline constexpr double least_width = 2e-3;        ///< [m]
inline constexpr double most_width = 200e-3;       ///< [m]
inline constexpr double most_slope = 2.0;          ///< of a flank against the centre plane

/// An outline that cannot be a section (crossing flanks, zero thickness, x not ascending).
class ProfileError : public std::invalid_argument {
 public:
  using std::invalid_argument::invalid_argument;
};

/// Section outline; all lengths in m. Invariant (checked by make_profile): x ascending from 0, top > bottom.
struct Profile {
  std::vector<double> x;
  std::vector<double> top;    ///< flank A
  std::vector<double> bottom; ///< flank B
  std::vector<double> kinks;  ///< x of slope changes where a grid line must stand (bevel line, false edge)

  double width() const { return x.back(); }
  double top_at(double at) const;
  double bottom_at(double at) const;
  double thickness_at(double at) const { return top_at(at) - bottom_at(at); }
  double thickest_at() const; ///< x of the greatest thickness (the one nearest the spine when several)
  double area() const;        ///< [m2]
  bool symmetric() const;     ///< top == -bottom everywhere (to 1e-9 m)
};

enum class Grind { flat, bevel, hollow, convex, one_sided };

/// A section by its few calipers' figures [m].
struct GrindSpec {
  Grind grind = Grind::flat;
  double width = 0;
  double spine = 0; ///< thickness at the spine
  double edge = 0;  ///< thickness at the (blunt) edge, > 0
  double bevel_height =
      0; ///< bevel, hollow, convex, one_sided: from the edge up to the bevel line; 0 = whole width
  double wheel_radius = 0;         ///< hollow
  double convex_bulge = 0;         ///< convex: bulge of each flank over the straight line, at mid bevel
  double false_edge_width = 0;     ///< 0 = none; measured from the spine
  double false_edge_thickness = 0; ///< thickness at the spine face when there is a false edge
};

/// Outline from calipers' figures. Throws ProfileError with a one-line reason naming the key.
Profile profile_from_grind(const GrindSpec& spec);
/// Outline from thickness readings at distances from the spine (symmetric about the centre plane).
Profile profile_from_calipers(const std::vector<double>& distance, const std::vector<double>& thickness);
/// Outline from a closed loop of points (x, y), any start, either sense; throws when it crosses itself or is
/// not single-valued over x. The loop's extreme x become the spine face (least) and the edge face (greatest);
/// the section is moved so that the spine face is x = 0 and its middle y = 0.
Profile profile_from_points(const std::vector<double>& px, const std::vector<double>& py);
/// Checks the invariant and returns the profile unchanged.
Profile make_profile(Profile profile);

} // namespace tq::section
