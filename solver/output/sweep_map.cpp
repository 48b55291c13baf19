#include "output/sweep_map.hpp"

#include "answers/figures.hpp"
#include "output/chart.hpp"
#include "output/html.hpp"
#include "output/text.hpp"
#include "page_assets.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <optional>

namespace tq::output {

namespace {

constexpr double width = 760, plot_left = 96, plot_top = 112, plot_width = 520, plot_height = 420;
constexpr std::array<const char*, 3> verdict_in_capitals{"PASS", "MARGINAL", "FAIL"};
/// Light enough for black words, and apart in lightness as well as hue.
constexpr std::array<const char*, 3> verdict_colour{"#e3f1e3", "#f2cf7e", "#c9786a"};

/// How a value in SI is told: times `factor`, with this unit.
struct Told {
  double factor = 1;
  std::string unit;
  double step = 0; ///< least distance of contours, in this unit: finer would tell what nobody can read
};

Told told_unit(const SweepMap& map) {
  using answers::Show;
  Show show = Show::hidden;
  const std::string bare = map.figure.compare(0, 5, "zone.") == 0 ? map.figure.substr(5) : map.figure;
  for (const answers::Figure& f : answers::figures())
    if (bare == f.meaning.name)
      show = f.show;
  if (show == Show::rockwell)
    return {1, "HRC", 0.5};
  if (show == Show::share || bare == "pearlite" || bare == "bainite" || bare == "martensite")
    return {100, "%", 0.1};
  if (show == Show::minutes || show == Show::minutes_or_never || show == Show::minutes_up ||
      show == Show::minutes_down)
    return {1.0 / 60, "min", 0.1};
  if (map.unit == "degC")
    return {1, "\u00b0C", 1};
  if (map.unit == "m")
    return {1e3, "mm"};
  if (map.unit == "percent")
    return {1, "%"};
  if (map.unit == "m3")
    return {1e3, "L"};
  return {1, map.unit == "1" ? "" : map.unit};
}

/// Number and unit of an axis value as people write it.
std::pair<std::string, std::string> parted(const std::string& quantity) {
  const auto blank = quantity.find(' ');
  return blank == std::string::npos ? std::pair(quantity, std::string())
                                    : std::pair(quantity.substr(0, blank), quantity.substr(blank + 1));
}

std::string value_text(const MapAxis& axis, std::size_t i) {
  if (axis.values.empty())
    return axis.labels[i];
  return axis.dimension.empty() ? units::format_number(axis.values[i])
                                : units::format_quantity(axis.values[i], axis.dimension);
}

/// Place of the points along a side: by value where it has one, else evenly.
class Side {
 public:
  Side(const MapAxis& axis, double from, double length, bool up)
      : axis_(axis), from_(from), length_(length), up_(up) {
    const std::size_t n = axis.size();
    for (std::size_t i = 0; i < n; ++i)
      at_.push_back(axis.values.empty() ? static_cast<double>(i) : axis.values[i]);
    const bool rising =
        std::is_sorted(at_.begin(), at_.end()) && std::adjacent_find(at_.begin(), at_.end()) == at_.end();
    const bool falling =
        std::is_sorted(at_.rbegin(), at_.rend()) && std::adjacent_find(at_.begin(), at_.end()) == at_.end();
    by_value_ = !axis.values.empty() && n > 1 && (rising || falling);
    if (!by_value_)
      for (std::size_t i = 0; i < n; ++i)
        at_[i] = static_cast<double>(i);
    const auto [low, high] = std::minmax_element(at_.begin(), at_.end());
    const double pad = by_value_ ? 0 : 0.5;
    low_ = *low - pad;
    high_ = std::max(*high + pad, low_ + 1e-12);
  }
  bool by_value() const { return by_value_; }
  double pixel(double value) const {
    const double share = (value - low_) / (high_ - low_);
    return from_ + length_ * (up_ ? 1 - share : share);
  }
  double point(std::size_t i) const { return pixel(at_[i]); }
  /// Ends of the cell round a point.
  std::pair<double, double> cell(std::size_t i) const {
    const double before = i > 0 ? 0.5 * (at_[i] + at_[i - 1]) : by_value_ ? at_[i] : at_[i] - 0.5;
    const double after = i + 1 < at_.size() ? 0.5 * (at_[i] + at_[i + 1]) : by_value_ ? at_[i] : at_[i] + 0.5;
    return std::minmax(pixel(before), pixel(after));
  }
  /// Points that get a tick, not nearer to one another than `apart`.
  std::vector<std::size_t> ticks(double apart) const {
    std::vector<std::size_t> out;
    for (std::size_t i = 0; i < at_.size(); ++i)
      if (out.empty() || std::abs(point(i) - point(out.back())) >= apart)
        out.push_back(i);
    return out;
  }
  const MapAxis& axis() const { return axis_; }

