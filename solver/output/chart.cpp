#include "output/chart.hpp"

#include "output/text.hpp"
#include "units/math.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>

namespace tq::output {

std::string temperature_markup(double degC, bool on_page) {
  const auto whole = [](double x) { return std::round(x) + 0.0; }; // no "-0"
  const std::string c = formatted("%.0f \u00b0C", whole(degC)),
                    f = formatted("%.0f \u00b0F", whole(degC * 1.8 + 32));
  if (!on_page)
    return c + " (" + f + ")";
  return "<tspan class=\"tC\">" + c + "</tspan><tspan class=\"both\"> (</tspan><tspan class=\"tF\">" + f +
         "</tspan><tspan class=\"both\">)</tspan>";
}

std::vector<double> decade_ticks(double from, double to) {
  std::vector<double> ticks;
  const bool many = to / from > 2e3; // only whole decades then, the figures would touch
  for (double decade = math::pow(10, std::floor(math::log10(from) + 1e-9)); decade <= to * 1.0001;
       decade *= 10)
    for (const double k : {1.0, 2.0, 5.0})
      if ((k == 1 || !many) && k * decade >= from * (1 - 1e-9) && k * decade <= to * (1 + 1e-9))
        ticks.push_back(k * decade);
  return ticks;
}

std::vector<double> even_ticks(double to, double unit, int most) {
  double step = 1;
  for (const double s : {1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 60.0, 120.0, 240.0, 600.0}) {
    step = s;
    if (to / unit / s <= most)
      break;
  }
  std::vector<double> ticks;
  for (double t = 0; t <= to / unit + 1e-9; t += step)
    ticks.push_back(t * unit);
  return ticks;
}

std::vector<double> plain_ticks(double from, double to, int most) {
  std::vector<double> ticks;
  if (!(to > from))
    return ticks;
  const double step = round_125((to - from) / most, true);
  for (double t = std::ceil(from / step - 1e-9) * step; t <= to + 1e-9 * step; t += step)
    ticks.push_back(std::abs(t) < 1e-9 * step ? 0 : t); // no "-0"
  return ticks;
}

double round_125(double value, bool up) {
  const double decade = math::pow(10, std::floor(math::log10(value)));
  double best = up ? 10 * decade : decade;
  for (const double f : {1.0, 2.0, 5.0, 10.0}) {
    const double v = f * decade;
    if (up ? (v >= value * (1 - 1e-9) && v < best) : (v <= value * (1 + 1e-9) && v > best))
      best = v;
  }
  return best;
}

Axis temperature_axis(double hottest) {
  Axis y;
  y.to = std::max(200.0, std::ceil((hottest + 20) / 100) * 100);
  y.temperature = true;
  return y;
}

Chart::Chart(Svg& svg, const Box& plot, Axis x, Axis y)
    : svg_(svg), plot_(plot), x_(std::move(x)), y_(std::move(y)) {}

double Chart::px(double x) const {
  const double share = x_.logarithmic ? math::log(x / x_.from) / math::log(x_.to / x_.from)
                                      : (x - x_.from) / (x_.to - x_.from);
  return plot_.left + plot_.width * share;
}

double Chart::py(double y) const {
  return plot_.top + plot_.height * (1 - (y - y_.from) / (y_.to - y_.from));
}

void Chart::temperature_scale() {
  const double span = y_.to - y_.from, left = plot_.left, right = plot_.right();
  const double step = span > 500 ? 200 : span > 200 ? 50 : 20;
  const double step_F = span > 500 ? 400 : span > 200 ? 100 : 50;
  const auto lowest = [](double from, double by) { return std::ceil(from / by - 1e-9) * by + 0.0; };
  svg_.open("tC");
  for (double degC = lowest(y_.from, step); degC <= y_.to + 1e-9; degC += step) {
    svg_.line({left, py(degC)}, {right, py(degC)}, Tone::hair);
    svg_.words(left - 8, py(degC) + 4.5, formatted("%.0f", degC), {13, "end"});
  }
  svg_.words(left - 8, plot_.top - 14, "\u00b0C", {13, "end"});
  svg_.close();
  const double first_F = std::max(step_F, lowest(y_.from * 1.8 + 32, step_F));
  svg_.open("both");
  for (double degF = first_F; (degF - 32) / 1.8 <= y_.to; degF += step_F) {
    const double y = py((degF - 32) / 1.8);
    svg_.line({right, y}, {right + 5, y}, Tone::faint);
    svg_.words(right + 9, y + 4.5, formatted("%.0f", degF), {13, "start", Tone::faint});
  }
  svg_.words(right + 9, plot_.top - 14, "\u00b0F", {13, "start", Tone::faint});
  svg_.close();
  if (!svg_.on_page())
    return;
  svg_.open("onlyF");
  for (double degF = first_F; (degF - 32) / 1.8 <= y_.to; degF += step_F) {
    const double y = py((degF - 32) / 1.8);
    svg_.line({left, y}, {right, y}, Tone::hair);
    svg_.words(left - 8, y + 4.5, formatted("%.0f", degF), {13, "end"});
  }
  svg_.words(left - 8, plot_.top - 14, "\u00b0F", {13, "end"});
  svg_.close();
}

void Chart::plain_scale() {
  for (const double v : y_.ticks) {
    svg_.line({plot_.left, py(v)}, {plot_.right(), py(v)}, Tone::hair);
    svg_.words(plot_.left - 8, py(v) + 4.5, formatted("%g", v / y_.tick_unit), {13, "end"});
  }
  svg_.words(plot_.left - 8, plot_.top - 14, y_.name, {13, "end"});
}

void Chart::frame(const std::string& title) {
  if (svg_.on_page()) // for reading off with the pointer
    svg_.add(
        formatted("<g class=\"chart\" data-plot=\"%.1f %.1f %.1f %.1f\" data-x=\"%g %g %d %g\" "
                  "data-y=\"%g %g\" data-units=\"",
                  plot_.left, plot_.top, plot_.width, plot_.height, x_.from, x_.to, x_.logarithmic ? 1 : 0,
                  x_.tick_unit, y_.from, y_.to) +
        xml_escaped((x_.temperature ? "\u00b0C" : x_.unit) + "|" + (y_.temperature ? "\u00b0C" : y_.unit)) +
        "\"></g>");
  if (!title.empty())
    svg_.words(plot_.left, plot_.top - (svg_.on_page() ? 14 : 16), title, {16, "start", Tone::ink, true});
  if (y_.temperature)
    temperature_scale();
  else
    plain_scale();
  const auto ticks = [&](bool fahrenheit) {
    for (const double tick : x_.ticks) {
      const double at = fahrenheit ? (tick - 32) / 1.8 : tick;
      svg_.line({px(at), plot_.top}, {px(at), plot_.bottom()}, Tone::hair);
      svg_.line({px(at), plot_.bottom()}, {px(at), plot_.bottom() + 5}, Tone::ink);
      svg_.words(px(at), plot_.bottom() + 20, formatted("%g", tick / x_.tick_unit), {13, "middle"});
    }
  };
  double below = plot_.bottom() + 40;
  if (x_.temperature) {
    ticks(false);
    svg_.words(plot_.right() + 20, plot_.bottom() + 20, "\u00b0C", {13, "start"});
    const double from_F = x_.from * 1.8 + 32, to_F = x_.to * 1.8 + 32;
    for (const double degF : plain_ticks(from_F, to_F, 6))
      svg_.words(px((degF - 32) / 1.8), plot_.bottom() + 37, formatted("%g", degF),
                 {13, "middle", Tone::faint});
    svg_.words(plot_.right() + 20, plot_.bottom() + 37, "\u00b0F", {13, "start", Tone::faint});
    below += 16;
  } else {
    ticks(false);
  }
  svg_.box(plot_, Tone::none, Tone::ink, 1);
  svg_.words(plot_.left + plot_.width / 2, below, x_.name, {14, "middle"});
}

std::vector<Point> Chart::points(const std::vector<double>& x, const std::vector<double>& y,
                                 double zero) const {
  std::vector<Point> all;
  const std::size_t n = std::min(x.size(), y.size());
  const auto push = [&](double at, double v) {
    if (std::isfinite(v))
      all.push_back({px(at), py(std::clamp(v, y_.from, y_.to))});
  };
  for (std::size_t k = 0; k < n; ++k) {
    const double t = x[k] - zero;
    if (k > 0) {
      const double before = x[k - 1] - zero;
      for (const double bound : {x_.from, x_.to})
        if (before < bound && bound < t)
          push(bound, y[k - 1] + (y[k] - y[k - 1]) * (bound - before) / (t - before));
    }
    // Two steps stand at the end of a stage; the second already sees the next one's surroundings.
    if (t > x_.to * (1 - 1e-12) && k > 0 && x[k - 1] - zero > x_.to * (1 - 1e-12))
      break;
    if (t >= x_.from && t <= x_.to)
      push(t, y[k]);
  }
  return thinned(all);
}

void Chart::curve(const std::vector<Point>& points, const std::string& name, Tone tone, double width,
                  const char* dash) {
  if (points.size() < 2)
    return;
  if (svg_.on_page() && !name.empty())
    svg_.add("<g data-curve=\"" + xml_escaped(name) + "\">");
  svg_.curve(points, tone, width, dash);
  if (svg_.on_page() && !name.empty())
    svg_.close();
}

void Chart::marker(double x, const std::string& text, double text_y) {
  if (!(x > x_.from && x < x_.to))
    return;
  svg_.line({px(x), plot_.top}, {px(x), plot_.bottom()}, Tone::faint, 1, "2 4");
  svg_.words(px(x) + 6, text_y, text, {13, "start", Tone::faint, false, true});
}

void Chart::level(double y, const std::string& markup, Place place) {
  if (!(y > y_.from && y < y_.to))
    return;
  svg_.line({plot_.left, py(y)}, {plot_.right(), py(y)}, Tone::faint, 1, "6 4");
  const bool right = place == Place::above_right;
  svg_.marked(right ? plot_.right() - 8 : plot_.left + 8, py(y) + (place == Place::below_left ? 15 : -6),
              markup, {13, right ? "end" : "start", Tone::faint, false, true});
}

void Chart::clear_level(double y, const std::string& markup, double wide, const std::vector<Line>& lines,
                        Place usual) {
  if (!(y > y_.from && y < y_.to))
    return;
  constexpr double high = 14;
  const auto hidden = [&](double left, bool above) {
    const double top = above ? py(y) - high - 3 : py(y) + 3;
    std::size_t n = top < plot_.top || top + high > plot_.bottom() ? 1000 : 0;
    for (const Line& line : lines)
      for (std::size_t k = 1; k < line.points.size(); ++k)
        for (const double share : {0.0, 0.2, 0.4, 0.6, 0.8}) {
          const Point a = line.points[k - 1], b = line.points[k];
          const double x = a.x + share * (b.x - a.x), height = a.y + share * (b.y - a.y);
          n += x > left - 3 && x < left + wide + 3 && height > top && height < top + high ? 1 : 0;
        }
    return n;
  };
  const double first = plot_.left + 8, last = plot_.right() - 8 - wide;
  double left = usual == Place::above_right ? last : first;
  bool above = usual != Place::below_left;
  std::size_t fewest = hidden(left, above);
  constexpr int steps = 12;
  for (int k = 0; k <= steps && last > first; ++k)
    for (const bool on_top : {above, !above}) {
      const double at = first + (last - first) * k / steps;
      if (const std::size_t n = hidden(at, on_top); n < fewest) {
        fewest = n;
        left = at;
        above = on_top;
      }
    }
  svg_.line({plot_.left, py(y)}, {plot_.right(), py(y)}, Tone::faint, 1, "6 4");
  svg_.marked(left, py(y) + (above ? -6 : 15), markup, {13, "start", Tone::faint, false, true});
}

namespace {

/// Where a curve passes height `y` for the first time.
double crossing(const std::vector<Point>& points, double y, double otherwise) {
  for (std::size_t k = 1; k < points.size(); ++k) {
    const Point a = points[k - 1], b = points[k];
    if ((a.y - y) * (b.y - y) <= 0 && a.y != b.y)
      return a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y);
  }
  return otherwise;
}

} // namespace

