// Temperature of the bath while the blade is in it, against what it must not reach.
#include "answers/bath_limit.hpp"
#include "output/chart.hpp"
#include "output/drawings.hpp"
#include "output/text.hpp"

#include <algorithm>
#include <cmath>

namespace tq::output {

std::optional<Drawing> draw_bath(const treatment::Case& c, const treatment::Run& run) {
  const treatment::StepSpan* span = treatment::span_of(run, treatment::Part::bath);
  if (span == nullptr || !(span->to_s > span->from_s) || c.bath().volume_m3 <= 0 ||
      c.bath().coolant.kind == records::CoolantKind::air)
    return {};
  std::vector<double> time, T;
  for (std::size_t k = 0; k < run.time_s.size() && k < run.surroundings_degC.size(); ++k)
    if (run.time_s[k] >= span->from_s && run.time_s[k] <= span->to_s) {
      // At the very start of the stage the step still belongs to the air before it.
      if (!time.empty() || std::abs(run.surroundings_degC[k] - c.bath().temperature_degC) < 1) {
        time.push_back(run.time_s[k]);
        T.push_back(run.surroundings_degC[k]);
      }
    }
  while (T.size() > 1 && std::abs(T.back() - span->bath_end_degC) > 1) { // nor does its last one
    T.pop_back();
    time.pop_back();
  }
  if (T.size() < 2)
    return {};
  const double lowest = *std::min_element(T.begin(), T.end()),
               highest = *std::max_element(T.begin(), T.end());
  Axis x;
  x.to = span->to_s - span->from_s;
  x.unit = "s";
  x.ticks = even_ticks(x.to, 1, 7);
  x.name = "seconds in the bath";
  Axis y;
  y.temperature = true;
  y.from = std::floor(lowest / 20) * 20;
  y.to = std::ceil((highest + 5) / 20) * 20;
  const auto& oil = c.bath().coolant;
  const answers::BathLimit limit = answers::bath_limit(c.bath(), c.thresholds.flash_margin_K);
  if (oil.recommended_to_degC > oil.recommended_from_degC) {
    y.from = std::min(y.from, std::floor(oil.recommended_from_degC / 20) * 20);
    y.to = std::max(y.to, std::ceil((oil.recommended_to_degC + 5) / 20) * 20);
  }
  const bool near = limit.degC < highest + 120; // a limit far away would flatten the curve
  if (near)
    y.to = std::max(y.to, std::ceil((limit.degC + 20) / 20) * 20);
  Drawing drawing{Svg(Palette::page), 500, 300, "Temperature of the bath", ""};
  Svg& svg = drawing.svg;
  Chart chart(svg, {52, 32, 396, 210}, x, y);
  chart.frame("");
  if (oil.recommended_to_degC > oil.recommended_from_degC) {
    const Box usual{chart.plot().left, chart.py(oil.recommended_to_degC), chart.plot().width,
                    chart.py(oil.recommended_from_degC) - chart.py(oil.recommended_to_degC)};
    svg.box(usual, Tone::wanted, Tone::none);
    svg.words(usual.right() - 8, usual.bottom() - 6, "usual range", {13, "end", Tone::faint, false, true});
  }
  if (near)
    chart.level(limit.degC,
                "limit " + temperature_markup(limit.degC, true) + ": there " + xml_escaped(limit.by),
                Chart::Place::above_left);
  std::vector<double> since = time;
  for (double& t : since)
    t -= span->from_s;
  const std::vector<Point> curve = chart.points(since, T);
  chart.curve(curve, "bath", Tone::spine, 2.6);
  if (!curve.empty())
    svg.marked(curve.back().x - 8, curve.back().y - 10, "ends at " + temperature_markup(T.back(), true),
               {14, "end", Tone::spine, true, true});
  if (std::isfinite(limit.degC) && !near)
    svg.marked(chart.plot().right() - 8, chart.plot().top + 18,
               "far below its limit of " + temperature_markup(limit.degC, true), {13, "end", Tone::faint});
  drawing.description = "The bath warms from " + temperature_text(T.front()) + " to " +
                        temperature_text(T.back()) + " while the blade is in it.";
  return drawing;
}

} // namespace tq::output