 private:
  const MapAxis& axis_;
  double from_, length_;
  bool up_, by_value_ = false;
  std::vector<double> at_;
  double low_ = 0, high_ = 1;
};

struct Segment {
  Point a, b;
};

/// Where a field on the points passes `level`, as short straight lines: marching squares, each square cut in
/// two triangles so that no case is ambiguous.
std::vector<Segment> level_lines(const Side& x, const Side& y, const std::vector<double>& field,
                                 double level) {
  const std::size_t nx = x.axis().size(), ny = y.axis().size();
  std::vector<Segment> out;
  struct Corner {
    Point at;
    double value;
  };
  const auto triangle = [&](const std::array<Corner, 3>& c) {
    std::vector<Point> cuts;
    for (std::size_t k = 0; k < 3; ++k) {
      const Corner &a = c[k], &b = c[(k + 1) % 3];
      if ((a.value < level) == (b.value < level))
        continue;
      const double share = (level - a.value) / (b.value - a.value);
      cuts.push_back({a.at.x + share * (b.at.x - a.at.x), a.at.y + share * (b.at.y - a.at.y)});
    }
    if (cuts.size() == 2)
      out.push_back({cuts[0], cuts[1]});
  };
  for (std::size_t j = 0; j + 1 < ny; ++j)
    for (std::size_t i = 0; i + 1 < nx; ++i) {
      const auto corner = [&](std::size_t a, std::size_t b) {
        return Corner{{x.point(a), y.point(b)}, field[b * nx + a]};
      };
      const std::array<Corner, 4> c{corner(i, j), corner(i + 1, j), corner(i + 1, j + 1), corner(i, j + 1)};
      if (std::any_of(c.begin(), c.end(), [](const Corner& one) { return !std::isfinite(one.value); }))
        continue;
      triangle({c[0], c[1], c[2]});
      triangle({c[0], c[2], c[3]});
    }
  return out;
}

/// The edges of cells that part points below `level` from those above: between words there is nothing.
std::vector<Segment> cell_edges(const Side& x, const Side& y, const std::vector<double>& field,
                                double level) {
  const std::size_t nx = x.axis().size(), ny = y.axis().size();
  std::vector<Segment> out;
  const auto parts = [&](std::size_t a, std::size_t b) {
    return std::isfinite(field[a]) && std::isfinite(field[b]) && (field[a] < level) != (field[b] < level);
  };
  for (std::size_t j = 0; j < ny; ++j)
    for (std::size_t i = 0; i < nx; ++i) {
      const auto [left, right] = x.cell(i);
      const auto [top, bottom] = y.cell(j);
      if (i + 1 < nx && parts(j * nx + i, j * nx + i + 1)) {
        const double edge = x.point(i + 1) > x.point(i) ? right : left;
        out.push_back({{edge, top}, {edge, bottom}});
      }
      if (j + 1 < ny && parts(j * nx + i, (j + 1) * nx + i)) {
        const double edge = y.point(j + 1) < y.point(j) ? top : bottom;
        out.push_back({{left, edge}, {right, edge}});
      }
    }
  return out;
}

class Painter {
 public:
  Painter(const SweepMap& map, Palette palette)
      : map_(map), svg_(palette), told_(told_unit(map)), x_(map.x, plot_left, plot_width, false),
        y_(map.y, plot_top, plot_height, true) {
    double low = std::numeric_limits<double>::infinity(), high = -low;
    for (const double v : map.value)
      if (std::isfinite(v)) {
        low = std::min(low, v);
        high = std::max(high, v);
      }
    low_ = std::isfinite(low) ? low : 0;
    high_ = std::isfinite(high) ? high : 1;
    // colours that span at least four steps, or noise would look like an effect
    if (const double least = 4 * told_.step / told_.factor; high_ - low_ < least) {
      const double middle = 0.5 * (low_ + high_);
      low_ = middle - 0.5 * least;
      high_ = middle + 0.5 * least;
    }
    if (map.unit == "1" && told_.unit == "%" && low >= 0 && low_ < 0) { // no share is less than nothing
      high_ -= low_;
      low_ = 0;
    }
  }

