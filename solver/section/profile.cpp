#include "section/profile.hpp"

#include "records/bracket.hpp"
#include "units/math.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace tq::section {

namespace {

/// Two lengths closer than this are the same length [m].
constexpr double same_length = 1e-9;
/// Largest distance of the polyline of a ground curve from the true curve [m].
constexpr double sagitta = 2e-8;
/// A change of a flank's slope from which the place gets a grid line of its own.
constexpr double kink_slope_change = 0.03;

std::string mm(double metres) { return units::formatted("%.4g mm", metres * 1e3); }

[[noreturn]] void fail(const std::string& reason) { throw ProfileError(reason); }

void need_finite(double value, const char* key) {
  if (!std::isfinite(value))
    fail(std::string(key) + " is not a number");
}

/// Width and thickness must be those of a knife.
void check_width(double width) {
  if (!(width >= least_width && width <= most_width))
    fail("width " + mm(width) + " is not a blade's width; allowed are " + mm(least_width) + " to " +
         mm(most_width));
}

void check_spine(double thickness, const char* key) {
  if (!(thickness >= least_thickness && thickness <= most_thickness))
    fail(std::string(key) + " " + mm(thickness) + " is not a blade's thickness; allowed are " +
         mm(least_thickness) + " to " + mm(most_thickness));
}

void check_edge(double thickness) {
  if (!(thickness >= least_thickness))
    fail("thickness at the edge is " + mm(thickness) + "; a blade needs a blunt edge of at least " +
         mm(least_thickness) + " before hardening");
  if (thickness > most_thickness)
    fail("thickness at the edge is " + mm(thickness) + "; at most " + mm(most_thickness) + " is allowed");
}

double interpolate(const std::vector<double>& x, const std::vector<double>& y, double at) {
  const auto [lower, upper, w] = records::bracket(x, at);
  return lower == upper ? y[lower] : (1.0 - w) * y[lower] + w * y[upper];
}

/// One flank as points (x ascending, height over the plane from which it is measured).
struct Flank {
  std::vector<double> x;
  std::vector<double> y;

