#include "output/pieces.hpp"

#include "output/html.hpp"
#include "output/section_map.hpp"
#include "output/text.hpp"

#include <cctype>
#include <cmath>

namespace tq::output {
namespace {

using answers::StationAnswer;
using treatment::Case;
using treatment::Run;

template <class Draw>
Captioned chart(const char* key, const char* title, const char* description, std::string caption,
                const Draw& draw) {
  Drawing drawing{Svg(Palette::page), 500, 348, title, description};
  draw(drawing.svg, Box{48, 28, 400, 268});
  return {key, std::move(drawing), std::move(caption)};
}

std::string lower_first(std::string text) {
  text[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(text[0])));
  return text;
}

std::string caption_of(const Shade& shade, const StationAnswer& answer) {
  if (shade.hardness && std::isfinite(answer.hrc_band))
    return "Every hardness " + band_text(answer.hrc_band) + " HRC.";
  if (shade.key == "temper")
    return "Hollomon-Jaffe parameter, t in hours: the same number, the same softening.";
  return "";
}

} // namespace

std::string entries_html(const std::vector<Entry>& list, const char* style) {
  std::string out = std::string("<dl class=\"") + style + "\">\n";
  for (std::size_t k = 0; k < list.size();) {
    out += "<dt>" + xml_escaped(list[k].label) + "</dt>\n<dd>";
    const std::size_t first = k;
    for (; k < list.size() && (k == first || list[k].label.empty()); ++k) {
      out += "<p>" + with_units(list[k].text) + "</p>";
      for (const std::string& caution : list[k].cautions)
        out += "<span class=\"caution\">" + with_units(caution) + "</span>";
    }
    out += "</dd>\n";
  }
  return out + "</dl>\n";
}

std::string zone_table_html(const ZoneTable& zones, const std::string& name) {
  std::string out =
      "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"Figures of the zones, " +
      xml_escaped(name) + "\">\n<table>\n<thead><tr><th scope=\"col\">zone</th>";
  for (const std::string& head : zones.heads)
    out += "<th scope=\"col\">" + xml_escaped(head) + "</th>";
  out += "</tr></thead>\n<tbody>\n";
  for (const std::vector<std::string>& row : zones.rows) {
    out += "<tr><th scope=\"row\">" + with_units(row[0]) + "</th>";
    for (std::size_t c = 1; c < row.size(); ++c)
      out += "<td>" + with_units(row[c]) + "</td>";
    out += "</tr>\n";
  }
  return out + "</tbody>\n</table>\n</div>\n";
}

std::vector<Captioned> section_drawings(const Case& c, const Run& run, const StationAnswer& answer) {
  std::vector<Captioned> out;
  const WholeSection whole(run.grid);
  for (const Shade& shade : section_shades(c, run, answer, whole)) {
    if (!differs(shade))
      continue;
    Drawing drawing{Svg(Palette::page), 500, 0, shade.title, ""};
    drawing.height = draw_section_map(drawing.svg, c, run, whole, shade, column_layout(), 0) + 6;
    drawing.description = "Cross-section in true proportions, spine left, edge right and magnified.";
    for (std::size_t z = 0; z < shade.at_zone.size(); ++z)
      if (!shade.at_zone[z].empty() && z != treatment::zone_thickest)
        drawing.description += std::string(" ") + treatment::zone_name(static_cast<treatment::Zone>(z)) +
                               ": " + shade.at_zone[z] + ".";
    out.push_back({shade.key, std::move(drawing), caption_of(shade, answer)});
  }
  return out;
}

std::string alike_everywhere(const Case& c, const Run& run, const StationAnswer& answer) {
  std::string out;
  for (const Shade& shade : section_shades(c, run, answer, WholeSection(run.grid)))
    if (const std::string& figure = shade.at_zone[treatment::zone_middle]; !differs(shade) && !figure.empty())
      out += (out.empty() ? "Alike in the whole section: " : "; ") + lower_first(shade.title) + " " + figure;
  return out.empty() ? out : out + ".";
}

std::vector<Captioned> curve_drawings(const Case& c, const Run& run, const StationAnswer& answer) {
  std::vector<Captioned> out;
  if (has_heating(run))
    out.push_back(chart("heating", "In the furnace",
                        "Temperature of edge, middle, spine and furnace over the soak.",
                        "Bars at the foot: when edge, middle and spine are at temperature.",
                        [&](Svg& svg, const Box& plot) { draw_heating(svg, run, answer, plot, ""); }));
  if (has_cooling(run))
    out.push_back(chart(
        "cooling", treatment::span_of(run, treatment::Part::bath) != nullptr ? "In the quench" : "On cooling",
        "Temperature of edge, middle and spine from leaving the furnace.",
        c.steel.inert ? "" : "Ms: martensite starts.",
        [&](Svg& svg, const Box& plot) { draw_cooling(svg, c, run, answer, plot, ""); }));
  if (has_transformation(c, run))
    out.push_back(chart(
        "diagram", "Cooling over the transformation diagram",
        "Cooling curves of edge, middle and spine, and where steady cooling would bring the first 1 % of "
        "pearlite and bainite.",
        formatted("Lines: first 1 %% on steady cooling, computed for this soak; shaded: a factor %.2g either "
                  "way. A curve that stays left of them hardens. Ms: martensite starts.",
                  c.steel.transformation.factor_uncertainty),
        [&](Svg& svg, const Box& plot) { draw_transformation(svg, c, run, plot, ""); }));
  if (!has_heating(run) && !has_cooling(run) && !run.time_s.empty())
    out.push_back(chart("whole", "Through the treatment",
                        "Temperature of edge, middle and spine through all stages.", "",
                        [&](Svg& svg, const Box& plot) { draw_whole(svg, run, plot, ""); }));
  if (auto drawing = draw_bath(c, run))
    out.push_back({"bath", std::move(*drawing), ""});
  if (auto drawing = draw_temper_curve(c, run, answer))
    out.push_back({"curve", std::move(*drawing), "Shaded: the band of the steel's table."});
  if (auto drawing = draw_colour_strip(c, answer))
    out.push_back({"colour", std::move(*drawing),
                   "A hint, not a control: light, polish, oil and alloy shift it by some 20 K, and how it "
                   "goes with time is uncertain. Go by the oven."});
  return out;
}

std::string element_of(const Drawing& drawing, const std::string& id) {
  return drawing.svg.element(drawing.width, drawing.height, drawing.title, plain_units(drawing.description),
                             id);
}

} // namespace tq::output
