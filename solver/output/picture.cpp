#include "output/picture.hpp"

#include "output/figures.hpp"
#include "output/text.hpp"
#include "steel/hardness.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

namespace tq::output {
namespace {

using answers::StationAnswer;
using treatment::Case;
using treatment::Run;
using treatment::Stage;

constexpr double page = 1200, margin = 40;
constexpr const char* ink = "#1b1f24";
constexpr const char* faint = "#5b6470";
constexpr const char* hair = "#d5dae0";
/// White rim that keeps words readable on top of lines.
constexpr const char* rim = " paint-order=\"stroke\" stroke=\"#ffffff\" stroke-width=\"4\" "
                            "stroke-linejoin=\"round\"";
constexpr const char* strong = " font-weight=\"600\" paint-order=\"stroke\" stroke=\"#ffffff\" "
                               "stroke-width=\"4\" stroke-linejoin=\"round\"";

struct Point {
  double x, y;
};

struct Colour {
  int r, g, b;
};

/// Blue to yellow with steadily rising lightness: survives colour blindness and grey printing (the stops of
/// the public-domain map of Nunez, Anderton and Renslow 2018, PLoS ONE 13(7) e0199239).
std::string map_colour(double share) {
  static constexpr std::array<Colour, 9> stops = {{{0, 34, 78},
                                                   {18, 53, 112},
                                                   {59, 73, 108},
                                                   {87, 93, 109},
                                                   {112, 113, 115},
                                                   {138, 134, 120},
                                                   {165, 156, 116},
                                                   {195, 179, 105},
                                                   {254, 232, 56}}};
  const double at = std::clamp(share, 0.0, 1.0) * (stops.size() - 1);
  const std::size_t k = std::min(static_cast<std::size_t>(at), stops.size() - 2);
  const double f = at - static_cast<double>(k);
  const auto mix = [f](int a, int b) { return static_cast<int>(std::lround(a + f * (b - a))); };
  return formatted("#%02x%02x%02x", mix(stops[k].r, stops[k + 1].r), mix(stops[k].g, stops[k + 1].g),
                   mix(stops[k].b, stops[k + 1].b));
}

/// Growing SVG text.
class Sheet {
 public:
  void add(const std::string& element) { body_ += element + "\n"; }
  void words(double x, double y, const std::string& text, double size = 14, const char* anchor = "start",
             const char* colour = ink, const char* extra = "") {
    add(formatted("<text x=\"%.1f\" y=\"%.1f\" font-size=\"%.0f\" text-anchor=\"%s\" fill=\"%s\"%s>", x, y,
                  size, anchor, colour, extra) +
        xml_escaped(text) + "</text>");
  }
  void line(Point a, Point b, const char* colour, double width = 1, const char* dash = "") {
    add(formatted(
        "<line x1=\"%.1f\" y1=\"%.1f\" x2=\"%.1f\" y2=\"%.1f\" stroke=\"%s\" stroke-width=\"%.1f\"%s/>", a.x,
        a.y, b.x, b.y, colour, width, dashed(dash).c_str()));
  }
  void curve(const std::vector<Point>& points, const char* colour, double width, const char* dash = "") {
    if (points.size() < 2)
      return;
    std::string list;
    for (const Point& p : points)
      list += formatted("%.1f,%.1f ", p.x, p.y);
    list.pop_back();
    add(formatted("<polyline fill=\"none\" stroke=\"%s\" stroke-width=\"%.1f\" stroke-linejoin=\"round\"%s "
                  "points=\"",
                  colour, width, dashed(dash).c_str()) +
        list + "\"/>");
  }
  void box(double x, double y, double w, double h, const char* fill, const char* stroke, double width = 1) {
    add(formatted("<rect x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" fill=\"%s\" stroke=\"%s\" "
                  "stroke-width=\"%.1f\"/>",
                  x, y, w, h, fill, stroke, width));
  }
  void dot(Point at, const char* colour) {
    add(formatted("<circle cx=\"%.1f\" cy=\"%.1f\" r=\"3.5\" fill=\"%s\"/>", at.x, at.y, colour));
  }
  const std::string& body() const { return body_; }