  void add(double at, double height) {
    x.push_back(at);
    y.push_back(height);
  }
  double operator()(double at) const { return interpolate(x, y, at); }
};

/// Hollow grind from (x0, y0) to (x1, y1): arc of a wheel whose centre lies outside the steel.
void add_hollow(Flank& flank, double x0, double y0, double x1, double y1, double radius) {
  const double chord = math::hypot(x1 - x0, y1 - y0);
  if (radius < 0.5 * chord)
    fail("wheel_radius " + mm(radius) + " is too small to span a bevel of " + mm(x1 - x0) + "; at least " +
         mm(0.5 * chord) + " is needed");
  const double nx = -(y1 - y0) / chord, ny = (x1 - x0) / chord; // outwards
  const double reach = std::sqrt(radius * radius - 0.25 * chord * chord);
  const double cx = 0.5 * (x0 + x1) + nx * reach, cy = 0.5 * (y0 + y1) + ny * reach;
  const double from = math::atan2(y0 - cy, x0 - cx);
  double sweep = math::atan2(y1 - cy, x1 - cx) - from;
  while (sweep < 0)
    sweep += 2.0 * std::numbers::pi;
  const double widest = 2.0 * std::acos(1.0 - std::min(sagitta / radius, 0.5));
  const int pieces = std::clamp(static_cast<int>(std::ceil(sweep / widest)), 64, 2000);
  for (int i = 1; i < pieces; ++i) {
    const double angle = from + sweep * i / pieces;
    const double x = cx + radius * math::cos(angle), y = cy + radius * math::sin(angle);
    if (x <= flank.x.back() || x >= x1)
      fail("wheel_radius " + mm(radius) + " is too small for a bevel of " + mm(x1 - x0) +
           ": the flank would turn back on itself");
    flank.add(x, y);
  }
  flank.add(x1, y1);
  const double thinnest = 2.0 * *std::min_element(flank.y.begin(), flank.y.end());
  if (thinnest < least_thickness)
    fail("wheel_radius " + mm(radius) + " grinds too deep: the hollows of both sides " +
         (thinnest <= 0 ? std::string("would cross") : "leave only " + mm(thinnest)) +
         "; take a larger wheel or a lower bevel_height");
}

/// Convex grind from (x0, y0) to (x1, y1): parabola `bulge` outside the straight line at its middle.
void add_convex(Flank& flank, double x0, double y0, double x1, double y1, double bulge) {
  const int pieces = std::clamp(static_cast<int>(std::ceil(std::sqrt(bulge / sagitta))), 64, 2000);
  for (int i = 1; i <= pieces; ++i) {
    const double s = static_cast<double>(i) / pieces;
    flank.add(i == pieces ? x1 : x0 + s * (x1 - x0), y0 + s * (y1 - y0) + 4.0 * bulge * s * (1.0 - s));
  }
}

/// Takes the false edge off the flank: a straight line from `height` at the spine to the flank at `width`.
Flank with_false_edge(const Flank& flank, double width, double height) {
  Flank out;
  const double end = flank(width);
  out.add(0.0, height);
  out.add(width, end);
  for (std::size_t i = 0; i < flank.x.size(); ++i) {
    if (flank.x[i] > width + same_length) {
      out.add(flank.x[i], flank.y[i]);
      continue;
    }
    const double line = height + (end - height) * flank.x[i] / width;
    if (line > flank.y[i] + same_length)
      fail("false_edge_thickness leaves the blade thicker than its flanks between the spine and " +
           mm(flank.x[i]) + "; give a thinner one or a shorter false_edge_width");
  }
  return out;
}

/// Places where a flank changes its slope clearly; at most one per `apart`, the clearest first.
std::vector<double> find_kinks(const Profile& profile) {
  struct Turn {
    double x, change;
  };
  std::vector<Turn> turns;
  const auto slope = [&](const std::vector<double>& y, std::size_t i) {
    return (y[i + 1] - y[i]) / (profile.x[i + 1] - profile.x[i]);
  };
  for (std::size_t i = 1; i + 1 < profile.x.size(); ++i) {
    const double change = std::max(std::abs(slope(profile.top, i) - slope(profile.top, i - 1)),
                                   std::abs(slope(profile.bottom, i) - slope(profile.bottom, i - 1)));
    if (change >= kink_slope_change)
      turns.push_back({profile.x[i], change});
  }
  std::stable_sort(turns.begin(), turns.end(),
                   [](const Turn& a, const Turn& b) { return a.change > b.change; });
  const double apart = std::max(profile.width() / 100.0, 0.2e-3);
  std::vector<double> kinks;
  for (const Turn& turn : turns) {
    const bool free = std::all_of(kinks.begin(), kinks.end(),
                                  [&](double other) { return std::abs(other - turn.x) >= apart; });
    if (free && turn.x >= apart && profile.width() - turn.x >= apart)
      kinks.push_back(turn.x);
  }
  std::sort(kinks.begin(), kinks.end());
  return kinks;
}

double cross(double ax, double ay, double bx, double by) { return ax * by - ay * bx; }

/// Do the closed segments a-b and c-d share a point?
bool segments_meet(double ax, double ay, double bx, double by, double cx, double cy, double dx, double dy) {
  const double d1 = cross(bx - ax, by - ay, cx - ax, cy - ay);
  const double d2 = cross(bx - ax, by - ay, dx - ax, dy - ay);
  const double d3 = cross(dx - cx, dy - cy, ax - cx, ay - cy);
  const double d4 = cross(dx - cx, dy - cy, bx - cx, by - cy);
  if (((d1 > 0 && d2 < 0) || (d1 < 0 && d2 > 0)) && ((d3 > 0 && d4 < 0) || (d3 < 0 && d4 > 0)))
    return true;
  const auto within = [](double px, double py, double qx, double qy, double rx, double ry) {
    return rx >= std::min(px, qx) && rx <= std::max(px, qx) && ry >= std::min(py, qy) &&
           ry <= std::max(py, qy);
  };
  return (d1 == 0 && within(ax, ay, bx, by, cx, cy)) || (d2 == 0 && within(ax, ay, bx, by, dx, dy)) ||
         (d3 == 0 && within(cx, cy, dx, dy, ax, ay)) || (d4 == 0 && within(cx, cy, dx, dy, bx, by));
}

struct Point {
  double x, y;
};

double loop_area(const std::vector<Point>& loop) {
  double twice = 0;
  for (std::size_t i = 0; i < loop.size(); ++i) {
    const Point &a = loop[i], &b = loop[(i + 1) % loop.size()];
    twice += cross(a.x - loop[0].x, a.y - loop[0].y, b.x - loop[0].x, b.y - loop[0].y);
  }
  return 0.5 * twice;
}

void check_crossing(const std::vector<Point>& loop) {
  const std::size_t n = loop.size();
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t j = i + 2; j < n; ++j) {
      if (i == 0 && j == n - 1)
        continue; // neighbours across the closing point
      const Point &a = loop[i], &b = loop[i + 1], &c = loop[j], &d = loop[(j + 1) % n];
      if (segments_meet(a.x, a.y, b.x, b.y, c.x, c.y, d.x, d.y))
        fail("the outline crosses itself near " + mm(0.5 * (a.x + b.x)) + ", " + mm(0.5 * (a.y + b.y)) +
             "; give the points in order round the section");
    }
}