constexpr double name_letter_width = 9; ///< of the bold names of curves, about, in points of 14

std::vector<Line> zone_lines(const treatment::Run& run, const Chart& chart, double zero) {
  std::vector<Line> lines;
  const std::array<std::tuple<treatment::Zone, Tone, const char*, double>, 3> looks = {
      {{treatment::zone_spine, Tone::spine, "", 2.6},
       {treatment::zone_middle, Tone::middle, "9 4", 2.4},
       {treatment::zone_edge, Tone::edge, "3 3", 2.6}}};
  for (const auto& [zone, tone, dash, width] : looks)
    if (static_cast<std::size_t>(zone) < run.zones.size())
      lines.push_back(
          {treatment::zone_name(zone), tone, dash, width,
           chart.points(run.time_s, run.zones[static_cast<std::size_t>(zone)].temperature, zero)});
  return lines;
}

void draw_lines(Chart& chart, const std::vector<Line>& lines) {
  for (const Line& line : lines)
    chart.curve(line.points, line.name, line.tone, line.width, line.dash);
}

void name_lines(Svg& svg, const Chart& chart, std::vector<Line> lines, bool falling) {
  double highest = chart.plot().bottom(), lowest = chart.plot().top;
  for (const Line& line : lines)
    for (const Point& p : line.points) {
      highest = std::min(highest, p.y);
      lowest = std::max(lowest, p.y);
    }
  if (lines.empty() || lowest - highest < 40)
    return;
  const auto height = [&](double share) { return highest + share * (lowest - highest); };
  const auto x_at = [&](const Line& line, double share) {
    return crossing(line.points, height(share), chart.plot().left);
  };
  std::sort(lines.begin(), lines.end(),
            [&](const Line& a, const Line& b) { return x_at(a, 0.5) < x_at(b, 0.5); });
  if (x_at(lines.back(), 0.5) - x_at(lines.front(), 0.5) < 14) {
    std::string names;
    for (const Line& line : lines)
      names += (names.empty() ? "" : ", ") + line.name;
    const double x = x_at(lines.back(), 0.5);
    const double side = x + 180 < chart.plot().right() ? 1 : -1;
    svg.words((side > 0 ? x : x_at(lines.front(), 0.5)) + side * 10, height(0.5) + 4.5, names,
              {14, side > 0 ? "start" : "end", Tone::ink, false, true});
    return;
  }
  for (std::size_t k = 0; k < lines.size(); ++k) {
    const bool first = k == 0;
    const double part = static_cast<double>(k) / static_cast<double>(lines.size());
    // A falling curve leaves room below left and above right, a rising one above left and below right.
    const double share = falling ? (first ? 0.5 : 0.58 - 0.36 * part) : (first ? 0.3 : 0.45 + 0.36 * part);
    const double x = x_at(lines[k], share), y = height(share);
    const double wide = name_letter_width * static_cast<double>(lines[k].name.size());
    const bool room_left = x - 10 - wide > chart.plot().left + 4;
    if (first && room_left) {
      svg.words(x - 10, y + 4.5, lines[k].name, {14, "end", lines[k].tone, true, true});
      continue;
    }
    double clear = x;
    for (const Line& other : lines)
      if (!first) // beside the first alone: the others begin far from it
        clear = std::max(clear, x_at(other, share));
    svg.dot({x, y}, lines[k].tone);
    const bool room = clear + 25 + wide < chart.plot().right() - 4;
    if (room || !room_left) {
      svg.line({x, y}, {clear + (first ? 5 : 20), y}, lines[k].tone, 0.9);
      svg.words(clear + (first ? 9 : 25), y + 4.5, lines[k].name, {14, "start", lines[k].tone, true, true});
    } else {
      svg.words(x - 10, y + 4.5, lines[k].name, {14, "end", lines[k].tone, true, true});
    }
  }
}

double hottest_of(const treatment::Run& run, double from, double to, bool with_surroundings) {
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

} // namespace tq::output
