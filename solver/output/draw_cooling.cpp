// Cooling curves from the furnace through the bath, and the temperature through all stages.
#include "output/chart.hpp"
#include "output/drawings.hpp"
#include "output/text.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tq::output {

using treatment::Part;
using treatment::Run;

namespace {

bool is_cooling(Part stage) { return stage == Part::transfer || stage == Part::bath || stage == Part::cool; }

} // namespace

bool has_cooling(const Run& run) {
  return !run.time_s.empty() &&
         std::any_of(run.spans.begin(), run.spans.end(), [&](const treatment::StepSpan& s) {
           return is_cooling(s.part) && s.to_s > s.from_s && s.step >= run.hardening.done[0];
         });
}

void draw_cooling(Svg& svg, const treatment::Case& c, const Run& run, const answers::StationAnswer& answer,
                  const Box& plot, const std::string& title) {
  const treatment::StepSpan *first = nullptr, *last = nullptr;
  for (const treatment::StepSpan& span : run.spans)
    if (is_cooling(span.part) && span.step >= run.hardening.done[0]) {
      if (first == nullptr)
        first = &span;
      last = &span;
    }
  const treatment::StepSpan* bath = treatment::span_of(run, Part::bath);
  const double zero = first->from_s;
  const double into_bath = bath != nullptr ? bath->from_s - zero : 0;
  double end = last->to_s - zero;
  if (bath != nullptr)
    end = std::min(end, std::max(bath->to_s - zero, 60.0));
  if (!(end > 0))
    return;
  Axis x;
  x.logarithmic = true;
  x.from = std::min(round_125(into_bath >= 1 ? into_bath / 4 : 0.1, false), end / 10);
  x.to = std::max(round_125(end, true), x.from * 10);
  x.ticks = decade_ticks(x.from, x.to);
  x.unit = "s";
  x.name = c.heated() ? "seconds from leaving the furnace, logarithmic"
                      : "seconds from the start of cooling, logarithmic";
  Chart chart(svg, plot, x, temperature_axis(hottest_of(run, zero, zero + end, false)));
  chart.frame(title);
  const std::vector<Line> lines = zone_lines(run, chart, zero);
  const double words_wide = plot.width > 420 ? 240 : 150; // of a level, in 13 points
  if (bath != nullptr) {
    chart.marker(into_bath, "into the bath", plot.top + 17);
    chart.clear_level(c.bath().temperature_degC,
                      "bath " + temperature_markup(c.bath().temperature_degC, svg.on_page()), words_wide,
                      lines, Chart::Place::above_left);
  }
  double ms = std::numeric_limits<double>::quiet_NaN();
  for (const answers::ZoneAnswer& zone : answer.zones)
    if (std::isfinite(zone.ms_degC) && !(ms >= zone.ms_degC))
      ms = zone.ms_degC;
  if (!c.steel.inert && std::isfinite(ms)) {
    // near the bath's own level both would seek the same place
    const bool apart = bath == nullptr || std::abs(chart.py(ms) - chart.py(c.bath().temperature_degC)) > 36;
    const std::string words =
        (plot.width > 420 ? "martensite starts, " : "Ms ") + temperature_markup(ms, svg.on_page());
    if (apart)
      chart.clear_level(ms, words, words_wide, lines, Chart::Place::below_left);
    else
      chart.level(ms, words, Chart::Place::above_right);
  }
  draw_lines(chart, lines);
  name_lines(svg, chart, lines, true);
}

void draw_whole(Svg& svg, const Run& run, const Box& plot, const std::string& title) {
  const double zero = run.time_s.front(), length = run.time_s.back() - zero;
  if (!(length > 0))
    return;
  Axis x;
  x.to = length;
  x.tick_unit = length > 10800 ? 3600 : length > 180 ? 60 : 1;
  x.unit = x.tick_unit > 60 ? "h" : x.tick_unit > 1 ? "min" : "s";
  x.ticks = even_ticks(length, x.tick_unit);
  x.name = std::string(x.tick_unit > 60  ? "hours"
                       : x.tick_unit > 1 ? "minutes"
                                         : "seconds") +
           " from the start";
  Chart chart(svg, plot, x, temperature_axis(hottest_of(run, zero, zero + length, true)));
  chart.frame(title);
  chart.curve(chart.points(run.time_s, run.surroundings_degC, zero), "surroundings", Tone::faint, 1.6);
  const std::vector<Line> lines = zone_lines(run, chart, zero);
  draw_lines(chart, lines);
  name_lines(svg, chart, lines, false);
}

} // namespace tq::output