/// Checks the end face at the outline's extreme x: upright, and thick enough.
void check_end_face(double thickness, const char* end) {
  if (thickness < same_length)
    fail(std::string("the outline ends in a point at the ") + end + "; give the blunt " + end +
         " by two points at the same x, at least " + mm(least_thickness) +
         " apart (the end faces are upright)");
  if (thickness < least_thickness)
    fail(std::string("thickness at the ") + end + " is " + mm(thickness) + "; a blade needs a blunt " + end +
         " of at least " + mm(least_thickness) + " before hardening");
}

} // namespace

double Profile::top_at(double at) const { return interpolate(x, top, at); }

double Profile::bottom_at(double at) const { return interpolate(x, bottom, at); }

double Profile::thickest_at() const {
  std::size_t best = 0;
  for (std::size_t i = 1; i < x.size(); ++i)
    if (top[i] - bottom[i] > top[best] - bottom[best] + 1e-12)
      best = i;
  return x[best];
}

double Profile::area() const {
  double sum = 0;
  for (std::size_t i = 0; i + 1 < x.size(); ++i)
    sum += 0.5 * (x[i + 1] - x[i]) * (top[i] - bottom[i] + top[i + 1] - bottom[i + 1]);
  return sum;
}

bool Profile::symmetric() const {
  for (std::size_t i = 0; i < x.size(); ++i)
    if (std::abs(top[i] + bottom[i]) > same_length)
      return false;
  return true;
}

namespace {

void check_grind(const GrindSpec& spec) {
  need_finite(spec.width, "width");
  need_finite(spec.spine, "spine");
  need_finite(spec.edge, "edge");
  need_finite(spec.bevel_height, "bevel_height");
  need_finite(spec.wheel_radius, "wheel_radius");
  need_finite(spec.convex_bulge, "convex_bulge");
  need_finite(spec.false_edge_width, "false_edge_width");
  need_finite(spec.false_edge_thickness, "false_edge_thickness");
  check_width(spec.width);
  check_spine(spec.spine, "spine");
  check_edge(spec.edge);
  if (spec.edge > spec.spine)
    fail("edge " + mm(spec.edge) + " is thicker than the spine " + mm(spec.spine) + "; swapped?");
  if (spec.bevel_height < 0 || spec.bevel_height > spec.width)
    fail("bevel_height " + mm(spec.bevel_height) + " must lie between 0 and the width " + mm(spec.width));
  if (spec.grind == Grind::flat && spec.bevel_height > 0 && spec.bevel_height < spec.width)
    fail("bevel_height does not belong to a flat grind, which runs from the spine to the edge; take the "
         "grind with a bevel");
  if (spec.grind != Grind::hollow && spec.wheel_radius != 0)
    fail("wheel_radius belongs to a hollow grind only");
  if (spec.grind != Grind::convex && spec.convex_bulge != 0)
    fail("convex_bulge belongs to a convex grind only");
  if (spec.grind == Grind::hollow && !(spec.wheel_radius > 0))
    fail("a hollow grind needs wheel_radius, greater than 0");
  if (spec.grind == Grind::convex && !(spec.convex_bulge > 0))
    fail("a convex grind needs convex_bulge, greater than 0");
}

} // namespace