 private:
  static std::string dashed(const char* dash) {
    return *dash == '\0' ? "" : formatted(" stroke-dasharray=\"%s\"", dash);
  }
  std::string body_;
};

/// Fewest points that stay within `within` of the line drawn (Douglas and Peucker).
void thin(const std::vector<Point>& all, std::size_t first, std::size_t last, double within,
          std::vector<bool>& keep) {
  if (last <= first + 1)
    return;
  const Point a = all[first], b = all[last];
  const double length = std::hypot(b.x - a.x, b.y - a.y);
  std::size_t farthest = first;
  double most = within;
  for (std::size_t k = first + 1; k < last; ++k) {
    const double off =
        length > 0 ? std::abs((b.x - a.x) * (a.y - all[k].y) - (a.x - all[k].x) * (b.y - a.y)) / length
                   : std::hypot(all[k].x - a.x, all[k].y - a.y);
    if (off > most) {
      most = off;
      farthest = k;
    }
  }
  if (farthest == first)
    return;
  keep[farthest] = true;
  thin(all, first, farthest, within, keep);
  thin(all, farthest, last, within, keep);
}

std::vector<Point> thinned(const std::vector<Point>& all) {
  if (all.size() < 3)
    return all;
  std::vector<bool> keep(all.size(), false);
  keep.front() = keep.back() = true;
  thin(all, 0, all.size() - 1, 0.25, keep);
  std::vector<Point> out;
  for (std::size_t k = 0; k < all.size(); ++k)
    if (keep[k])
      out.push_back(all[k]);
  return out;
}

/// What the section is coloured by.
struct Shade {
  std::vector<double> value; ///< per node of the whole section
  double low = 0, high = 1, tick = 1;
  std::string title, unit;
  bool hardness = false;
  double share(double v) const { return (v - low) / (high - low); }
};

double tick_for(double span) {
  for (const double tick : {1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0})
    if (span / tick <= 10)
      return tick;
  return 200;
}

Shade shade_of(const Case& c, const Run& run, const StationAnswer& answer, const WholeSection& whole) {
  Shade shade;
  const bool tempered = c.has(Stage::temper) && c.temper.count > 0;
  const auto zone_known = [&](const answers::ZoneAnswer& zone) {
    return std::isfinite(tempered ? zone.tempered_HRC : zone.as_quenched_HRC);
  };
  const bool known =
      !run.final_HV.empty() && std::any_of(answer.zones.begin(), answer.zones.end(), zone_known) &&
      std::all_of(run.final_HV.begin(), run.final_HV.end(), [](double v) { return std::isfinite(v); });
  if (known && !c.steel.inert) {
    shade.hardness = true;
    shade.value = whole.expand(run.final_HV);
    for (double& v : shade.value)
      v = std::clamp(steel::hrc_from_hv(v), 20.0, 68.0);
    shade.title = tempered ? "Hardness after tempering" : "Hardness as quenched";
    shade.unit = "HRC";
  } else if (!run.final_state.temperature.empty()) {
    shade.value = whole.expand(run.final_state.temperature);
    shade.title = "Temperature at the end";
    shade.unit = "\u00b0C";
  } else {
    shade.value.assign(whole.x.size(), 0.0);
    shade.title = "Section";
  }
  const auto [least, most] = std::minmax_element(shade.value.begin(), shade.value.end());
  // Never less than 4 across the map: small differences must not look large.
  shade.low = std::min(std::floor(*least), std::floor((*least + *most) / 2 - 2));
  shade.high = std::max(std::ceil(*most), shade.low + 4);
  shade.tick = tick_for(shade.high - shade.low);
  shade.low = std::floor(shade.low / shade.tick) * shade.tick;
  shade.high = std::ceil(shade.high / shade.tick) * shade.tick;
  if (shade.hardness && shade.low < 20) { // no Rockwell C below 20
    shade.low = 20;
    shade.high = std::max(shade.high, 24.0);
  }
  return shade;
}

/// Section coordinates to the page: x to the right from the spine, y upwards from the centre plane.
struct Placement {
  double left, centre, scale; ///< px, px, px/m
  double from_m = 0;
  Point at(double x, double y) const { return {left + (x - from_m) * scale, centre - y * scale}; }
};

void draw_section(Sheet& sheet, const WholeSection& whole, const Shade& shade, const Placement& place,
                  double from_m) {
  const auto node = [&](int i, int j) { return static_cast<std::size_t>(j * whole.ni + i); };
  const auto at = [&](std::size_t n) { return place.at(whole.x[n], whole.y[n]); };
  sheet.add("<g shape-rendering=\"crispEdges\">"); // no seams between the pieces
  for (int i = 0; i + 1 < whole.ni; ++i) {
    if (whole.x[node(i + 1, 0)] <= from_m)
      continue;
    // Neighbours of one colour become one piece.
    for (int j = 0; j + 1 < whole.nj;) {
      const auto colour_at = [&](int row) {
        const double mean = (shade.value[node(i, row)] + shade.value[node(i + 1, row)] +
                             shade.value[node(i, row + 1)] + shade.value[node(i + 1, row + 1)]) /
                            4;
        return map_colour(std::round(shade.share(mean) * 120) / 120);
      };
      const std::string colour = colour_at(j);
      int top = j + 1;
      while (top + 1 < whole.nj && colour_at(top) == colour)
        ++top;
      const Point a = at(node(i, j)), b = at(node(i + 1, j)), d = at(node(i + 1, top)), e = at(node(i, top));
      sheet.add(formatted("<path d=\"M%.1f %.1fL%.1f %.1fL%.1f %.1fL%.1f %.1fZ\" fill=\"%s\"/>", a.x, a.y,
                          b.x, b.y, d.x, d.y, e.x, e.y, colour.c_str()));
      j = top;
    }
  }
  sheet.add("</g>");
  std::string outline;
  const auto go = [&](int i, int j) {
    const std::size_t n = node(i, j);
    if (whole.x[n] < from_m)
      return;
    const Point p = at(n);
    outline += formatted("%s%.1f %.1f", outline.empty() ? "M" : "L", p.x, p.y);
  };
  for (int i = 0; i < whole.ni; ++i)
    go(i, 0);
  for (int j = 1; j < whole.nj; ++j)
    go(whole.ni - 1, j);
  for (int i = whole.ni - 2; i >= 0; --i)
    go(i, whole.nj - 1);
  if (from_m <= 0)
    for (int j = whole.nj - 2; j >= 0; --j)
      go(0, j);
  sheet.add("<path d=\"" + outline + "\" fill=\"none\" stroke=\"" + ink + "\" stroke-width=\"1.2\"/>");
}

void draw_scale_bar(Sheet& sheet, Point at, double scale, double room) {
  double length = 1e-4;
  for (const double mm : {0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0})
    if (mm * 1e-3 * scale <= room)
      length = mm * 1e-3;
  const double px = length * scale;
  sheet.line(at, {at.x + px, at.y}, ink, 2);
  sheet.line({at.x, at.y - 4}, {at.x, at.y + 4}, ink, 1.5);
  sheet.line({at.x + px, at.y - 4}, {at.x + px, at.y + 4}, ink, 1.5);
  sheet.words(at.x + px + 8, at.y + 4.5, formatted("%g mm", length * 1e3), 13);
}

void draw_colour_bar(Sheet& sheet, const Shade& shade, double x, double y, double width, const Case& c) {
  constexpr int pieces = 60;
  sheet.add("<g shape-rendering=\"crispEdges\">");
  for (int k = 0; k < pieces; ++k)
    sheet.add(formatted("<rect x=\"%.2f\" y=\"%.1f\" width=\"%.2f\" height=\"16\" fill=\"%s\"/>",
                        x + width * k / pieces, y, width / pieces + 0.4,
                        map_colour((k + 0.5) / pieces).c_str()));
  sheet.add("</g>");
  sheet.box(x, y, width, 16, "none", ink, 0.8);
  for (double v = shade.low; v <= shade.high + 1e-9; v += shade.tick) {
    const double at = x + width * shade.share(v);
    sheet.line({at, y + 16}, {at, y + 21}, ink);
    const bool end_of_scale = shade.hardness && v <= 20;
    sheet.words(at, y + 35, formatted(end_of_scale ? "\u2264 %.0f" : "%.0f", v), 13, "middle");
  }
  sheet.words(x + width + 14, y + 13, shade.unit, 14);
  const double from = std::max(c.wishes.hrc_from, shade.low), to = std::min(c.wishes.hrc_to, shade.high);
  if (shade.hardness && c.wishes.hrc_to > 0 && to > from) {
    const double a = x + width * shade.share(from), b = x + width * shade.share(to);
    sheet.line({a, y - 6}, {b, y - 6}, ink, 2);
    sheet.line({a, y - 10}, {a, y - 2}, ink, 1.5);
    sheet.line({b, y - 10}, {b, y - 2}, ink, 1.5);
    sheet.words((a + b) / 2, y - 13, "wanted", 13, "middle");
  }
}

/// The section block; returns the y below it.
double draw_section_block(Sheet& sheet, const Case& c, const Run& run, const StationAnswer& answer,
                          double top) {
  const WholeSection whole(run.grid);
  const Shade shade = shade_of(c, run, answer, whole);
  const double width = run.grid.x.back();
  const double high = *std::max_element(whole.y.begin(), whole.y.end());
  const double low = *std::min_element(whole.y.begin(), whole.y.end());
  const double room = page - 2 * margin;

  sheet.words(margin, top + 14, shade.title + ", section in true proportions", 16, "start", ink,
              " font-weight=\"600\"");
  const double scale = std::min(room / width, 170 / (high - low));
  const double section_top = top + 58;
  const Placement place{margin + (room - width * scale) / 2, section_top + high * scale, scale};
  draw_section(sheet, whole, shade, place, 0);
  const double section_bottom = place.centre - low * scale;

  // Figures of the zones along the top; neighbours too close to be read are left out.
  double taken = -1e9;
  for (const int zone :
       {treatment::zone_spine, treatment::zone_thickest, treatment::zone_middle, treatment::zone_edge}) {
    const auto z = static_cast<std::size_t>(zone);
    if (!shade.hardness || z >= run.zone_column.size() || zone == treatment::zone_thickest)
      continue;
    const auto i = static_cast<std::size_t>(run.zone_column[z]);
    const double x = place.at(run.grid.x[i], 0).x;
    const double text_x = std::clamp(x, margin + 60, page - margin - 60);
    if (text_x - taken < 130)
      continue;
    taken = text_x;
    const double hrc = c.has(Stage::temper) && c.temper.count > 0 ? answer.zones[z].tempered_HRC
                                                                  : answer.zones[z].as_quenched_HRC;
    sheet.words(text_x, section_top - 14,
                std::string(treatment::zone_name(static_cast<treatment::Zone>(zone))) + " " + hrc_text(hrc) +
                    " HRC",
                14, "middle");
    const Point skin = place.at(run.grid.x[i], run.grid.top[i]);
    sheet.line({text_x, section_top - 9}, {skin.x, skin.y}, faint, 0.8);
  }

  // Edge inset with its frame in the section.
  const auto thickness = [&](std::size_t i) {
    return run.grid.half ? 2 * run.grid.top[i] : run.grid.top[i] - run.grid.bottom[i];
  };
  const double edge = thickness(run.grid.x.size() - 1);
  const double inset_width = 470, inset_height = 150, inset_top = section_bottom + 44;
  const double inset_left = page - margin - inset_width;
  const double wanted = std::min(std::clamp(4 * edge, 1.5e-3, 4e-3), width / 3);
  std::size_t first = 0;
  while (run.grid.x[first] < width - wanted)
    ++first;
  double cut = 0, inset_high = 0, inset_low = 0, inset_scale = 0;
  for (;; ++first) { // at a thick edge less is shown, so that it is shown larger
    cut = width - run.grid.x[first];
    inset_high = run.grid.top[first];
    inset_low = run.grid.half ? -inset_high : run.grid.bottom[first];
    for (std::size_t i = first; i < run.grid.x.size(); ++i) {
      inset_high = std::max(inset_high, run.grid.top[i]);
      inset_low = std::min(inset_low, run.grid.half ? -run.grid.top[i] : run.grid.bottom[i]);
    }
    inset_scale = std::min((inset_width - 40) / cut, (inset_height - 44) / (inset_high - inset_low));
    if (inset_scale >= 2.5 * scale || first + 5 >= run.grid.x.size())
      break;
  }
  const Point a = place.at(width - cut, inset_high), b = place.at(width, inset_low);
  sheet.box(a.x - 3, a.y - 3, b.x - a.x + 6, b.y - a.y + 6, "none", faint, 1);
  sheet.line({a.x - 3, b.y + 3}, {inset_left, inset_top}, faint, 0.8);
  sheet.line({b.x + 3, b.y + 3}, {inset_left + inset_width, inset_top}, faint, 0.8);
  sheet.box(inset_left, inset_top, inset_width, inset_height, "#f6f7f9", faint, 1);
  const double inset_centre = inset_top + 14 + inset_high * inset_scale;
  const Placement inset{inset_left + (inset_width - cut * inset_scale) / 2, inset_centre, inset_scale,
                        width - cut};
  draw_section(sheet, whole, shade, inset, width - cut);
  draw_scale_bar(sheet, {inset_left + 16, inset_top + inset_height - 16}, inset_scale, 120);
  sheet.words(inset_left + inset_width - 12, inset_top + inset_height - 11,
              formatted("edge, %.2g times larger", inset_scale / scale), 13, "end");

  // Left of the inset: scale bar and what the colours mean.
  draw_scale_bar(sheet, {margin, section_bottom + 26}, scale, 240);
  draw_colour_bar(sheet, shade, margin + 4, inset_top + 74, 420, c);
  if (shade.hardness && std::isfinite(answer.hrc_band))
    sheet.words(margin, inset_top + 142,
                "every hardness \u00b1 " + band_text(answer.hrc_band).substr(4) + " HRC", 14, "start", faint);
  return inset_top + inset_height;
}

/// A diagram of temperature over time.
class Diagram {
 public:
  Diagram(Sheet& sheet, double left, double top, double width, double height, bool logarithmic, double from,
          double to, double hottest)
      : sheet_(sheet), left_(left), top_(top), width_(width), height_(height), log_(logarithmic), from_(from),
        to_(to), hottest_(std::max(200.0, std::ceil((hottest + 20) / 100) * 100)) {}

