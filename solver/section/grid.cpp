#include "section/grid.hpp"

#include "units/math.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <utility>

namespace tq::section {

namespace {

// Shape of the clustering: the wanted interval is a share of the thickness at the end faces, widens with the
// distance from them, and follows the thickness in between. The figures lie in a flat optimum over six
// quenched sections (taper, hollow, bevel, one-sided with a false edge, wide convex, small), with an h(T) of
// steep flanks and a constant one, each judged against a limit of ten times as many lines.
constexpr double ordinary = 1.0 / 60.0; ///< of the width, at the thickest place
constexpr double end_share = 0.03;      ///< first interval over the thickness there
constexpr double widening = 0.16;       ///< growth of the interval per distance from an end or kink
constexpr double thickness_power = 0.2; ///< interval follows the thickness to this power
/// Of sin(pi u / 2) in the lines across: with few of them the boiling surface wants them close, with more the
/// start of a quench wants the flank to keep its share of the heat (conduction/mesh.cpp).
constexpr double blend_of_few = 0.5, blend_of_many = 0.3;
constexpr int few_across = 6;
constexpr double most_blend = 0.5;     ///< more would leave a flank no heat of its own
constexpr double most_ratio = 1.5;     ///< of neighbouring intervals
constexpr double first_at_edge = 0.5;  ///< most of the edge's thickness in one interval
constexpr double change_share = 0.025; ///< interval at a change of the boundary over the thickness there
constexpr double own_interval = 0.8;   ///< of a usual interval: a place nearer to a line that must stand only
                                       ///< splits an interval
constexpr double same_line = 1e-4;     ///< of the width: a place this near to a line is on it

/// Wanted interval over x, piecewise linear, and the count of intervals up to each sample.
struct Spacing {
  std::vector<double> x;
  std::vector<double> size;
  std::vector<double> count; ///< integral of dx / size from the spine