Profile profile_from_grind(const GrindSpec& spec) {
  check_grind(spec);

  const bool whole = spec.bevel_height == 0 || spec.width - spec.bevel_height < same_length;
  const double bevel_line = whole ? 0.0 : spec.width - spec.bevel_height;
  const bool one_sided = spec.grind == Grind::one_sided;

  // Heights over the centre plane, or over the flat flank B of a one-sided grind.
  const double share = one_sided ? 1.0 : 0.5;
  const double high = share * spec.spine, low = share * spec.edge;
  Flank flank;
  flank.add(0.0, high);
  if (!whole)
    flank.add(bevel_line, high);
  switch (spec.grind) {
  case Grind::flat:
  case Grind::bevel:
  case Grind::one_sided:
    flank.add(spec.width, low);
    break;
  case Grind::hollow:
    add_hollow(flank, bevel_line, high, spec.width, low, spec.wheel_radius);
    break;
  case Grind::convex:
    if (const double most = (high - low) / 4.0; !whole && spec.convex_bulge > most + same_length)
      fail("convex_bulge " + mm(spec.convex_bulge) +
           " would make the blade thicker than its spine below the bevel line; at most " + mm(most) +
           " is allowed here");
    add_convex(flank, bevel_line, high, spec.width, low, spec.convex_bulge);
    break;
  }

  std::vector<double> kinks;
  if (!whole)
    kinks.push_back(bevel_line);
  if (spec.false_edge_width != 0) {
    if (spec.false_edge_width < 0 || spec.false_edge_width >= spec.width)
      fail("false_edge_width " + mm(spec.false_edge_width) + " must lie between 0 and the width " +
           mm(spec.width));
    if (!whole && spec.false_edge_width > bevel_line + same_length)
      fail("false_edge_width " + mm(spec.false_edge_width) + " reaches past the bevel line, " +
           mm(bevel_line) + " from the spine");
    check_spine(spec.false_edge_thickness, "false_edge_thickness");
    if (spec.false_edge_thickness >= spec.spine)
      fail("false_edge_thickness " + mm(spec.false_edge_thickness) + " must be less than the spine " +
           mm(spec.spine));
    flank = with_false_edge(flank, spec.false_edge_width, share * spec.false_edge_thickness);
    if (whole || bevel_line - spec.false_edge_width > same_length)
      kinks.insert(kinks.begin(), spec.false_edge_width);
  } else if (spec.false_edge_thickness != 0) {
    fail("false_edge_thickness needs a false_edge_width");
  }

  Profile profile;
  profile.x = flank.x;
  profile.kinks = kinks;
  for (const double height : flank.y) {
    profile.top.push_back(one_sided ? height - 0.5 * spec.spine : height);
    profile.bottom.push_back(one_sided ? -0.5 * spec.spine : -height);
  }
  return make_profile(std::move(profile));
}