  double px(double t) const {
    const double share = log_ ? std::log(t / from_) / std::log(to_ / from_) : (t - from_) / (to_ - from_);
    return left_ + width_ * share;
  }
  double py(double degC) const { return top_ + height_ * (1 - degC / hottest_); }
  double right() const { return left_ + width_; }
  double left() const { return left_; }
  double top() const { return top_; }
  double bottom() const { return top_ + height_; }

  void frame(const std::string& title, const std::string& axis, const std::vector<double>& ticks,
             double tick_unit) {
    sheet_.words(left_, top_ - 16, title, 16, "start", ink, " font-weight=\"600\"");
    for (double degC = 0; degC <= hottest_ + 1e-9; degC += hottest_ > 500 ? 200 : 50) {
      sheet_.line({left_, py(degC)}, {right(), py(degC)}, hair);
      sheet_.words(left_ - 8, py(degC) + 4.5, formatted("%.0f", degC), 13, "end");
    }
    const double step_F = hottest_ > 500 ? 400 : 100;
    for (double degF = step_F; (degF - 32) / 1.8 <= hottest_; degF += step_F) {
      const double y = py((degF - 32) / 1.8);
      sheet_.line({right(), y}, {right() + 5, y}, faint);
      sheet_.words(right() + 9, y + 4.5, formatted("%.0f", degF), 13, "start", faint);
    }
    sheet_.words(left_ - 8, top_ - 16, "\u00b0C", 13, "end");
    sheet_.words(right() + 9, top_ - 16, "\u00b0F", 13, "start", faint);
    for (const double tick : ticks) {
      sheet_.line({px(tick), top_}, {px(tick), bottom()}, hair);
      sheet_.line({px(tick), bottom()}, {px(tick), bottom() + 5}, ink);
      sheet_.words(px(tick), bottom() + 20, formatted("%g", tick / tick_unit), 13, "middle");
    }
    sheet_.box(left_, top_, width_, height_, "none", ink, 1);
    sheet_.words(left_ + width_ / 2, bottom() + 40, axis, 14, "middle");
  }

