// Cooling curves over the transformation diagram that follows from the steel's own clocks.
#include "output/chart.hpp"
#include "output/drawings.hpp"
#include "output/text.hpp"
#include "steel/diagram.hpp"
#include "steel/grain.hpp"
#include "steel/transformation.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace tq::output {

using treatment::Run;

namespace {

/// When a zone passes `level` for the last time before it is quenched; NaN when it never does.
double passes(const Run& run, const std::vector<double>& T, double level, double from) {
  double at = NAN;
  for (std::size_t k = 1; k < T.size() && k < run.time_s.size(); ++k)
    if (run.time_s[k] > from && T[k - 1] >= level && T[k] < level) {
      at = run.time_s[k - 1] + (run.time_s[k] - run.time_s[k - 1]) * (T[k - 1] - level) / (T[k - 1] - T[k]);
      break;
    }
  return at;
}

struct Starts {
  std::vector<double> time, T;
};

/// At the slow end of the line, where the cooling curves are long past.
void name_starts(Svg& svg, const Chart& chart, const Starts& starts, const std::string& name, Tone tone) {
  const std::vector<Point> points = chart.points(starts.time, starts.T);
  if (points.size() < 2)
    return;
  svg.words(chart.plot().right() - 8, points.back().y - 9, name, {14, "end", tone, true, true});
}

/// Steady cooling from Ae1: where 1 % of each reaction is there, from rates that just miss it to slow ones.
std::pair<Starts, Starts> starts_of(const steel::Decomposition& d, const records::SteelRecord& steel_record,
                                    double carbon) {
  Starts pearlite, bainite;
  const steel::CriticalRate critical = steel::critical_rate(d);
  const double fastest = std::max(critical.pearlite, critical.bainite);
  constexpr int rates = 36;
  for (int k = 0; k < rates && std::isfinite(fastest) && fastest > 0; ++k) {
    const double rate = fastest * math::pow(10.0, -2.6 * k / (rates - 1)) * 0.9999;
    const steel::CoolingResult r = steel::cool_at_constant_rate(
        d, steel::martensite_rate(steel_record, carbon), rate, std::max(d.ms(), 20.0));
    const auto add = [&](Starts& to, double T) {
      if (std::isfinite(T)) {
        to.time.push_back((d.ae1() - T) / rate);
        to.T.push_back(T);
      }
    };
    add(pearlite, r.pearlite_start_degC);
    add(bainite, r.bainite_start_degC);
  }
  return {pearlite, bainite};
}

/// The starts with their doubt, a factor either way.
void draw_starts(Svg& svg, Chart& chart, const Starts& pearlite, const Starts& bainite, double band) {
  for (const auto& [starts, tone, name] :
       {std::tuple{&pearlite, Tone::pearlite, "pearlite"}, std::tuple{&bainite, Tone::bainite, "bainite"}}) {
    if (starts->time.size() < 2)
      continue;
    const auto shifted = [&, s = starts](double factor) {
      std::vector<double> time = s->time;
      for (double& t : time)
        t *= factor;
      return chart.points(time, s->T);
    };
    std::vector<Point> ring = shifted(1 / band), back = shifted(band);
    ring.insert(ring.end(), back.rbegin(), back.rend());
    svg.area(ring, tone, 0.18);
    chart.curve(shifted(1), std::string("1 % ") + name, tone, 2);
  }
}

/// How the zones cool until `to_s`, each from its own zero.
std::vector<Line> zone_lines(const Chart& chart, const Run& run, const std::array<treatment::Zone, 3>& zones,
                             const double (&zero_s)[3], double to_s) {
  std::vector<Line> lines;
  const std::array<std::tuple<Tone, const char*, double>, 3> looks = {
      {{Tone::spine, "", 2.6}, {Tone::middle, "9 4", 2.4}, {Tone::edge, "3 3", 2.6}}};
  for (std::size_t z = 0; z < zones.size(); ++z) {
    std::vector<double> time, T;
    for (std::size_t k = 0; k < run.time_s.size() && run.time_s[k] <= to_s; ++k)
      if (run.time_s[k] >= zero_s[z]) {
        time.push_back(run.time_s[k]);
        T.push_back(run.zones[zones[z]].temperature[k]);
      }
    const auto& [tone, dash, width] = looks[z];
    lines.push_back({treatment::zone_name(zones[z]), tone, dash, width, chart.points(time, T, zero_s[z])});
  }
  return lines;
}

} // namespace