Profile profile_from_calipers(const std::vector<double>& distance, const std::vector<double>& thickness) {
  if (distance.size() != thickness.size())
    fail("there are " + std::to_string(distance.size()) + " distances but " +
         std::to_string(thickness.size()) + " thicknesses");
  if (distance.size() < 2)
    fail("caliper readings need at least 2 places, the spine and the edge");
  for (std::size_t i = 0; i < distance.size(); ++i) {
    need_finite(distance[i], "a distance");
    need_finite(thickness[i], "a thickness");
  }
  if (std::abs(distance[0]) > same_length)
    fail("the first distance is " + mm(distance[0]) + "; caliper readings start at the spine, distance 0");
  for (std::size_t i = 1; i < distance.size(); ++i)
    if (distance[i] <= distance[i - 1] + same_length)
      fail("distances must increase from spine to edge: " + mm(distance[i]) + " follows " +
           mm(distance[i - 1]));
  check_width(distance.back());
  for (std::size_t i = 0; i + 1 < thickness.size(); ++i)
    if (!(thickness[i] >= least_thickness && thickness[i] <= most_thickness))
      fail("thickness " + mm(thickness[i]) + " at distance " + mm(distance[i]) +
           " is not a blade's thickness; allowed are " + mm(least_thickness) + " to " + mm(most_thickness));
  check_edge(thickness.back());

  Profile profile;
  profile.x = distance;
  profile.x[0] = 0.0;
  for (const double t : thickness) {
    profile.top.push_back(0.5 * t);
    profile.bottom.push_back(-0.5 * t);
  }
  profile.kinks = find_kinks(profile);
  return make_profile(std::move(profile));
}

namespace {

/// The points as a loop that runs counter-clockwise and crosses nothing.
std::vector<Point> loop_of(const std::vector<double>& px, const std::vector<double>& py) {
  if (px.size() != py.size())
    fail("the outline has " + std::to_string(px.size()) + " x values but " + std::to_string(py.size()) +
         " y values");
  std::vector<Point> loop;
  for (std::size_t i = 0; i < px.size(); ++i) {
    need_finite(px[i], "an outline point");
    need_finite(py[i], "an outline point");
    if (loop.empty() || math::hypot(px[i] - loop.back().x, py[i] - loop.back().y) > same_length)
      loop.push_back({px[i], py[i]});
  }
  while (loop.size() > 1 &&
         math::hypot(loop.back().x - loop.front().x, loop.back().y - loop.front().y) <= same_length)
    loop.pop_back(); // the closing point repeats the first
  if (loop.size() < 3)
    fail("an outline needs at least 3 different points; there are " + std::to_string(loop.size()));
  check_crossing(loop);
  const double area = loop_area(loop);
  if (std::abs(area) < 1e-12)
    fail("the outline encloses no area");
  if (area < 0)
    std::reverse(loop.begin(), loop.end()); // from here on counter-clockwise
  return loop;
}

/// The places at which one of the flanks has a point.
std::vector<double> knots_of(const Flank& below, const Flank& above) {
  std::vector<double> all, knots;
  std::merge(below.x.begin(), below.x.end(), above.x.begin(), above.x.end(), std::back_inserter(all));
  for (const double at : all)
    if (knots.empty() || at > knots.back() + same_length)
      knots.push_back(at);
  knots.back() = below.x.back();
  return knots;
}

} // namespace

Profile profile_from_points(const std::vector<double>& px, const std::vector<double>& py) {
  std::vector<Point> loop = loop_of(px, py);

  const auto by_x = [](const Point& a, const Point& b) { return a.x < b.x; };
  const double left = std::min_element(loop.begin(), loop.end(), by_x)->x;
  const double right = std::max_element(loop.begin(), loop.end(), by_x)->x;
  check_width(right - left);

  // Counter-clockwise: from the foot of the spine face along the lower flank to the edge face, back on top.
  const auto on_left = [&](const Point& p) { return p.x - left < same_length; };
  const auto on_right = [&](const Point& p) { return right - p.x < same_length; };
  const std::size_t n = loop.size();
  std::size_t start = 0; // last point of the spine face
  while (!(on_left(loop[start]) && !on_left(loop[(start + 1) % n])))
    ++start;
  std::rotate(loop.begin(), loop.begin() + static_cast<std::ptrdiff_t>(start), loop.end());
  std::size_t edge_from = 0;
  while (!on_right(loop[edge_from]))
    ++edge_from;
  std::size_t edge_to = edge_from;
  while (edge_to + 1 < n && on_right(loop[edge_to + 1]))
    ++edge_to;
  std::size_t spine_from = edge_to;
  while (spine_from < n && !on_left(loop[spine_from]))
    ++spine_from;
  // A spine face of one point is the rotation's first point itself.
  const Point spine_top = spine_from < n ? loop[spine_from] : loop[0];
  check_end_face(spine_top.y - loop[0].y, "spine");
  check_end_face(loop[edge_to].y - loop[edge_from].y, "edge");

  Flank below, above;
  const auto add = [&](Flank& flank, const Point& p) {
    if (!flank.x.empty() && p.x - left <= flank.x.back() + same_length)
      fail("the outline steps or turns back at x = " + mm(p.x) +
           "; between spine and edge every distance may be met once on each flank");
    flank.add(p.x - left, p.y);
  };
  for (std::size_t i = 0; i <= edge_from; ++i)
    add(below, loop[i]);
  add(above, spine_top);
  for (std::size_t i = spine_from; i-- > edge_to;)
    add(above, loop[i]);
  below.x.front() = above.x.front() = 0.0;
  below.x.back() = above.x.back() = right - left;

  Profile profile;
  profile.x = knots_of(below, above);
  const double middle = 0.5 * (spine_top.y + loop[0].y); // of the spine face: there is y = 0
  for (const double at : profile.x) {
    profile.top.push_back(above(at) - middle);
    profile.bottom.push_back(below(at) - middle);
  }
  profile.kinks = find_kinks(profile);
  return make_profile(std::move(profile));
}

