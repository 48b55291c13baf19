#include "output/picture.hpp"

#include "output/chart.hpp"
#include "output/drawings.hpp"
#include "output/section_map.hpp"
#include "output/text.hpp"

#include <cmath>

namespace tq::output {
namespace {

using answers::StationAnswer;
using treatment::Case;
using treatment::Part;
using treatment::Run;

constexpr double page = 1200, margin = 40;

std::string description(const Case& c, const StationAnswer& answer) {
  std::string text = "Cross-section of the blade in colour, and its temperature over time. ";
  const bool tempered = c.tempered();
  for (const answers::ZoneAnswer& zone : answer.zones) {
    const double hrc = tempered ? zone.tempered_HRC : zone.as_quenched_HRC;
    if (std::isfinite(hrc))
      text += zone.name + ": " + hrc_text(hrc) + " HRC. ";
  }
  if (std::isfinite(answer.timer_from_door_s))
    text += "Timer " + minutes_up(answer.timer_from_door_s) + " from closing the door. ";
  return text;
}

} // namespace

std::string picture_svg(const Case& c, const Run& run, const StationAnswer& answer) {
  Svg svg;
  svg.words(margin, 46, c.title, {24, "start", Tone::ink, true});
  std::string line = c.steel.key + ", " + run.station;
  const auto say = [&](const char* what, const answers::Judgement& j) {
    if (j.verdict != answers::Verdict::not_asked)
      line += std::string("  \u00b7  ") + what + " " + upper_case(answers::verdict_name(j.verdict));
  };
  say("soak", answer.soak);
  say("quench", answer.quench);
  say("hardness", answer.hardness);
  svg.words(margin, 74, line, {16, "start", Tone::faint});

  const WholeSection whole(run.grid);
  const Shade shade = main_shade(c, run, answer, whole);
  svg.words(margin, 110, shade.title + ", section in true proportions", {16, "start", Tone::ink, true});
  const double below = draw_section_map(svg, c, run, whole, shade, MapLayout(), 116);
  if (shade.hardness && std::isfinite(answer.hrc_band))
    svg.words(margin, below - 8, "every hardness \u00b1 " + band_text(answer.hrc_band).substr(4) + " HRC",
              {14, "start", Tone::faint});

  const bool heats = has_heating(run), cools = has_cooling(run);
  const double top = below + 74, height = 330;
  const double half_width = (page - 2 * margin) / 2 - 100;
  const Box left{margin + 36, top, half_width, height};
  const Box right{page / 2 + 62, top, half_width, height};
  const Box full{margin + 36, top, page - 2 * margin - 84, height};
  if (cools)
    draw_cooling(svg, c, run, answer, heats ? left : full,
                 treatment::span_of(run, Part::bath) != nullptr ? "In the quench" : "On cooling");
  if (heats)
    draw_heating(svg, run, answer, cools ? right : full, "In the furnace");
  if (!cools && !heats && !run.time_s.empty())
    draw_whole(svg, run, full, "Through the treatment");
  return svg.element(page, top + height + 62, c.title + ", " + run.station, description(c, answer));
}

} // namespace tq::output