  Drawing draw() {
    heading();
    if (map_.y.size() > 1)
      map();
    else
      curve();
    const double bottom = legend();
    Drawing out{std::move(svg_), width, bottom, map_.title, ""};
    out.description = map_.says + " over " + map_.x.name + (map_.y.size() > 1 ? " and " + map_.y.name : "");
    return out;
  }

 private:
  void heading() {
    svg_.words(plot_left, 28, map_.title, {18, "start", Tone::ink, true});
    std::string what = map_.says;
    if (!map_.is_verdict && !told_.unit.empty())
      what += " [" + told_.unit + "]";
    svg_.words(plot_left, 50, what, {14, "start"});
    std::string fixed;
    for (const std::string& one : map_.fixed)
      fixed += (fixed.empty() ? "" : ", ") + one;
    svg_.words(plot_left, 72, fixed, {13, "start", Tone::faint});
  }

  std::string colour(double value) const {
    if (map_.is_verdict) {
      const int v = std::isfinite(value) ? static_cast<int>(value) : -1;
      return v >= 0 && v <= 2 ? verdict_colour[static_cast<std::size_t>(v)] : "#ffffff";
    }
    if (!std::isfinite(value))
      return "#ffffff";
    constexpr double darkest = 0.3; // black lines and words stay readable on it
    const double share = high_ > low_ ? (value - low_) / (high_ - low_) : 0.5;
    return map_colour(darkest + (1 - darkest) * share);
  }

  void map() {
    cells();
    if (!map_.is_verdict && x_.by_value() && y_.by_value())
      contours();
    limits();
    svg_.box({plot_left, plot_top, plot_width, plot_height}, Tone::none, Tone::ink, 1);
    x_scale();
    y_scale();
    if (!map_.is_verdict)
      colour_bar();
  }

  void cells() {
    const std::size_t nx = map_.x.size();
    for (std::size_t j = 0; j < map_.y.size(); ++j)
      for (std::size_t i = 0; i < nx; ++i) {
        const double value = map_.value[j * nx + i];
        const auto [left, right] = x_.cell(i);
        const auto [top, bottom] = y_.cell(j);
        svg_.swatch({left, top, right - left + 0.3, bottom - top + 0.3}, colour(value));
        if (!std::isfinite(value) || value < 0) {
          svg_.line({left, bottom}, {right, top}, Tone::faint, 1);
        } else if (map_.is_verdict && right - left > 14 && bottom - top > 14 && value < 2.5) {
          const char sign =
              verdict_in_capitals[static_cast<std::size_t>(value)][0]; // readable without colours
          svg_.words(0.5 * (left + right), 0.5 * (top + bottom) + 5, std::string(1, sign), {13, "middle"});
        }
      }
  }

  /// Round values of the figure, as told.
  std::vector<double> levels() const {
    const double f = told_.factor;
    for (int most = 8;; --most) {
      std::vector<double> out = plain_ticks(low_ * f, high_ * f, most);
      if (most == 1 || out.size() < 2 || out[1] - out[0] >= told_.step * (1 - 1e-9))
        return out;
    }
  }

  void contours() {
    const double f = told_.factor;
    for (const double level : levels()) {
      const std::vector<Segment> lines = level_lines(x_, y_, map_.value, level / f);
      for (const Segment& s : lines)
        svg_.line(s.a, s.b, Tone::ink, 0.9);
      if (lines.empty())
        continue;
      // named where it comes nearest to the line from the left bottom to the right top
      const auto off = [](const Segment& s) {
        const Point at{0.5 * (s.a.x + s.b.x), 0.5 * (s.a.y + s.b.y)};
        return std::abs((at.x - plot_left) / plot_width - (plot_top + plot_height - at.y) / plot_height);
      };
      const Segment& at = *std::min_element(
          lines.begin(), lines.end(), [&](const Segment& a, const Segment& b) { return off(a) < off(b); });
      svg_.words(std::clamp(0.5 * (at.a.x + at.b.x), plot_left + 14, plot_left + plot_width - 14),
                 std::clamp(0.5 * (at.a.y + at.b.y) + 5, plot_top + 14, plot_top + plot_height - 4),
                 formatted("%g", level), {13, "middle", Tone::ink, true, true});
    }
  }

