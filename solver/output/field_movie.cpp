#include "output/field_movie.hpp"

#include "output/html.hpp"
#include "output/section_map.hpp"
#include "output/sha256.hpp"
#include "output/text.hpp"

#include <algorithm>
#include <cmath>

namespace tq::output {
namespace {

using treatment::Frame;
using treatment::Run;

std::string swatches() {
  constexpr int steps = 64;
  std::string list;
  for (int k = 0; k < steps; ++k)
    list += (k > 0 ? " " : "") + map_colour(static_cast<double>(k) / (steps - 1));
  return list;
}

/// Two bytes for each node and frame: steps above the lowest.
std::string packed_levels(const std::vector<const Frame*>& frames, std::size_t nodes, double low,
                          double step) {
  std::string packed;
  packed.reserve(2 * nodes * frames.size());
  for (const Frame* frame : frames)
    for (const double T : frame->state.temperature) {
      const auto level = static_cast<unsigned>(std::lround((T - low) / step));
      packed += static_cast<char>(level & 0xFFU);
      packed += static_cast<char>(level >> 8U & 0xFFU);
    }
  return packed;
}

/// A colour bar of its own: its ends change with the moment.
void draw_bar(Svg& svg, const Shade& shade, double bottom) {
  const Box bar{22, bottom - 72, 170, 16};
  constexpr int pieces = 60;
  svg.add("<g shape-rendering=\"crispEdges\">");
  for (int k = 0; k < pieces; ++k)
    svg.swatch({bar.left + bar.width * k / pieces, bar.top, bar.width / pieces + 0.4, bar.height},
               map_colour((k + 0.5) / pieces));
  svg.close();
  svg.box(bar, Tone::none, Tone::ink, 0.8);
  const auto end = [&](double T, double y, const char* name, const char* lead) {
    svg.marked(bar.left, y,
               std::string(lead) + " <tspan class=\"" + name + "\">" +
                   formatted("%.0f \u00b0C (%.0f \u00b0F)", T, T * 1.8 + 32) + "</tspan>",
               {13});
  };
  end(shade.low, bar.bottom() + 18, "bar-low", "dark");
  end(shade.high, bar.bottom() + 36, "bar-high", "bright");
}

} // namespace

std::string moment_name(const Run& run, const Frame& frame) {
  const treatment::StepSpan* in = nullptr;
  for (const treatment::StepSpan& span : run.spans)
    if (span.part == frame.part && frame.time_s >= span.from_s - 1e-9 && frame.time_s <= span.to_s + 1e-9)
      in = &span;
  std::string text = treatment::part_name(frame.part);
  if (in == nullptr)
    return text;
  if (in->cycle > 0)
    text += formatted(" %d", in->cycle);
  const double since = std::max(0.0, frame.time_s - in->from_s);
  return text + (since < 180 ? formatted(", %.*f s in", since < 10 && since > 0 ? 2 : 0, since)
                             : ", " + minutes_text(since) + " in");
}

std::vector<const Frame*> whole_frames(const Run& run) {
  const std::size_t nodes = run.grid.nodes();
  std::vector<const Frame*> frames;
  for (const Frame& frame : run.frames)
    if (frame.state.temperature.size() == nodes &&
        std::all_of(frame.state.temperature.begin(), frame.state.temperature.end(),
                    [](double T) { return std::isfinite(T); }))
      frames.push_back(&frame);
  return frames;
}

std::string field_movie(const treatment::Case& c, const Run& run, const std::string& id) {
  const std::vector<const Frame*> frames = whole_frames(run);
  if (frames.empty())
    return "";
  double low = 1e300, high = -1e300, widest = -1;
  std::size_t shown = 0;
  for (std::size_t k = 0; k < frames.size(); ++k) {
    const auto& T = frames[k]->state.temperature;
    const auto [least, most] = std::minmax_element(T.begin(), T.end());
    low = std::min(low, *least);
    high = std::max(high, *most);
    if (*most - *least > widest) { // the moment with most to see
      widest = *most - *least;
      shown = k;
    }
  }
  const double step = std::max((high - low) / 65535, 1e-6);
  std::string captions;
  for (const Frame* frame : frames)
    captions += (captions.empty() ? "" : "|") + moment_name(run, *frame);

  const WholeSection whole(run.grid);
  Shade shade;
  shade.key = "temperature";
  shade.unit = "\u00b0C";
  shade.temperature = true;
  shade.value = whole.expand(frames[shown]->state.temperature);
  const auto [least, most] = std::minmax_element(shade.value.begin(), shade.value.end());
  shade.low = 10 * std::floor(*least / 10);
  shade.high = std::max(10 * std::ceil(*most / 10), shade.low + 20);
  MapLayout layout = column_layout();
  layout.cells = Cells::each;
  layout.bar = false;
  layout.header = 8;
  Svg svg(Palette::page);
  const double bottom = draw_section_map(svg, c, run, whole, shade, layout, 0);
  draw_bar(svg, shade, bottom);

  std::string zones, said = moment_name(run, *frames[shown]) + ": ";
  for (const int zone : {treatment::zone_edge, treatment::zone_middle, treatment::zone_spine}) {
    const auto column = static_cast<std::size_t>(run.zone_column.at(static_cast<std::size_t>(zone)));
    const char* name = treatment::zone_name(static_cast<treatment::Zone>(zone));
    const int row = run.grid.half ? 0 : (run.grid.ny - 1) / 2;
    const double T = frames[shown]->state.temperature[static_cast<std::size_t>(row * run.grid.nx) + column];
    zones += (zones.empty() ? "" : " ") +
             formatted("%s:%d", name, run.zone_column[static_cast<std::size_t>(zone)]);
    said += (zone == treatment::zone_edge ? "" : ", ") + std::string(name) +
            formatted(" %.0f \u00b0C (%.0f \u00b0F)", T, T * 1.8 + 32);
  }
  return "<figure data-frames=\"" + base64(packed_levels(frames, run.grid.nodes(), low, step)) +
         "\" data-captions=\"" + xml_escaped(captions) + "\" data-colours=\"" + swatches() +
         "\" data-zones=\"" + zones + "\"" +
         formatted(
             " data-columns=\"%d\" data-rows=\"%d\" data-half=\"%d\" data-low=\"%.9g\" data-step=\"%.9g\" "
             "data-shown=\"%zu\">\n",
             run.grid.nx, run.grid.ny, run.grid.half ? 1 : 0, low, step, shown) +
         "<h3>Temperature through time</h3>\n" +
         svg.element(500, bottom + 6, "Temperature of the section",
                     "The section coloured by temperature at one moment. " + said, id) +
         "<div class=\"moment\" hidden=\"hidden\"><label for=\"" + id +
         "-slider\">moment</label><input type=\"range\" id=\"" + id +
         "-slider\" min=\"0\" max=\"0\" step=\"1\" value=\"0\"/></div>\n<figcaption><output>" +
         xml_escaped(said) + "</output></figcaption>\n</figure>\n";
}

} // namespace tq::output
