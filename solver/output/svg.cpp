#include "output/svg.hpp"

#include "output/text.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace tq::output {
namespace {

struct Rgb {
  int r, g, b;
};

template <std::size_t n>
std::string between(const std::array<Rgb, n>& stops, double share) {
  const double at = std::clamp(share, 0.0, 1.0) * (n - 1);
  const std::size_t k = std::min(static_cast<std::size_t>(at), n - 2);
  const double f = at - static_cast<double>(k);
  const auto mix = [f](int a, int b) { return static_cast<int>(std::lround(a + f * (b - a))); };
  return formatted("#%02x%02x%02x", mix(stops[k].r, stops[k + 1].r), mix(stops[k].g, stops[k + 1].g),
                   mix(stops[k].b, stops[k + 1].b));
}

std::string dashed(const char* dash) {
  return *dash == '\0' ? "" : formatted(" stroke-dasharray=\"%s\"", dash);
}

void thin(const std::vector<Point>& all, std::size_t first, std::size_t last, double within,
          std::vector<bool>& keep) {
  if (last <= first + 1)
    return;
  const Point a = all[first], b = all[last];
  const double length = math::hypot(b.x - a.x, b.y - a.y);
  std::size_t farthest = first;
  double most = within;
  for (std::size_t k = first + 1; k < last; ++k) {
    const double off =
        length > 0 ? std::abs((b.x - a.x) * (a.y - all[k].y) - (a.x - all[k].x) * (b.y - a.y)) / length
                   : math::hypot(all[k].x - a.x, all[k].y - a.y);
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

} // namespace

const char* tone_colour(Tone tone) {
  switch (tone) {
  case Tone::none:
    return "none";
  case Tone::ink:
    return "#1b1f24";
  case Tone::faint:
    return "#5b6470";
  case Tone::hair:
    return "#d5dae0";
  case Tone::paper:
    return "#ffffff";
  case Tone::panel:
    return "#f6f7f9";
  case Tone::spine:
    return "#0072b2";
  case Tone::middle:
    return "#00795a";
  case Tone::edge:
    return "#c2410c";
  case Tone::pearlite:
    return "#8a6d00";
  case Tone::bainite:
    return "#8b3a80";
  case Tone::wanted:
    return "#d9ead9";
  case Tone::pass:
    return "#1c6b36";
  case Tone::marginal:
    return "#805500";
  case Tone::fail:
    return "#a81616";
  }
  return "none";
}

const char* tone_name(Tone tone) {
  switch (tone) {
  case Tone::none:
    return "none";
  case Tone::ink:
    return "ink";
  case Tone::faint:
    return "faint";
  case Tone::hair:
    return "hair";
  case Tone::paper:
    return "paper";
  case Tone::panel:
    return "panel";
  case Tone::spine:
    return "spine";
  case Tone::middle:
    return "middle";
  case Tone::edge:
    return "edge";
  case Tone::pearlite:
    return "pearlite";
  case Tone::bainite:
    return "bainite";
  case Tone::wanted:
    return "wanted";
  case Tone::pass:
    return "pass";
  case Tone::marginal:
    return "marginal";
  case Tone::fail:
    return "fail";
  }
  return "none";
}

std::string map_colour(double share) {
  static constexpr std::array<Rgb, 9> stops = {{{0, 34, 78},
                                                {18, 53, 112},
                                                {59, 73, 108},
                                                {87, 93, 109},
                                                {112, 113, 115},
                                                {138, 134, 120},
                                                {165, 156, 116},
                                                {195, 179, 105},
                                                {254, 232, 56}}};
  return between(stops, share);
}

std::string map_grey(double share) {
  static constexpr std::array<Rgb, 2> stops = {{{250, 250, 250}, {70, 70, 70}}};
  return between(stops, share);
}

std::string Svg::paint(Tone fill, Tone stroke) const {
  if (palette_ == Palette::page)
    return formatted(" class=\"f-%s s-%s\"", tone_name(fill), tone_name(stroke));
  return formatted(" fill=\"%s\" stroke=\"%s\"", tone_colour(fill), tone_colour(stroke));
}

void Svg::open(const char* classes, const char* attributes) {
  std::string tag = "<g";
  if (on_page() && *classes != '\0')
    tag += formatted(" class=\"%s\"", classes);
  if (*attributes != '\0')
    tag += std::string(" ") + attributes;
  add(tag + ">");
}

void Svg::words(double x, double y, const std::string& text, const Type& type) {
  marked(x, y, xml_escaped(text), type);
}

void Svg::marked(double x, double y, const std::string& markup, const Type& type) {
  std::string look = formatted(" font-size=\"%g\"", type.size);
  if (std::string_view(type.anchor) != "start")
    look += formatted(" text-anchor=\"%s\"", type.anchor);
  if (type.bold)
    look += " font-weight=\"600\"";
  if (on_page())
    look += formatted(" class=\"f-%s%s\"", tone_name(type.tone), type.rim ? " rim" : "");
  else {
    look += formatted(" fill=\"%s\"", tone_colour(type.tone));
    if (type.rim)
      look += " paint-order=\"stroke\" stroke=\"#ffffff\" stroke-width=\"4\" stroke-linejoin=\"round\"";
  }
  add(formatted("<text x=\"%.1f\" y=\"%.1f\"%s>", x, y, look.c_str()) + markup + "</text>");
}

void Svg::line(Point a, Point b, Tone tone, double width, const char* dash) {
  add(formatted("<line x1=\"%.1f\" y1=\"%.1f\" x2=\"%.1f\" y2=\"%.1f\" stroke-width=\"%g\"", a.x, a.y, b.x,
                b.y, width) +
      paint(Tone::none, tone) + dashed(dash) + "/>");
}

void Svg::curve(const std::vector<Point>& points, Tone tone, double width, const char* dash) {
  if (points.size() < 2)
    return;
  add(formatted("<polyline stroke-width=\"%g\" stroke-linejoin=\"round\"", width) + paint(Tone::none, tone) +
      dashed(dash) + " points=\"" + point_list(points) + "\"/>");
}

void Svg::area(const std::vector<Point>& points, Tone tone, double opacity) {
  if (points.size() < 3)
    return;
  add("<polygon" + (opacity < 1 ? formatted(" fill-opacity=\"%g\"", opacity) : "") + paint(tone, Tone::none) +
      " points=\"" + point_list(points) + "\"/>");
}

void Svg::box(const Box& b, Tone fill, Tone stroke, double width) {
  add(formatted("<rect x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" stroke-width=\"%g\"", b.left,
                b.top, b.width, b.height, width) +
      paint(fill, stroke) + "/>");
}

void Svg::swatch(const Box& b, const std::string& colour) {
  add(formatted("<rect x=\"%.2f\" y=\"%.1f\" width=\"%.2f\" height=\"%.1f\" fill=\"%s\"/>", b.left, b.top,
                b.width, b.height, colour.c_str()));
}

void Svg::dot(Point at, Tone tone, double radius) {
  add(formatted("<circle cx=\"%.1f\" cy=\"%.1f\" r=\"%g\"", at.x, at.y, radius) + paint(tone, Tone::none) +
      "/>");
}

std::string Svg::element(double width, double height, const std::string& title,
                         const std::string& description, const std::string& id) const {
  const std::string title_id = id.empty() ? "title" : id + "-title",
                    desc_id = id.empty() ? "desc" : id + "-desc";
  std::string out =
      formatted("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %.0f %.0f\"", width, height);
  if (!on_page())
    out += formatted(" width=\"%.0f\" height=\"%.0f\"", width, height);
  out += " role=\"img\" aria-labelledby=\"" + title_id + " " + desc_id + "\"";
  if (!on_page())
    out += " font-family=\"'DejaVu Sans', Verdana, Arial, sans-serif\"";
  out += ">\n<title id=\"" + title_id + "\">" + xml_escaped(title) + "</title>\n<desc id=\"" + desc_id +
         "\">" + xml_escaped(description) + "</desc>\n";
  if (!on_page())
    out += formatted("<rect width=\"%.0f\" height=\"%.0f\" fill=\"#ffffff\"/>\n", width, height);
  return out + body_ + "</svg>\n";
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

std::string point_list(const std::vector<Point>& points) {
  std::string list;
  for (const Point& p : points)
    list += formatted("%.1f,%.1f ", p.x, p.y);
  if (!list.empty())
    list.pop_back();
  return list;
}

} // namespace tq::output