Profile make_profile(Profile profile) {
  const std::size_t n = profile.x.size();
  if (n < 2)
    fail("a section needs at least 2 places, the spine and the edge");
  if (profile.top.size() != n || profile.bottom.size() != n)
    fail("a section needs both flanks at every place");
  for (std::size_t i = 0; i < n; ++i) {
    need_finite(profile.x[i], "a place of the section");
    need_finite(profile.top[i], "a flank of the section");
    need_finite(profile.bottom[i], "a flank of the section");
  }
  if (profile.x.front() != 0.0)
    fail("the section starts at " + mm(profile.x.front()) + "; it must start at the spine, 0");
  for (std::size_t i = 1; i < n; ++i)
    if (profile.x[i] <= profile.x[i - 1])
      fail("the section's places must increase from spine to edge: " + mm(profile.x[i]) + " follows " +
           mm(profile.x[i - 1]));
  check_width(profile.width());
  for (std::size_t i = 0; i < n; ++i) {
    const double thickness = profile.top[i] - profile.bottom[i];
    if (thickness <= 0 && i > 0 && i + 1 < n)
      fail("the flanks meet or cross at " + mm(profile.x[i]) + " from the spine");
    // Rounding must not refuse a thickness that stands exactly at the limit.
    if (thickness < least_thickness - same_length)
      fail("thickness at " +
           (i == 0       ? std::string("the spine")
            : i + 1 == n ? std::string("the edge")
                         : mm(profile.x[i]) + " from the spine") +
           " is " + mm(thickness) + "; a blade needs at least " + mm(least_thickness) + " before hardening");
    if (thickness > most_thickness + same_length)
      fail("thickness at " + mm(profile.x[i]) + " from the spine is " + mm(thickness) + "; at most " +
           mm(most_thickness) + " is allowed");
  }
  for (std::size_t i = 0; i + 1 < n; ++i) {
    const double run = profile.x[i + 1] - profile.x[i];
    const double steepest = std::max(std::abs(profile.top[i + 1] - profile.top[i]),
                                     std::abs(profile.bottom[i + 1] - profile.bottom[i]));
    if (steepest > most_slope * run + same_length) {
      fail("a flank is too steep " + mm(profile.x[i]) + " from the spine (it moves " +
           units::formatted("%.3g", steepest / run) +
           " mm in or out per mm of width; at most 2): spread the step over more width, or measure at more "
           "places");
    }
  }
  for (std::size_t i = 0; i < profile.kinks.size(); ++i)
    if (!(profile.kinks[i] > (i == 0 ? 0.0 : profile.kinks[i - 1]) && profile.kinks[i] < profile.width()))
      fail("the section's kinks must increase and lie between spine and edge");
  return profile;
}

} // namespace tq::section