  /// The part of a history inside the diagram, in page coordinates; times shifted by `zero`.
  std::vector<Point> points(const std::vector<double>& time, const std::vector<double>& value,
                            double zero) const {
    std::vector<Point> all;
    const std::size_t n = std::min(time.size(), value.size());
    const auto push = [&](double t, double v) {
      if (std::isfinite(v))
        all.push_back({px(t), py(std::clamp(v, 0.0, hottest_))});
    };
    for (std::size_t k = 0; k < n; ++k) {
      const double t = time[k] - zero;
      if (k > 0) {
        const double before = time[k - 1] - zero;
        for (const double bound : {from_, to_})
          if (before < bound && bound < t)
            push(bound, value[k - 1] + (value[k] - value[k - 1]) * (bound - before) / (t - before));
      }
      // Two steps stand at the end of a stage; the second already sees the next one's surroundings.
      if (t > to_ * (1 - 1e-12) && k > 0 && time[k - 1] - zero > to_ * (1 - 1e-12))
        break;
      if (t >= from_ && t <= to_)
        push(t, value[k]);
    }
    return thinned(all);
  }

  void marker(double t, const std::string& text, double text_y) {
    if (!(t > from_ && t < to_))
      return;
    sheet_.line({px(t), top_}, {px(t), bottom()}, faint, 1, "2 4");
    sheet_.words(px(t) + 6, text_y, text, 13, "start", faint, rim);
  }
  void level(double degC, const std::string& text, bool at_left) {
    if (!(degC > 0 && degC < hottest_))
      return;
    sheet_.line({left_, py(degC)}, {right(), py(degC)}, faint, 1, "6 4");
    sheet_.words(at_left ? left_ + 8 : right() - 8, py(degC) - 6, text, 13, at_left ? "start" : "end", faint,
                 rim);
  }

