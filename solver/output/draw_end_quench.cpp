#include "output/draw_end_quench.hpp"

#include "output/chart.hpp"
#include "output/text.hpp"

#include <algorithm>
#include <cmath>

namespace tq::output {

namespace {

constexpr double last_J = 32;

std::vector<double> in_sixteenths(const std::vector<double>& distance_m) {
  std::vector<double> out;
  for (const double x : distance_m)
    out.push_back(x / steel::sixteenth_m);
  return out;
}

void draw_one(Svg& svg, const EndQuenchCurve& steel, const Box& plot, bool alone) {
  Axis x, y;
  x.to = last_J;
  x.ticks = {0, 4, 8, 12, 16, 20, 24, 28, 32};
  x.unit = "sixteenths";
  x.name = alone ? "sixteenths of an inch from the quenched end (16 are 25.4 mm)" : "";
  y.from = 20;
  y.to = 70;
  y.ticks = {20, 30, 40, 50, 60, 70};
  y.name = y.unit = "HRC";
  Chart chart(svg, plot, x, y);
  chart.frame(steel.name);

  const std::vector<double> along = in_sixteenths(steel.usual.distance_m);
  std::vector<Point> ring = chart.points(along, steel.shallow.hrc);
  const std::vector<Point> back = chart.points(along, steel.deep.hrc);
  ring.insert(ring.end(), back.rbegin(), back.rend());
  svg.area(ring, Tone::pearlite, 0.18);
  if (const double half = steel.half_hardened_m / steel::sixteenth_m; half < 0.85 * last_J)
    chart.marker(half, alone ? formatted("half hardened J%.1f", half) : formatted("J%.1f", half),
                 plot.top + 16);
  chart.curve(chart.points(along, steel.usual.hrc), "hardness", Tone::spine, 2.4);
  for (const steel::PublishedHardness& point : steel.published)
    if (point.distance_m <= last_J * steel::sixteenth_m)
      svg.dot({chart.px(point.distance_m / steel::sixteenth_m), chart.py(point.hrc)}, Tone::edge);
}

} // namespace

Drawing draw_end_quench(const std::vector<EndQuenchCurve>& steels) {
  const bool alone = steels.size() == 1;
  constexpr double cell_width = 330, cell_height = 250, head = 84, foot = 46;
  const std::size_t columns = alone ? 1 : 3, rows = (steels.size() + columns - 1) / columns;
  const double width = alone ? 720 : cell_width * columns;
  const double body = alone ? 430 : cell_height * static_cast<double>(rows);
  Drawing drawing{Svg(Palette::fixed), width, head + body + foot, "End-quenched bar (ASTM A255)", ""};
  Svg& svg = drawing.svg;
  svg.words(20, 28, "Hardness along the end-quenched bar (ASTM A255), computed",
            {17, "start", Tone::ink, true});
  svg.words(20, 48, "HRC over sixteenths of an inch from the quenched end", {12.5, "start", Tone::faint});
  svg.words(20, 64, "shaded: pearlite and bainite start as much earlier or later as the record doubts",
            {12.5, "start", Tone::faint});
  bool published = false;
  for (std::size_t i = 0; i < steels.size(); ++i) {
    const double left = cell_width * static_cast<double>(i % columns),
                 top = head + cell_height * static_cast<double>(i / columns);
    const Box plot = alone ? Box{60, head + 34, width - 90, body - 90}
                           : Box{left + 50, top + 34, cell_width - 70, cell_height - 74};
    draw_one(svg, steels[i], plot, alone);
    published = published || !steels[i].published.empty();
    const double half = steels[i].half_hardened_m / steel::sixteenth_m;
    drawing.description += steels[i].name + ": " +
                           (std::isfinite(half) ? formatted("half hardened at J%.1f. ", half)
                                                : std::string("hardens along the whole bar. "));
  }
  if (published)
    svg.words(20, head + body + 26, "dots: " + std::string(steel::published_hardness_source),
              {12.5, "start", Tone::faint});
  return drawing;
}

} // namespace tq::output