  /// Place up to which `wanted` intervals (of the integral) lie.
  double place(double wanted) const {
    if (wanted <= 0)
      return x.front();
    if (wanted >= count.back())
      return x.back();
    const auto k =
        static_cast<std::size_t>(std::upper_bound(count.begin(), count.end(), wanted) - count.begin()) - 1;
    const double slope = (size[k + 1] - size[k]) / (x[k + 1] - x[k]);
    const double n = wanted - count[k];
    const double run = std::abs(slope * n) < 1e-9 ? size[k] * n * (1.0 + 0.5 * slope * n)
                                                  : size[k] * math::expm1(slope * n) / slope;
    return std::min(x[k] + run, x[k + 1]);
  }
  double count_at(double at) const {
    const auto k = static_cast<std::size_t>(
        std::clamp<std::ptrdiff_t>(std::upper_bound(x.begin(), x.end(), at) - x.begin() - 1, 0,
                                   static_cast<std::ptrdiff_t>(x.size()) - 2));
    return count[k] +
           pieces(size[k], size[k] + (size[k + 1] - size[k]) * (at - x[k]) / (x[k + 1] - x[k]), at - x[k]);
  }
  /// Integral of dx / size over a piece whose size goes from a to b.
  static double pieces(double a, double b, double run) {
    const double q = b / a - 1.0;
    return run / a * (std::abs(q) < 1e-6 ? 1.0 - 0.5 * q : math::log1p(q) / q);
  }
};

Spacing wanted_spacing(const Profile& profile, const std::vector<double>& lines,
                       const std::vector<double>& changes, double clustering) {
  const double width = profile.width();
  std::vector<double> features = lines;
  features.insert(features.begin(), 0.0);
  features.push_back(width);

  Spacing s;
  s.x = features;
  constexpr int evenly = 1200, close = 120;
  for (int i = 0; i <= evenly; ++i)
    s.x.push_back(width * i / evenly);
  for (const double feature : features)
    for (int i = 0; i < close; ++i) {
      const double away = width * 1e-5 * math::pow(1e4, static_cast<double>(i) / close);
      for (const double at : {feature - away, feature + away})
        if (at > 0 && at < width)
          s.x.push_back(at);
    }
  std::sort(s.x.begin(), s.x.end());
  s.x.erase(std::unique(s.x.begin(), s.x.end(), [&](double a, double b) { return b - a < 1e-9 * width; }),
            s.x.end());
  s.x.back() = width;

  const double thickest = profile.thickness_at(profile.thickest_at());
  const double usual = ordinary * width;
  const std::size_t n = s.x.size();
  s.size.resize(n);
  for (std::size_t i = 0; i < n; ++i) {
    const double at = s.x[i];
    // Density (1 / size) as the root of squares: a smooth least of the wishes.
    double squares = 0;
    const auto wish = [&](double size) { squares += 1.0 / (size * size); };
    wish(usual * math::pow(profile.thickness_at(at) / thickest, thickness_power));
    wish(end_share * profile.thickness_at(0.0) + widening * at);
    wish(end_share * profile.thickness_at(width) + widening * (width - at));
    for (const double change : changes)
      wish(change_share * profile.thickness_at(change) + widening * std::abs(at - change));
    // A piece between kinks that is shorter than a few usual intervals still gets some.
    for (std::size_t f = 0; f + 1 < features.size(); ++f) {
      const double length = features[f + 1] - features[f];
      const double outside = std::max({features[f] - at, at - features[f + 1], 0.0});
      if (length < 4.0 * usual)
        wish(0.4 * length + widening * outside);
    }
    s.size[i] = 1.0 / std::sqrt(squares);
  }
  // Never widen faster than `widening`, whatever the thickness does.
  for (std::size_t i = 1; i < n; ++i)
    s.size[i] = std::min(s.size[i], s.size[i - 1] + widening * (s.x[i] - s.x[i - 1]));
  for (std::size_t i = n - 1; i-- > 0;)
    s.size[i] = std::min(s.size[i], s.size[i + 1] + widening * (s.x[i + 1] - s.x[i]));
  for (double& size : s.size)
    size = clustering == 1 ? size / usual : math::pow(size / usual, clustering);
  s.count.assign(n, 0.0);
  for (std::size_t i = 1; i < n; ++i)
    s.count[i] = s.count[i - 1] + Spacing::pieces(s.size[i - 1], s.size[i], s.x[i] - s.x[i - 1]);
  return s;
}

/// Monotone cubic through (knot, value), Fritsch-Carlson slopes; the change of counting that puts lines on
/// kinks.
class Monotone {
 public:
  Monotone(std::vector<double> knot, std::vector<double> value)
      : knot_(std::move(knot)), value_(std::move(value)) {
    const std::size_t n = knot_.size();
    std::vector<double> secant(n - 1);
    for (std::size_t i = 0; i + 1 < n; ++i)
      secant[i] = (value_[i + 1] - value_[i]) / (knot_[i + 1] - knot_[i]);
    slope_.resize(n);
    slope_.front() = secant.front();
    slope_.back() = secant.back();
    for (std::size_t i = 1; i + 1 < n; ++i) {
      const double a = knot_[i] - knot_[i - 1], b = knot_[i + 1] - knot_[i];
      slope_[i] = 3.0 * (a + b) / ((2.0 * b + a) / secant[i - 1] + (b + 2.0 * a) / secant[i]);
    }
  }
  double operator()(double at) const {
    const auto k = static_cast<std::size_t>(
        std::clamp<std::ptrdiff_t>(std::upper_bound(knot_.begin(), knot_.end(), at) - knot_.begin() - 1, 0,
                                   static_cast<std::ptrdiff_t>(knot_.size()) - 2));
    const double run = knot_[k + 1] - knot_[k], t = (at - knot_[k]) / run;
    const double h00 = (1 + 2 * t) * (1 - t) * (1 - t), h10 = t * (1 - t) * (1 - t);
    const double h01 = t * t * (3 - 2 * t), h11 = t * t * (t - 1);
    return h00 * value_[k] + h10 * run * slope_[k] + h01 * value_[k + 1] + h11 * run * slope_[k + 1];
  }