bool has_transformation(const treatment::Case& c, const Run& run) {
  return !c.steel.inert && has_cooling(run) && !run.after_cool.carbon.empty() && !run.zone_column.empty();
}

void draw_transformation(Svg& svg, const treatment::Case& c, const Run& run, const Box& plot,
                         const std::string& title) {
  const int row = run.grid.half ? 0 : (run.grid.ny - 1) / 2;
  const auto node = static_cast<std::size_t>(row * run.grid.nx + run.zone_column[treatment::zone_thickest]);
  const double carbon = run.after_cool.carbon[node];
  const double in_solution = carbon > 0 ? carbon : c.steel.composition.C;
  const steel::Decomposition d(c.steel, in_solution, steel::grain_number(run.after_cool.grain[node]));

  const auto [pearlite, bainite] = starts_of(d, c.steel, in_solution);

  double from = 0, latest = 1, zero_s[3] = {NAN, NAN, NAN};
  for (const treatment::StepSpan& span : run.spans)
    if (span.step >= run.hardening.done[0]) {
      from = span.from_s - 1e-9;
      break;
    }
  const std::array<treatment::Zone, 3> zones = {treatment::zone_spine, treatment::zone_middle,
                                                treatment::zone_edge};
  double to_s = run.time_s.back();
  for (const treatment::StepSpan& span : run.spans)
    if (span.step >= run.hardening.after(treatment::Part::cool)) {
      to_s = span.from_s;
      break;
    }
  for (std::size_t z = 0; z < zones.size(); ++z) {
    const std::vector<double>& T = run.zones[zones[z]].temperature;
    zero_s[z] = passes(run, T, d.ae1(), from);
    if (std::isnan(zero_s[z]))
      zero_s[z] = from;
    const double ms = passes(run, T, d.ms() + 1, from);
    latest = std::max(latest, (std::isfinite(ms) ? ms : to_s) - zero_s[z]);
  }
  for (const Starts* s : {&pearlite, &bainite})
    if (!s->time.empty())
      latest = std::max(latest, *std::min_element(s->time.begin(), s->time.end()) * 8);

  Axis x;
  x.logarithmic = true;
  x.from = 0.1;
  x.to = round_125(std::clamp(latest, 20.0, 1e5), true);
  x.ticks = decade_ticks(x.from, x.to);
  x.unit = "s";
  x.name = "seconds since the zone passed Ae1, logarithmic";
  Axis y = temperature_axis(d.ae1());
  constexpr double room_K = 75; // for the name above a start line, in the lowest of the charts
  y.to = std::ceil((d.ae1() + room_K) / 50) * 50;
  Chart chart(svg, plot, x, y);
  chart.frame(title);

  draw_starts(svg, chart, pearlite, bainite, c.steel.transformation.factor_uncertainty);
  const std::vector<Line> lines = zone_lines(chart, run, zones, zero_s, to_s);
  constexpr double words_wide = 140; // "Ms 224 °C (435 °F)" in 13 points
  chart.clear_level(d.ms(), "Ms " + temperature_markup(d.ms(), svg.on_page()), words_wide, lines,
                    Chart::Place::below_left);
  draw_lines(chart, lines);
  name_lines(svg, chart, lines, true);
  name_starts(svg, chart, pearlite, "1 % pearlite", Tone::pearlite);
  name_starts(svg, chart, bainite, "1 % bainite", Tone::bainite);
}

} // namespace tq::output
