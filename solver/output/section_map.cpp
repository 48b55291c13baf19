#include "output/section_map.hpp"

#include "output/text.hpp"
#include "steel/hardness.hpp"

#include <algorithm>
#include <cmath>

namespace tq::output {
namespace {

using answers::StationAnswer;
using treatment::Case;
using treatment::Part;
using treatment::Run;

double tick_for(double span) {
  for (const double tick : {0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0})
    if (span / tick <= 6)
      return tick;
  return 1000;
}

bool all_finite(const std::vector<double>& values) {
  return !values.empty() &&
         std::all_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
}

bool tempered(const Case& c) { return c.tempered(); }

/// Figures of the zones read from the field itself, on the centre line.
void read_zones(Shade& shade, const Run& run, const WholeSection& whole) {
  for (std::size_t z = 0; z < shade.at_zone.size() && z < run.zone_column.size(); ++z) {
    const int row = run.grid.half ? run.grid.ny - 1 : (run.grid.ny - 1) / 2;
    const double v = shade.value[static_cast<std::size_t>(row * whole.ni + run.zone_column[z])];
    shade.at_zone[z] = formatted("%.*f", shade.digits, v) + (shade.unit.empty() ? "" : " " + shade.unit);
  }
}

void draw_scale_bar(Svg& svg, Point at, double scale, double room) {
  double length = 1e-4;
  for (const double mm : {0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0})
    if (mm * 1e-3 * scale <= room)
      length = mm * 1e-3;
  const double px = length * scale;
  svg.line(at, {at.x + px, at.y}, Tone::ink, 2);
  svg.line({at.x, at.y - 4}, {at.x, at.y + 4}, Tone::ink, 1.5);
  svg.line({at.x + px, at.y - 4}, {at.x + px, at.y + 4}, Tone::ink, 1.5);
  const std::string mm = formatted("%g mm", length * 1e3), in = formatted("%.2g in", length / 0.0254);
  if (svg.on_page())
    svg.marked(at.x + px + 8, at.y + 4.5,
               "<tspan class=\"tM\">" + mm + "</tspan><tspan class=\"onlyI\">" + in + "</tspan>", {13});
  else
    svg.words(at.x + px + 8, at.y + 4.5, mm, {13});
}

std::string colour_of(Ink ink, double share) {
  return ink == Ink::grey ? map_grey(share) : map_colour(share);
}

void draw_colour_bar(Svg& svg, const Shade& shade, const Box& bar, const treatment::HardnessWish& wish,
                     Ink ink) {
  constexpr int pieces = 60;
  svg.add("<g shape-rendering=\"crispEdges\">");
  for (int k = 0; k < pieces; ++k)
    svg.swatch({bar.left + bar.width * k / pieces, bar.top, bar.width / pieces + 0.4, bar.height},
               colour_of(ink, (k + 0.5) / pieces));
  svg.close();
  svg.box(bar, Tone::none, Tone::ink, 0.8);
  constexpr double most_told = 5; // figures of four places would touch
  const int every = shade.tick < 1 && (shade.high - shade.low) / shade.tick > most_told ? 2 : 1;
  int k_tick = 0;
  for (double v = shade.low; v <= shade.high + 1e-9; v += shade.tick, ++k_tick) {
    const double at = bar.left + bar.width * shade.share(v);
    svg.line({at, bar.bottom()}, {at, bar.bottom() + 5}, Tone::ink);
    if (k_tick % every != 0)
      continue;
    const bool end_of_scale = shade.hardness && v <= 20;
    svg.words(at, bar.bottom() + 19,
              formatted(end_of_scale ? "\u2264 %.*f" : "%.*f", shade.tick < 1 ? 1 : 0, v), {13, "middle"});
  }
  svg.words(bar.right() + 14, bar.top + 13, shade.unit);
  const double from = std::max(wish.from, shade.low), to = std::min(wish.to, shade.high);
  if (shade.hardness && wish.stated() && to > from) {
    const double a = bar.left + bar.width * shade.share(from), b = bar.left + bar.width * shade.share(to);
    svg.line({a, bar.top - 6}, {b, bar.top - 6}, Tone::ink, 2);
    svg.line({a, bar.top - 10}, {a, bar.top - 2}, Tone::ink, 1.5);
    svg.line({b, bar.top - 10}, {b, bar.top - 2}, Tone::ink, 1.5);
    svg.words((a + b) / 2, bar.top - 13, "wanted", {13, "middle"});
  }
}

} // namespace

void set_bounds(Shade& shade, double least_span) {
  const auto [least, most] = std::minmax_element(shade.value.begin(), shade.value.end());
  shade.low = std::min(std::floor(*least), std::floor((*least + *most) / 2 - least_span / 2));
  shade.high = std::max(std::ceil(*most), shade.low + least_span);
  shade.tick = tick_for(shade.high - shade.low);
  shade.low = std::floor(shade.low / shade.tick) * shade.tick;
  shade.high = std::ceil(shade.high / shade.tick) * shade.tick;
}

bool differs(const Shade& shade) {
  constexpr double tester_HRC = 1, of_the_scale = 0.2;
  const auto [low, high] = std::minmax_element(shade.value.begin(), shade.value.end());
  return low != shade.value.end() &&
         *high - *low > (shade.hardness ? tester_HRC : of_the_scale * (shade.high - shade.low));
}

Shade main_shade(const Case& c, const Run& run, const StationAnswer& answer, const WholeSection& whole) {
  Shade shade;
  const auto zone_known = [&](const answers::ZoneAnswer& zone) {
    return std::isfinite(tempered(c) ? zone.tempered_HRC : zone.as_quenched_HRC);
  };
  const bool known =
      all_finite(run.final_HV) && std::any_of(answer.zones.begin(), answer.zones.end(), zone_known);
  if (known && !c.steel.inert) {
    shade.key = "hardness";
    shade.hardness = true;
    shade.value = whole.expand(run.final_HV);
    for (double& v : shade.value)
      v = std::clamp(steel::hrc_from_hv(v), 20.0, 68.0);
    shade.title = tempered(c) ? "Hardness after tempering" : "Hardness as quenched";
    shade.unit = "HRC";
    shade.digits = 1;
  } else if (!run.final_state.temperature.empty()) {
    shade.key = "temperature";
    shade.value = whole.expand(run.final_state.temperature);
    shade.title = "Temperature at the end";
    shade.unit = "\u00b0C";
    shade.temperature = true;
  } else {
    shade.key = "section";
    shade.value.assign(whole.x.size(), 0.0);
    shade.title = "Section";
  }
  set_bounds(shade, 4);
  if (shade.hardness && shade.low < 20) { // no Rockwell C below 20
    shade.low = 20;
    shade.high = std::max(shade.high, 24.0);
  }
  if (shade.hardness)
    for (std::size_t z = 0; z < shade.at_zone.size(); ++z)
      shade.at_zone[z] =
          hrc_text(tempered(c) ? answer.zones[z].tempered_HRC : answer.zones[z].as_quenched_HRC) + " HRC";
  return shade;
}

std::vector<Shade> section_shades(const Case& c, const Run& run, const StationAnswer& answer,
                                  const WholeSection& whole) {
  std::vector<Shade> shades = {main_shade(c, run, answer, whole)};
  const auto add = [&](const char* key, const char* title, const char* unit,
                       const std::vector<double>& solved, double factor, double offset, double least_span,
                       int digits, bool percent) {
    if (!all_finite(solved) || solved.size() != run.grid.nodes())
      return;
    Shade shade;
    shade.key = key;
    shade.title = title;
    shade.unit = unit;
    shade.digits = digits;
    shade.value = whole.expand(solved);
    for (double& v : shade.value)
      v = v * factor + offset;
    set_bounds(shade, least_span);
    if (percent) {
      shade.low = std::max(0.0, shade.low);
      shade.high = std::min(100.0, shade.high);
    }
    read_zones(shade, run, whole);
    shades.push_back(std::move(shade));
  };
  const bool cooled = c.carried() || c.quenched() || c.cooled();
  if (!c.steel.inert && cooled) {
    const treatment::NodeState& s = run.after_cool;
    std::vector<double> soft = s.pearlite;
    for (std::size_t n = 0; n < soft.size() && n < s.bainite.size(); ++n)
      soft[n] += s.bainite[n];
    add("martensite", "Martensite before tempering", "%", s.martensite, 100, 0, 10, 0, true);
    add("soft", "Pearlite and bainite", "%", soft, 100, 0, 10, 1, true);
    add("retained", "Retained austenite", "%", s.austenite, 100, 0, 10, 0, true);
  }
  if (c.heated())
    add("soak", "Time at temperature in the furnace", "min", run.after_furnace.time_at_temperature, 1.0 / 60,
        0, 2, 1, false);
  if (tempered(c) && !c.steel.inert)
    add("temper", "Temper reached, T (C + log t) / 1000", "", run.final_state.tempering, 1e-3, 0, 1, 2,
        false);
  return shades;
}

MapLayout column_layout() {
  MapLayout layout;
  layout.left = 12;
  layout.width = 476;
  layout.most_height = 96;
  layout.inset_width = 236;
  layout.inset_height = 116;
  layout.label_gap = 138;
  return layout;
}

void draw_section(Svg& svg, const WholeSection& whole, const Shade& shade, const Placement& place,
                  double from_m, Cells cells, Ink ink) {
  const auto node = [&](int i, int j) { return static_cast<std::size_t>(j * whole.ni + i); };
  const auto at = [&](std::size_t n) { return place.at(whole.x[n], whole.y[n]); };
  int first = 0;
  while (first + 2 < whole.ni && whole.x[node(first + 1, 0)] <= from_m)
    ++first;
  std::string group = "<g shape-rendering=\"crispEdges\""; // no seams between the pieces
  if (svg.on_page())
    group +=
        formatted(" class=\"map\" data-first=\"%d\" data-unit=\"", first) + xml_escaped(shade.unit) + "\"";
  svg.add(group + ">");
  for (int i = first; i + 1 < whole.ni; ++i) {
    // Neighbours of one colour become one piece.
    for (int j = 0; j + 1 < whole.nj;) {
      const auto mean_at = [&](int row) {
        return (shade.value[node(i, row)] + shade.value[node(i + 1, row)] + shade.value[node(i, row + 1)] +
                shade.value[node(i + 1, row + 1)]) /
               4;
      };
      const auto colour_at = [&](int row) {
        return colour_of(ink, std::round(shade.share(mean_at(row)) * 120) / 120);
      };
      const std::string colour = colour_at(j);
      int top = j + 1;
      while (cells == Cells::merged && top + 1 < whole.nj && colour_at(top) == colour)
        ++top;
      const Point a = at(node(i, j)), b = at(node(i + 1, j)), d = at(node(i + 1, top)), e = at(node(i, top));
      svg.add(formatted("<path d=\"M%.1f %.1fL%.1f %.1fL%.1f %.1fL%.1f %.1fZ\" fill=\"%s\"", a.x, a.y, b.x,
                        b.y, d.x, d.y, e.x, e.y, colour.c_str()) +
              (cells == Cells::merged // the same colour along the rim: no seams on paper either
                   ? formatted(" stroke=\"%s\" stroke-width=\".4\"", colour.c_str())
                   : "") +
              (svg.on_page() && cells == Cells::merged
                   ? formatted(" data-v=\"%.*f\"", std::max(shade.digits, 1), mean_at((j + top - 1) / 2))
                   : "") +
              "/>");
      j = top;
    }
  }
  svg.close();
  draw_outline(svg, whole, place, from_m);
}

void draw_outline(Svg& svg, const WholeSection& whole, const Placement& place, double from_m) {
  std::string outline;
  const auto go = [&](int i, int j) {
    const auto n = static_cast<std::size_t>(j * whole.ni + i);
    if (whole.x[n] < from_m)
      return;
    const Point p = place.at(whole.x[n], whole.y[n]);
    outline += formatted("%s%.1f %.1f", outline.empty() ? "M" : "L", p.x, p.y);
  };
  for (int i = 0; i < whole.ni; ++i)
    go(i, 0);
  for (int j = 1; j < whole.nj; ++j)
    go(whole.ni - 1, j);
  for (int i = whole.ni - 2; i >= 0; --i)
    go(i, whole.nj - 1);
  if (from_m <= 0)
    for (int j = whole.nj - 2; j >= 0; --j)
      go(0, j);
  svg.add("<path d=\"" + outline + "\" stroke-width=\"1.2\"" + svg.paint(Tone::none, Tone::ink) + "/>");
}

double draw_section_map(Svg& svg, const Case& c, const Run& run, const WholeSection& whole,
                        const Shade& shade, const MapLayout& layout, double top) {
  const double width = run.grid.x.back();
  const double high = *std::max_element(whole.y.begin(), whole.y.end());
  const double low = *std::min_element(whole.y.begin(), whole.y.end());
  const double room = layout.width, left = layout.left, right = layout.left + layout.width;
  const double scale = std::min(room / width, layout.most_height / (high - low));
  const double section_top = top + layout.header;
  const Placement place{left + (room - width * scale) / 2, section_top + high * scale, scale};
  draw_section(svg, whole, shade, place, 0, layout.cells, layout.ink);
  const double section_bottom = place.centre - low * scale;

  // Figures of the zones along the top; neighbours too close to be read are left out.
  double taken = -1e9;
  for (const int zone : {treatment::zone_spine, treatment::zone_middle, treatment::zone_edge}) {
    const auto z = static_cast<std::size_t>(zone);
    if (z >= run.zone_column.size() || shade.at_zone[z].empty())
      continue;
    const auto i = static_cast<std::size_t>(run.zone_column[z]);
    const double half = layout.label_gap / 2 - 4, x = place.at(run.grid.x[i], 0).x;
    const double text_x = std::clamp(x, left + half, right - half);
    if (text_x - taken < layout.label_gap)
      continue;
    taken = text_x;
    svg.words(text_x, section_top - 14,
              std::string(treatment::zone_name(static_cast<treatment::Zone>(zone))) + " " + shade.at_zone[z],
              {14, "middle"});
    const Point skin = place.at(run.grid.x[i], run.grid.top[i]);
    svg.line({text_x, section_top - 9}, {skin.x, skin.y}, Tone::faint, 0.8);
  }

  // Edge inset with its frame in the section.
  const auto thickness = [&](std::size_t i) {
    return run.grid.half ? 2 * run.grid.top[i] : run.grid.top[i] - run.grid.bottom[i];
  };
  const double edge = thickness(run.grid.x.size() - 1);
  const Box inset_box{right - layout.inset_width, section_bottom + 44, layout.inset_width,
                      layout.inset_height};
  const double wanted = std::min(std::clamp(4 * edge, 1.5e-3, 4e-3), width / 3);
  std::size_t first = 0;
  while (run.grid.x[first] < width - wanted)
    ++first;
  double cut = 0, inset_high = 0, inset_low = 0, inset_scale = 0;
  for (;; ++first) { // at a thick edge less is shown, so that it is shown larger
    cut = width - run.grid.x[first];
    inset_high = run.grid.top[first];
    inset_low = run.grid.half ? -inset_high : run.grid.bottom[first];
    for (std::size_t i = first; i < run.grid.x.size(); ++i) {
      inset_high = std::max(inset_high, run.grid.top[i]);
      inset_low = std::min(inset_low, run.grid.half ? -run.grid.top[i] : run.grid.bottom[i]);
    }
    inset_scale = std::min((inset_box.width - 40) / cut, (inset_box.height - 44) / (inset_high - inset_low));
    if (inset_scale >= 2.5 * scale || first + 5 >= run.grid.x.size())
      break;
  }
  const Point a = place.at(width - cut, inset_high), b = place.at(width, inset_low);
  svg.box({a.x - 3, a.y - 3, b.x - a.x + 6, b.y - a.y + 6}, Tone::none, Tone::faint, 1);
  svg.line({a.x - 3, b.y + 3}, {inset_box.left, inset_box.top}, Tone::faint, 0.8);
  svg.line({b.x + 3, b.y + 3}, {inset_box.right(), inset_box.top}, Tone::faint, 0.8);
  svg.box(inset_box, Tone::panel, Tone::faint, 1);
  const Placement inset{inset_box.left + (inset_box.width - cut * inset_scale) / 2,
                        inset_box.top + 14 + inset_high * inset_scale, inset_scale, width - cut};
  draw_section(svg, whole, shade, inset, width - cut, layout.cells, layout.ink);
  draw_scale_bar(svg, {inset_box.left + 16, inset_box.bottom() - 16}, inset_scale, layout.inset_width / 4);
  svg.words(
      inset_box.right() - 12, inset_box.bottom() - 11,
      formatted(layout.inset_width > 300 ? "edge, %.2g times larger" : "edge, %.2g x", inset_scale / scale),
      {13, "end"});

  // Left of the inset: scale bar and what the colours mean.
  draw_scale_bar(svg, {left, section_bottom + 26}, scale, layout.inset_width / 2);
  if (layout.bar) {
    const double bar_width = std::min(420.0, room - layout.inset_width - 76);
    draw_colour_bar(svg, shade, {left + 10, inset_box.top + layout.inset_height / 2 - 4, bar_width, 16},
                    c.hardness_wish(c.station_called(run.station)), layout.ink);
  }
  return inset_box.bottom();
}

} // namespace tq::output