  void limits() {
    if (map_.is_verdict)
      return;
    for (std::size_t v = 0; v < map_.verdicts.size(); ++v) {
      std::vector<double> field;
      for (const int one : map_.verdicts[v].at)
        field.push_back(one >= 0 && one <= 2 ? one : std::numeric_limits<double>::quiet_NaN());
      for (const auto& [level, thick] : {std::pair{0.5, 2.0}, {1.5, 4.0}})
        for (const Segment& s : x_.by_value() && y_.by_value() ? level_lines(x_, y_, field, level)
                                                               : cell_edges(x_, y_, field, level)) {
          svg_.line(s.a, s.b, Tone::paper, thick + 2.5);
          svg_.line(s.a, s.b, verdict_tone(v), thick, "");
          drawn_ = true;
        }
    }
  }

  static Tone verdict_tone(std::size_t v) {
    constexpr std::array<Tone, 3> tones{Tone::spine, Tone::edge, Tone::bainite};
    return tones[v % tones.size()];
  }

  /// What stands below the axis: its unit and the key.
  static std::string axis_name(const MapAxis& axis) {
    std::string unit;
    if (!axis.values.empty())
      unit = axis.dimension == "temperature" ? "\u00b0C" : parted(value_text(axis, 0)).second;
    return axis.name + (unit.empty() ? "" : " [" + unit + "]");
  }

  void x_scale() {
    const double base = plot_top + plot_height;
    const bool temperature = map_.x.dimension == "temperature";
    for (const std::size_t i : x_.ticks(map_.x.values.empty() ? 70 : 44)) {
      svg_.line({x_.point(i), base}, {x_.point(i), base + 5}, Tone::ink);
      svg_.words(x_.point(i), base + 20, number_text(map_.x, i), {13, "middle"});
      if (temperature)
        svg_.words(x_.point(i), base + 37, formatted("%.0f", map_.x.values[i] * 1.8 + 32),
                   {13, "middle", Tone::faint});
    }
    if (temperature)
      svg_.words(plot_left + plot_width + 12, base + 37, "\u00b0F", {13, "start", Tone::faint});
    svg_.words(plot_left + plot_width / 2, base + (temperature ? 58 : 44), axis_name(map_.x), {14, "middle"});
  }

  void y_scale() {
    const bool temperature = map_.y.dimension == "temperature";
    for (const std::size_t j : y_.ticks(temperature ? 32 : 18)) {
      svg_.line({plot_left - 5, y_.point(j)}, {plot_left, y_.point(j)}, Tone::ink);
      svg_.words(plot_left - 9, y_.point(j) + 5, number_text(map_.y, j), {13, "end"});
      if (temperature)
        svg_.words(plot_left - 9, y_.point(j) + 19, formatted("%.0f \u00b0F", map_.y.values[j] * 1.8 + 32),
                   {11, "end", Tone::faint});
    }
    svg_.words(8, plot_top - 16, axis_name(map_.y), {14, "start"});
  }

  static std::string number_text(const MapAxis& axis, std::size_t i) {
    if (axis.values.empty())
      return axis.labels[i];
    return formatted("%.4g", units::parse_number(parted(value_text(axis, i)).first));
  }

  void colour_bar() {
    constexpr int steps = 40;
    const double left = plot_left + plot_width + 28, each = plot_height / steps;
    for (int k = 0; k < steps; ++k)
      svg_.swatch({left, plot_top + each * k, 16, each + 0.3},
                  colour(high_ - (high_ - low_) * (k + 0.5) / steps));
    svg_.box({left, plot_top, 16, plot_height}, Tone::none, Tone::ink, 1);
    const double f = told_.factor;
    for (const double level : levels()) {
      const double at = plot_top + plot_height * (high_ * f - level) / std::max(1e-300, (high_ - low_) * f);
      svg_.line({left + 16, at}, {left + 21, at}, Tone::ink);
      svg_.words(left + 25, at + 5, formatted("%g", level), {13, "start"});
    }
    svg_.words(left, plot_top - 8, told_.unit, {13, "start"});
  }

