// What a logger wrote, as points over the band of what was computed.
#include "output/chart.hpp"
#include "output/drawings.hpp"
#include "output/text.hpp"

#include <algorithm>

namespace tq::output {

Drawing draw_log(const answers::LogBeside& log) {
  Drawing drawing{Svg(Palette::page), 500, 340, "Log: " + log.name, ""};
  const double length = log.time_s.back();
  const bool minutes = length > 180;
  Axis x;
  x.to = length;
  x.tick_unit = minutes ? 60 : 1;
  x.unit = minutes ? "min" : "s";
  x.ticks = even_ticks(length, x.tick_unit, 6);
  x.name = (minutes ? "minutes from " : "seconds from ") + log.since;
  const double hottest = std::max(*std::max_element(log.high.begin(), log.high.end()),
                                  *std::max_element(log.read_degC.begin(), log.read_degC.end()));
  Chart chart(drawing.svg, {66, 30, 360, 250}, x, temperature_axis(hottest));
  chart.frame("");
  std::vector<Point> band = chart.points(log.time_s, log.low), high = chart.points(log.time_s, log.high);
  band.insert(band.end(), high.rbegin(), high.rend());
  drawing.svg.area(band, Tone::hair, 0.7);
  chart.curve(chart.points(log.time_s, log.middle), "computed", Tone::spine, 1.8);
  constexpr std::size_t most_points = 60; // more of them run into each other
  const std::size_t step = 1 + log.read_time_s.size() / most_points;
  for (std::size_t i = 0; i < log.read_time_s.size(); i += step)
    drawing.svg.dot({chart.px(log.read_time_s[i]), chart.py(log.read_degC[i])}, Tone::ink, 2.2);
  drawing.description = percent_text(log.inside) + " of the readings lie in the band of nine draws in ten.";
  return drawing;
}

} // namespace tq::output
