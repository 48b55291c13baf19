// Hardness against the temperature of the temper, for the cycles of the case.
#include "answers/temper_forecast.hpp"
#include "output/chart.hpp"
#include "output/drawings.hpp"
#include "output/text.hpp"

#include <algorithm>
#include <cmath>

namespace tq::output {

std::optional<Drawing> draw_temper_curve(const treatment::Case& c, const treatment::Run& run,
                                         const answers::StationAnswer& answer) {
  const std::optional<answers::TemperForecast> forecast = answers::TemperForecast::of(c, run, answer);
  if (!forecast)
    return {};
  const answers::ZoneAnswer& zone = forecast->zone();
  const std::string place = &zone == &answer.zones[treatment::zone_thickest] ? "" : zone.name + " ";
  const records::TemperCurve& table = c.steel.temper;
  const double band = forecast->band(), set = c.oven().oven_degC;

  Axis x;
  x.temperature = true;
  x.from = std::floor(std::min(set - 40, table.temperature_degC.front()) / 50) * 50;
  x.to = std::min(std::ceil(std::max(set + 60, 350.0) / 50) * 50, 650.0);
  x.to = std::max(x.to, x.from + 100);
  x.ticks = plain_ticks(x.from, x.to, 6);
  x.name = formatted("oven, %d x ", c.tempers()) + hours_text(c.oven().time_s);
  std::vector<double> T, hrc;
  for (double t = x.from; t <= x.to + 1e-9; t += (x.to - x.from) / 100) {
    T.push_back(t);
    hrc.push_back(forecast->hrc(t));
  }
  Axis y;
  y.name = "HRC";
  y.unit = "HRC";
  y.from = std::floor((std::min(*std::min_element(hrc.begin(), hrc.end()),
                                answer.wish.stated() ? answer.wish.from : 99.0) -
                       band) /
                      5) *
           5;
  y.to = std::ceil((std::max(*std::max_element(hrc.begin(), hrc.end()), answer.wish.to) + band) / 5) * 5;
  y.ticks = plain_ticks(y.from, y.to, 7);

  Drawing drawing{Svg(Palette::page), 500, 376, "Hardness against temper temperature", ""};
  Chart chart(drawing.svg, {52, 32, 396, 272}, x, y);
  chart.frame("");
  if (answer.wish.stated()) {
    const Box wanted{chart.plot().left, chart.py(answer.wish.to), chart.plot().width,
                     chart.py(answer.wish.from) - chart.py(answer.wish.to)};
    drawing.svg.box(wanted, Tone::wanted, Tone::none);
    drawing.svg.words(wanted.right() - 8, wanted.bottom() - 6, "wanted",
                      {13, "end", Tone::faint, false, true});
  }
  if (c.steel.brittle_to_degC > c.steel.brittle_from_degC && c.steel.brittle_from_degC < x.to) {
    const double a = chart.px(std::max(c.steel.brittle_from_degC, x.from)),
                 b = chart.px(std::min(c.steel.brittle_to_degC, x.to));
    if (b > a) {
      drawing.svg.line({a, chart.plot().bottom() - 8}, {b, chart.plot().bottom() - 8}, Tone::edge, 4, "2 3");
      drawing.svg.words((a + b) / 2, chart.plot().bottom() - 15, "brittle range",
                        {13, "middle", Tone::edge, true, true});
    }
  }
  std::vector<double> above = hrc, below = hrc;
  for (std::size_t k = 0; k < hrc.size(); ++k) {
    above[k] += band;
    below[k] -= band;
  }
  std::vector<Point> ring = chart.points(T, above), back = chart.points(T, below);
  ring.insert(ring.end(), back.rbegin(), back.rend());
  drawing.svg.area(ring, Tone::spine, 0.18);
  chart.curve(chart.points(T, hrc), "hardness", Tone::spine, 2.6);
  const Point at{chart.px(set), chart.py(zone.tempered_HRC)};
  drawing.svg.line({at.x, chart.py(zone.tempered_HRC + band)}, {at.x, chart.py(zone.tempered_HRC - band)},
                   Tone::ink, 2);
  drawing.svg.dot(at, Tone::ink, 5);
  const std::string told = place + hrc_text(zone.tempered_HRC) + " HRC at ";
  constexpr double letter_width = 9.8, temperature_width = 150; // of bold 14, about
  const double wide = letter_width * static_cast<double>(told.size()) + temperature_width;
  drawing.svg.marked(std::min(at.x + 10, 500 - wide), chart.py(zone.tempered_HRC + band) - 8,
                     told + temperature_markup(set, true), {14, "start", Tone::ink, true, true});
  drawing.description = "Hardness falls from " + hrc_text(hrc.front()) + " to " + hrc_text(hrc.back()) +
                        " HRC over the range shown; chosen: " + temperature_text(set) + ", " +
                        hrc_text(zone.tempered_HRC) + " HRC, " + band_text(band) + ", " + zone.name + ".";
  return drawing;
}

} // namespace tq::output