 private:
  std::vector<double> knot_, value_, slope_;
};

/// Where lines must stand (kinks, changes of the boundary) and where they are to stand if they can without
/// more lines (places that are read).
struct Stops {
  std::vector<double> lines, places;
};

Stops stops_of(const Profile& profile, const GridOptions& options) {
  const double width = profile.width();
  Stops stops;
  stops.lines = profile.kinks;
  const auto add = [&](std::vector<double>& to, double at) {
    const double near = same_line * width;
    if (!(at > near && at < width - near))
      return;
    for (const auto* list : {&stops.lines, &stops.places})
      for (const double other : *list)
        if (std::abs(other - at) < near)
          return;
    to.push_back(at);
  };
  for (const double at : options.changes)
    add(stops.lines, at);
  std::sort(stops.lines.begin(), stops.lines.end());
  for (const double at : options.places)
    add(stops.places, at);
  std::sort(stops.places.begin(), stops.places.end());
  return stops;
}

/// Lines along the width in `intervals` intervals, all that must stand and most places on lines.
std::vector<double> lines_along(const Profile& profile, const Spacing& spacing, const Stops& stops,
                                int intervals) {
  const double total = spacing.count.back();
  std::vector<double> at = stops.lines;
  const auto count = [&](double x) { return spacing.count_at(x) / total * intervals; };
  for (const double place : stops.places) {
    double nearest = std::min(count(place), intervals - count(place));
    for (const double line : at)
      nearest = std::min(nearest, std::abs(count(line) - count(place)));
    if (nearest >= own_interval && static_cast<int>(at.size()) + 2 < intervals)
      at.insert(std::upper_bound(at.begin(), at.end(), place), place);
  }
  std::vector<double> knot{0.0}, value{0.0};
  const auto stands = static_cast<int>(at.size());
  for (int k = 0; k < stands; ++k) {
    const double share = spacing.count_at(at[static_cast<std::size_t>(k)]) / total;
    const double line = std::clamp(std::round(share * intervals), knot.back() + 1.0,
                                   static_cast<double>(intervals - (stands - k)));
    knot.push_back(line);
    value.push_back(share);
  }
  knot.push_back(intervals);
  value.push_back(1.0);
  const Monotone share(knot, value);
  std::vector<double> x(static_cast<std::size_t>(intervals) + 1);
  for (int i = 0; i <= intervals; ++i)
    x[static_cast<std::size_t>(i)] = spacing.place(share(i) * total);
  for (int k = 0; k < stands; ++k)
    x[static_cast<std::size_t>(knot[static_cast<std::size_t>(k) + 1])] = at[static_cast<std::size_t>(k)];
  x.front() = 0.0;
  x.back() = profile.width();
  return x;
}

/// A line more at each place that has none yet.
void split_at_places(std::vector<double>& x, const std::vector<double>& places) {
  const double near = same_line * x.back();
  for (const double place : places) {
    const auto after = std::lower_bound(x.begin(), x.end(), place - near);
    if (*after > place + near)
      x.insert(after, place);
  }
}

double greatest_ratio(const std::vector<double>& x) {
  double greatest = 1;
  for (std::size_t i = 2; i < x.size(); ++i) {
    const double a = x[i - 1] - x[i - 2], b = x[i] - x[i - 1];
    greatest = std::max(greatest, std::max(a, b) / std::min(a, b));
  }
  return greatest;
}

/// Lines across from -1 (flank B) over 0 to 1 (flank A), denser towards both flanks.
double line_across(double u, int across, double clustering) {
  const double blend =
      std::min((across <= few_across ? blend_of_few : blend_of_many) * clustering, most_blend);
  return (1.0 - blend) * u + blend * math::sin(0.5 * std::numbers::pi * u);
}

} // namespace

Grid make_grid(const Profile& profile, const GridOptions& options) {
  if (options.along < 4)
    throw std::invalid_argument("a grid needs at least 4 intervals along the width");
  if (options.across < 2 || options.across % 2 != 0)
    throw std::invalid_argument("a grid needs an even number of intervals across the thickness, at least 2");
  if (!(options.edge_clustering >= 0 && options.edge_clustering <= 2))
    throw std::invalid_argument("the clustering of a grid lies between 0 (even) and 2");

  const Stops stops = stops_of(profile, options);
  std::vector<double> changes;
  for (const double change : options.changes)
    if (change > 0 && change < profile.width())
      changes.push_back(change);
  const Spacing spacing = wanted_spacing(profile, stops.lines, changes, options.edge_clustering);
  const auto pieces = static_cast<int>(stops.lines.size()) + 1;
  int intervals = std::max(options.along, 2 * pieces);
  Grid grid;
  grid.x = lines_along(profile, spacing, stops, intervals);
  if (options.edge_clustering > 0) {
    // More lines than asked where the size would change too fast or the edge would be cut too coarsely.
    const double edge = profile.thickness_at(profile.width());
    const int most = 2 * intervals + 300;
    const auto coarse = [&] {
      const std::size_t n = grid.x.size();
      return greatest_ratio(grid.x) > most_ratio || grid.x[n - 1] - grid.x[n - 2] > first_at_edge * edge;
    };
    while (coarse() && intervals < most)
      grid.x = lines_along(profile, spacing, stops, ++intervals);
  }

  split_at_places(grid.x, stops.places);
  grid.nx = static_cast<int>(grid.x.size());
  grid.half = options.use_symmetry && profile.symmetric();
  const int half_across = options.across / 2;
  grid.ny = (grid.half ? half_across : options.across) + 1;
  for (int j = 0; j < grid.ny; ++j) {
    const double u =
        grid.half ? static_cast<double>(j) / half_across : static_cast<double>(j - half_across) / half_across;
    const double place = j == grid.ny - 1 ? 1.0 : line_across(u, options.across, options.edge_clustering);
    grid.eta.push_back(grid.half ? place : j == 0 ? 0.0 : 0.5 + 0.5 * place);
  }
  for (const double at : grid.x) {
    grid.top.push_back(profile.top_at(at));
    grid.bottom.push_back(grid.half ? 0.0 : profile.bottom_at(at));
  }
  return grid;
}

} // namespace tq::section