 private:
  Sheet& sheet_;
  double left_, top_, width_, height_;
  bool log_;
  double from_, to_, hottest_;
};

struct Line {
  std::string name;
  const char* colour;
  const char* dash;
  double width;
  std::vector<Point> points;
};

/// Where a curve passes height `y` for the first time.
double crossing(const std::vector<Point>& points, double y, double otherwise) {
  for (std::size_t k = 1; k < points.size(); ++k) {
    const Point a = points[k - 1], b = points[k];
    if ((a.y - y) * (b.y - y) <= 0 && a.y != b.y)
      return a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y);
  }
  return otherwise;
}

std::vector<Line> zone_lines(const Run& run, const Diagram& diagram, double zero) {
  std::vector<Line> lines;
  const std::array<std::tuple<treatment::Zone, const char*, const char*, double>, 3> looks = {
      {{treatment::zone_spine, "#0072b2", "", 2.6},
       {treatment::zone_middle, "#00795a", "9 4", 2.4},
       {treatment::zone_edge, "#c2410c", "3 3", 2.6}}};
  for (const auto& [zone, colour, dash, width] : looks)
    if (static_cast<std::size_t>(zone) < run.zones.size())
      lines.push_back(
          {treatment::zone_name(zone), colour, dash, width,
           diagram.points(run.time_s, run.zones[static_cast<std::size_t>(zone)].temperature, zero)});
  return lines;
}

/// Names beside the curves: the first to get there on its left, the others on the right, at different
/// heights; one common name where they run together.
void name_lines(Sheet& sheet, const Diagram& diagram, std::vector<Line> lines, bool falling) {
  double highest = diagram.bottom(), lowest = diagram.top();
  for (const Line& line : lines)
    for (const Point& p : line.points) {
      highest = std::min(highest, p.y);
      lowest = std::max(lowest, p.y);
    }
  if (lines.empty() || lowest - highest < 40)
    return;
  const auto height = [&](double share) { return highest + share * (lowest - highest); };
  const auto x_at = [&](const Line& line, double share) {
    return crossing(line.points, height(share), diagram.left());
  };
  std::sort(lines.begin(), lines.end(),
            [&](const Line& a, const Line& b) { return x_at(a, 0.5) < x_at(b, 0.5); });
  if (x_at(lines.back(), 0.5) - x_at(lines.front(), 0.5) < 14) {
    std::string names;
    for (const Line& line : lines)
      names += (names.empty() ? "" : ", ") + line.name;
    const double x = x_at(lines.back(), 0.5);
    const double side = x + 220 < diagram.right() ? 1 : -1;
    sheet.words((side > 0 ? x : x_at(lines.front(), 0.5)) + side * 10, height(0.5) + 4.5, names, 14,
                side > 0 ? "start" : "end");
    return;
  }
  for (std::size_t k = 0; k < lines.size(); ++k) {
    const bool first = k == 0;
    const double part = static_cast<double>(k) / static_cast<double>(lines.size());
    // A falling curve leaves room below left and above right, a rising one above left and below right.
    const double share = falling ? (first ? 0.5 : 0.58 - 0.36 * part) : (first ? 0.3 : 0.45 + 0.36 * part);
    const double x = x_at(lines[k], share), y = height(share);
    if (first) {
      sheet.words(x - 10, y + 4.5, lines[k].name, 14, "end", lines[k].colour, strong);
    } else {
      double clear = x;
      for (const Line& other : lines)
        clear = std::max(clear, x_at(other, share));
      sheet.line({x, y}, {clear + 20, y}, lines[k].colour, 0.9);
      sheet.dot({x, y}, lines[k].colour);
      sheet.words(clear + 25, y + 4.5, lines[k].name, 14, "start", lines[k].colour, strong);
    }
  }
}

double hottest_of(const Run& run, double from, double to, bool with_surroundings) {
  double hottest = 0;
  for (std::size_t k = 0; k < run.time_s.size(); ++k) {
    if (run.time_s[k] < from || run.time_s[k] > to)
      continue;
    for (const treatment::Trace& zone : run.zones)
      if (k < zone.temperature.size())
        hottest = std::max(hottest, zone.temperature[k]);
    if (with_surroundings && k < run.surroundings_degC.size())
      hottest = std::max(hottest, run.surroundings_degC[k]);
  }
  return hottest;
}

const treatment::StageSpan* span_of(const Run& run, Stage stage) {
  for (const treatment::StageSpan& span : run.spans)
    if (span.stage == stage)
      return &span;
  return nullptr;
}

std::vector<double> even_ticks(double to, double unit) {
  double step = 1;
  for (const double s : {1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 60.0, 120.0, 240.0, 600.0}) {
    step = s;
    if (to / unit / s <= 8)
      break;
  }
  std::vector<double> ticks;
  for (double t = 0; t <= to / unit + 1e-9; t += step)
    ticks.push_back(t * unit);
  return ticks;
}

struct Frame {
  double left, top, width, height;
};

void draw_heating(Sheet& sheet, const Run& run, const StationAnswer& answer, const Frame& f) {
  const treatment::StageSpan& span = *span_of(run, Stage::furnace);
  const double length = span.to_s - span.from_s;
  if (!(length > 0))
    return;
  Diagram diagram(sheet, f.left, f.top, f.width, f.height, false, 0, length,
                  hottest_of(run, span.from_s, span.to_s, true));
  const bool minutes = length > 180;
  const double unit = minutes ? 60 : 1;
  diagram.frame("In the furnace", minutes ? "minutes from closing the door" : "seconds from closing the door",
                even_ticks(length, unit), unit);
  const std::vector<Point> furnace = diagram.points(run.time_s, run.surroundings_degC, span.from_s);
  sheet.curve(furnace, faint, 1.6);
  const std::vector<Line> lines = zone_lines(run, diagram, span.from_s);
  for (const Line& line : lines)
    sheet.curve(line.points, line.colour, line.width, line.dash);
  name_lines(sheet, diagram, lines, false);

  if (!furnace.empty())
    sheet.words(diagram.right() - 8, furnace.back().y - 8, "furnace", 14, "end", faint);

  double reached = std::numeric_limits<double>::quiet_NaN();
  for (const answers::ZoneAnswer& zone : answer.zones) {
    if (!std::isfinite(zone.reaches_temperature_s))
      return;
    if (!(reached >= zone.reaches_temperature_s))
      reached = zone.reaches_temperature_s;
  }
  if (!(reached < length))
    return;
  const double y = diagram.bottom() - 26, from = diagram.px(reached), to = diagram.right();
  sheet.line({from, y}, {to, y}, ink, 2);
  sheet.line({from, y - 6}, {from, y + 6}, ink, 2);
  sheet.line({to - 1, y - 6}, {to - 1, y + 6}, ink, 2);
  const std::string text = "soak " + minutes_text(length - reached);
  if (to - from > 150)
    sheet.words((from + to) / 2, y - 9, text, 14, "middle");
  else
    sheet.words(from - 10, y + 4.5, text, 14, "end");
}

/// The 1-2-5 number that is not below (above) `value`.
double round_125(double value, bool up) {
  const double decade = std::pow(10, std::floor(std::log10(value)));
  double best = up ? 10 * decade : decade;
  for (const double f : {1.0, 2.0, 5.0, 10.0}) {
    const double v = f * decade;
    if (up ? (v >= value * (1 - 1e-9) && v < best) : (v <= value * (1 + 1e-9) && v > best))
      best = v;
  }
  return best;
}

void draw_cooling(Sheet& sheet, const Case& c, const Run& run, const StationAnswer& answer, const Frame& f) {
  const treatment::StageSpan *first = nullptr, *last = nullptr;
  for (const treatment::StageSpan& span : run.spans)
    if (span.stage == Stage::transfer || span.stage == Stage::bath || span.stage == Stage::cool) {
      if (first == nullptr)
        first = &span;
      last = &span;
    }
  const treatment::StageSpan* bath = span_of(run, Stage::bath);
  const double zero = first->from_s;
  const double into_bath = bath != nullptr ? bath->from_s - zero : 0;
  double end = last->to_s - zero;
  if (bath != nullptr)
    end = std::min(end, std::max(bath->to_s - zero, 60.0));
  if (!(end > 0))
    return;
  const double from = std::min(round_125(into_bath >= 1 ? into_bath / 4 : 0.1, false), end / 10);
  const double to = std::max(round_125(end, true), from * 10);
  Diagram diagram(sheet, f.left, f.top, f.width, f.height, true, from, to,
                  hottest_of(run, zero, zero + end, false));
  std::vector<double> ticks;
  for (double decade = std::pow(10, std::floor(std::log10(from))); decade <= to; decade *= 10)
    for (const double k : {1.0, 2.0, 5.0})
      if (k * decade >= from * (1 - 1e-9) && k * decade <= to * (1 + 1e-9))
        ticks.push_back(k * decade);
  diagram.frame(bath != nullptr ? "In the quench" : "On cooling",
                c.has(Stage::furnace) ? "seconds from leaving the furnace, logarithmic"
                                      : "seconds from the start of cooling, logarithmic",
                ticks, 1);
  const std::vector<Line> lines = zone_lines(run, diagram, zero);
  for (const Line& line : lines)
    sheet.curve(line.points, line.colour, line.width, line.dash);
  if (bath != nullptr) {
    diagram.marker(into_bath, "into the bath", diagram.top() + 17);
    diagram.level(c.bath.temperature_degC, formatted("bath %.0f \u00b0C", c.bath.temperature_degC), true);
  }
  double ms = std::numeric_limits<double>::quiet_NaN();
  for (const answers::ZoneAnswer& zone : answer.zones)
    if (std::isfinite(zone.ms_degC) && !(ms >= zone.ms_degC))
      ms = zone.ms_degC;
  const bool crowded = bath != nullptr && std::abs(ms - c.bath.temperature_degC) < 60;
  if (!c.steel.inert)
    diagram.level(ms, formatted("martensite starts, %.0f \u00b0C", ms), !crowded);
  name_lines(sheet, diagram, lines, true);
}

void draw_whole(Sheet& sheet, const Run& run, const Frame& f) {
  const double zero = run.time_s.front(), length = run.time_s.back() - zero;
  if (!(length > 0))
    return;
  Diagram diagram(sheet, f.left, f.top, f.width, f.height, false, 0, length,
                  hottest_of(run, zero, zero + length, true));
  const double unit = length > 10800 ? 3600 : length > 180 ? 60 : 1;
  diagram.frame("Through the treatment",
                std::string(unit > 60  ? "hours"
                            : unit > 1 ? "minutes"
                                       : "seconds") +
                    " from the start",
                even_ticks(length, unit), unit);
  sheet.curve(diagram.points(run.time_s, run.surroundings_degC, zero), faint, 1.6);
  const std::vector<Line> lines = zone_lines(run, diagram, zero);
  for (const Line& line : lines)
    sheet.curve(line.points, line.colour, line.width, line.dash);
  name_lines(sheet, diagram, lines, false);
}

std::string description(const Case& c, const StationAnswer& answer) {
  std::string text = "Cross-section of the blade in colour, and its temperature over time. ";
  const bool tempered = c.has(Stage::temper) && c.temper.count > 0;
  for (const answers::ZoneAnswer& zone : answer.zones) {
    const double hrc = tempered ? zone.tempered_HRC : zone.as_quenched_HRC;
    if (std::isfinite(hrc))
      text += zone.name + ": " + hrc_text(hrc) + " HRC. ";
  }
  if (std::isfinite(answer.timer_from_door_s))
    text += "Timer " + minutes_up(answer.timer_from_door_s) + " from closing the door. ";
  return text;
}

} // namespace