  void curve() {
    Axis x, y;
    const double f = told_.factor;
    const bool by_value = x_.by_value();
    std::vector<double> at, value;
    for (std::size_t i = 0; i < map_.x.size(); ++i) {
      at.push_back(by_value ? units::parse_number(parted(value_text(map_.x, i)).first)
                            : static_cast<double>(i));
      value.push_back(map_.value[i] * f);
    }
    const double low = low_ * f, high = high_ > low_ ? high_ * f : low + std::max(1.0, std::abs(low) * 0.1);
    const double step = round_125((high - low) / 6, true);
    y.from = step * std::floor(low / step);
    y.to = step * std::ceil(high / step);
    y.ticks = plain_ticks(y.from, y.to, 8);
    y.name = map_.figure + (told_.unit.empty() ? "" : " [" + told_.unit + "]");
    const auto [first, last] = std::minmax_element(at.begin(), at.end());
    x.from = *first;
    x.to = std::max(*last, x.from + 1e-9);
    const Box box{plot_left, plot_top, plot_width, plot_height};
    Chart chart(svg_, box, x, y);
    for (const double t : y.ticks) {
      svg_.line({box.left, chart.py(t)}, {box.right(), chart.py(t)}, Tone::hair);
      svg_.words(box.left - 9, chart.py(t) + 5, formatted("%g", t), {13, "end"});
    }
    svg_.words(8, plot_top - 16, y.name, {14, "start"});
    svg_.box(box, Tone::none, Tone::ink, 1);
    x_scale();
    chart.curve(chart.points(at, value), map_.figure, Tone::spine, 2.2);
    for (std::size_t i = 0; i < at.size(); ++i)
      if (std::isfinite(value[i]))
        svg_.dot({chart.px(at[i]), chart.py(value[i])}, Tone::spine, 3);
  }

  /// Below the picture; returns where it ends.
  double legend() {
    double y = plot_top + plot_height + 84;
    if (map_.is_verdict) {
      double x = plot_left;
      for (std::size_t v = 0; v < verdict_in_capitals.size(); ++v, x += 150) {
        svg_.swatch({x, y - 13, 18, 16}, verdict_colour[v]);
        svg_.box({x, y - 13, 18, 16}, Tone::none, Tone::ink, 0.8);
        svg_.words(x + 26, y, verdict_in_capitals[v], {14, "start"});
      }
      return y + 20;
    }
    if (drawn_ && map_.y.size() > 1) {
      double x = plot_left;
      for (std::size_t v = 0; v < map_.verdicts.size(); ++v, x += 190) {
        svg_.line({x, y - 5}, {x + 26, y - 5}, verdict_tone(v), 2);
        svg_.line({x + 32, y - 5}, {x + 58, y - 5}, verdict_tone(v), 4);
        svg_.words(x + 66, y, map_.verdicts[v].name, {14, "start"});
      }
      svg_.words(plot_left, y + 20,
                 "limits of verdicts: thin from pass to marginal, thick from there to fail, "
                 "between the points computed",
                 {12, "start", Tone::faint});
      y += 20;
    }
    return y + 18;
  }

  const SweepMap& map_;
  Svg svg_;
  Told told_;
  Side x_, y_;
  double low_ = 0, high_ = 1;
  bool drawn_ = false; ///< a limit of a verdict
};

} // namespace

Drawing draw_sweep_map(const SweepMap& map, Palette palette) { return Painter(map, palette).draw(); }

std::string sweep_map_html(const SweepMap& map, const std::string& program) {
  const Drawing drawing = draw_sweep_map(map, Palette::page);
  const Told told = told_unit(map);
  std::string out = page_head(map.title, report_css, "");
  out += "<main>\n<h1>" + xml_escaped(map.title) + "</h1>\n<figure>" +
         drawing.svg.element(drawing.width, drawing.height, drawing.title, drawing.description, "map") +
         "</figure>\n<details><summary>The values as a table</summary>\n<table>\n<tr><th>" +
         xml_escaped(map.y.size() > 1 ? map.y.name + " \\ " + map.x.name : map.x.name) + "</th>";
  const std::size_t nx = map.x.size();
  for (std::size_t i = 0; i < nx; ++i)
    out += "<th>" + xml_escaped(value_text(map.x, i)) + "</th>";
  out += "</tr>\n";
  for (std::size_t j = 0; j < map.y.size(); ++j) {
    out += "<tr><th>" + xml_escaped(map.y.size() > 1 ? value_text(map.y, j) : std::string()) + "</th>";
    for (std::size_t i = 0; i < nx; ++i) {
      const double v = map.value[j * nx + i];
      std::string cell = std::isfinite(v) ? formatted("%.4g", v * told.factor) : "-";
      if (map.is_verdict)
        cell = v >= 0 && v <= 2 ? verdict_in_capitals[static_cast<std::size_t>(v)] : "-";
      out += "<td>" + cell + "</td>";
    }
    out += "</tr>\n";
  }
  return out + "</table>\n</details>\n<p>" + xml_escaped(program) + "</p>\n</main>\n" + page_foot("");
}

} // namespace tq::output
