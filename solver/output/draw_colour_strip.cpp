// Temper colours of a clean blade over the temperature of the oven: a hint, never a control.
#include "output/chart.hpp"
#include "output/drawings.hpp"
#include "output/text.hpp"
#include "steel/temper_colour.hpp"

#include <algorithm>
#include <cmath>

namespace tq::output {

std::optional<Drawing> draw_colour_strip(const treatment::Case& c, const answers::StationAnswer& answer) {
  if (answer.surface.temper_colour.empty())
    return {};
  Drawing drawing{Svg(Palette::page), 500, 168, "Temper colours of a clean blade", ""};
  Svg& svg = drawing.svg;
  const double set = c.oven().oven_degC, hold_s = c.oven().time_s * c.tempers();
  const double from = std::min(150.0, std::floor((set - 30) / 10) * 10);
  const double to = std::max(350.0, std::ceil((set + 30) / 10) * 10);
  const Box strip{12, 62, 440, 40};
  const auto px = [&](double degC) { return strip.left + strip.width * (degC - from) / (to - from); };
  constexpr int pieces = 110;
  struct Name {
    std::string text;
    double from, to;
  };
  std::vector<Name> names;
  svg.add("<g shape-rendering=\"crispEdges\">");
  for (int k = 0; k < pieces; ++k) {
    const double a = from + (to - from) * k / pieces, b = from + (to - from) * (k + 1) / pieces;
    const steel::ColourHint hint = steel::colour_over({{0, (a + b) / 2}, {hold_s, (a + b) / 2}});
    svg.swatch({px(a), strip.top, px(b) - px(a) + 0.4, strip.height}, hint.colour.hex());
    if (names.empty() || names.back().text != hint.colour.name)
      names.push_back({hint.colour.name, a, b});
    names.back().to = b;
  }
  svg.close();
  svg.box(strip, Tone::none, Tone::ink, 0.8);
  // Names below, on two levels where they would touch.
  double taken[2] = {-1e9, -1e9};
  for (const Name& name : names) {
    const double middle = px((name.from + name.to) / 2),
                 half = 3.9 * static_cast<double>(columns(name.text)) + 4;
    const double x = std::clamp(middle, half, 500 - half);
    const int level = taken[0] <= x - half ? 0 : taken[1] <= x - half ? 1 : -1;
    if (level < 0)
      continue;
    taken[level] = x + half;
    const double y = strip.bottom() + 19 + 17 * level;
    svg.line({middle, strip.bottom()}, {middle, y - 12}, Tone::faint, 0.8);
    svg.words(x, y, name.text, {13, "middle"});
  }
  svg.open("tC");
  for (const double t : plain_ticks(from, to, 5))
    svg.words(px(t), strip.bottom() + 57, formatted("%g", t), {13, "middle", Tone::faint});
  svg.words(strip.right() + 18, strip.bottom() + 57, "\u00b0C", {13, "start", Tone::faint});
  svg.close();
  svg.open("onlyF");
  for (const double f : plain_ticks(from * 1.8 + 32, to * 1.8 + 32, 5))
    svg.words(px((f - 32) / 1.8), strip.bottom() + 57, formatted("%g", f), {13, "middle", Tone::faint});
  svg.words(strip.right() + 18, strip.bottom() + 57, "\u00b0F", {13, "start", Tone::faint});
  svg.close();
  // The chosen temperature with its doubt.
  const double a = px(set - steel::colour_doubt_K), b = px(set + steel::colour_doubt_K), x = px(set);
  svg.line({a, strip.top - 8}, {b, strip.top - 8}, Tone::ink, 2);
  svg.line({a, strip.top - 12}, {a, strip.top - 4}, Tone::ink, 1.5);
  svg.line({b, strip.top - 12}, {b, strip.top - 4}, Tone::ink, 1.5);
  svg.line({x, strip.top - 14}, {x, strip.bottom()}, Tone::ink, 2);
  const std::string chosen = answer.surface.temper_colour + " at ";
  svg.marked(std::clamp(x, 130.0, 370.0), strip.top - 22, xml_escaped(chosen) + temperature_markup(set, true),
             {14, "middle", Tone::ink, true});
  drawing.description = "A strip from " + temperature_text(from) + " to " + temperature_text(to) +
                        ". At the chosen " + temperature_text(set) + " expect " +
                        answer.surface.temper_colour + "; 20 K either way would show " +
                        answer.surface.temper_colour_doubt + ".";
  return drawing;
}

} // namespace tq::output