std::string picture_svg(const Case& c, const Run& run, const StationAnswer& answer) {
  Sheet sheet;
  sheet.words(margin, 46, c.title, 24, "start", ink, " font-weight=\"700\"");
  std::string line = c.steel.key + ", " + run.station;
  const auto say = [&](const char* what, const answers::Judgement& j) {
    if (j.verdict != answers::Verdict::not_asked)
      line += std::string("  \u00b7  ") + what + " " + upper_case(answers::verdict_name(j.verdict));
  };
  say("soak", answer.soak);
  say("quench", answer.quench);
  say("hardness", answer.hardness);
  sheet.words(margin, 74, line, 16, "start", faint);

  const double below = draw_section_block(sheet, c, run, answer, 96);
  const bool heats = span_of(run, Stage::furnace) != nullptr;
  const bool cools = span_of(run, Stage::transfer) != nullptr || span_of(run, Stage::bath) != nullptr ||
                     span_of(run, Stage::cool) != nullptr;
  const double top = below + 74, height = 330;
  const double half_width = (page - 2 * margin) / 2 - 100;
  const Frame left{margin + 36, top, half_width, height};
  const Frame right{page / 2 + 62, top, half_width, height};
  const Frame full{margin + 36, top, page - 2 * margin - 84, height};
  if (!run.time_s.empty()) {
    if (cools)
      draw_cooling(sheet, c, run, answer, heats ? left : full);
    if (heats)
      draw_heating(sheet, run, answer, cools ? right : full);
    if (!cools && !heats)
      draw_whole(sheet, run, full);
  }
  const double bottom = top + height + 62;

  return formatted("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %.0f %.0f\" width=\"%.0f\" "
                   "height=\"%.0f\" role=\"img\" aria-labelledby=\"title desc\" "
                   "font-family=\"'DejaVu Sans', Verdana, Arial, sans-serif\">\n",
                   page, bottom, page, bottom) +
         "<title id=\"title\">" + xml_escaped(c.title + ", " + run.station) + "</title>\n<desc id=\"desc\">" +
         xml_escaped(description(c, answer)) + "</desc>\n" +
         formatted("<rect width=\"%.0f\" height=\"%.0f\" fill=\"#ffffff\"/>\n", page, bottom) + sheet.body() +
         "</svg>\n";
}

} // namespace tq::output
