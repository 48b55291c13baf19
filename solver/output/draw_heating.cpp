// Heating curves in the furnace.
#include "output/chart.hpp"
#include "output/drawings.hpp"
#include "output/text.hpp"

#include <cmath>
#include <limits>

namespace tq::output {

using treatment::Part;
using treatment::Run;

bool has_heating(const Run& run) {
  const treatment::StepSpan* span = treatment::span_of(run, Part::furnace);
  return span != nullptr && span->to_s > span->from_s && !run.time_s.empty();
}

void draw_heating(Svg& svg, const Run& run, const answers::StationAnswer& answer, const Box& plot,
                  const std::string& title) {
  const treatment::StepSpan& span = *treatment::span_of(run, Part::furnace);
  const double length = span.to_s - span.from_s;
  const bool minutes = length > 180;
  Axis x;
  x.to = length;
  x.tick_unit = minutes ? 60 : 1;
  x.unit = minutes ? "min" : "s";
  x.ticks = even_ticks(length, x.tick_unit, plot.width > 420 ? 8 : 6);
  x.name = minutes ? "minutes from closing the door" : "seconds from closing the door";
  Chart chart(svg, plot, x, temperature_axis(hottest_of(run, span.from_s, span.to_s, true)));
  chart.frame(title);
  const std::vector<Point> furnace = chart.points(run.time_s, run.surroundings_degC, span.from_s);
  chart.curve(furnace, "furnace", Tone::faint, 1.6);
  const std::vector<Line> lines = zone_lines(run, chart, span.from_s);
  draw_lines(chart, lines);
  name_lines(svg, chart, lines, false);
  if (!furnace.empty())
    svg.words(plot.right() - 8, furnace.back().y - 8, "furnace", {14, "end", Tone::faint, false, true});

  // When each zone has come to temperature, and the soak of the last one.
  double reached = std::numeric_limits<double>::quiet_NaN();
  for (const answers::ZoneAnswer& zone : answer.zones) {
    if (!std::isfinite(zone.reaches_temperature_s))
      return;
    if (!(reached >= zone.reaches_temperature_s))
      reached = zone.reaches_temperature_s;
  }
  if (!(reached < length))
    return;
  double y = plot.bottom() - 14;
  constexpr double row = 9;
  const auto window = [&](const answers::ZoneAnswer& zone, Tone tone) {
    svg.line({chart.px(zone.reaches_temperature_s), y}, {plot.right(), y}, tone, 3);
    y -= row;
  };
  window(answer.zones[treatment::zone_edge], Tone::edge);
  window(answer.zones[treatment::zone_middle], Tone::middle);
  window(answer.zones[treatment::zone_spine], Tone::spine);
  const double from = chart.px(reached), to = plot.right();
  svg.line({from, y - 2}, {from, plot.bottom()}, Tone::ink, 1.5);
  const std::string text = "soak " + minutes_text(length - reached);
  if (to - from > 150)
    svg.words((from + to) / 2, y, text, {14, "middle", Tone::ink, false, true});
  else
    svg.words(from - 10, plot.bottom() - 18, text, {14, "end", Tone::ink, false, true});
}

} // namespace tq::output
