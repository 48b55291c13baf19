// Where the uncertainty of an answer comes from: the share of each input in its variance.
#include "output/drawings.hpp"
#include "output/text.hpp"

#include <algorithm>

namespace tq::output {

std::optional<Drawing> draw_shares(const answers::Bands& bands, const answers::Band& band,
                                   const std::string& title) {
  if (band.causes.empty())
    return {};
  constexpr std::size_t most = 6;
  constexpr double row = 34; // two lines of the name of an input
  const std::size_t n = std::min(most, band.causes.size());
  Drawing drawing{Svg(Palette::page), 500, 20 + row * static_cast<double>(n) + 4, title, ""};
  Svg& svg = drawing.svg;
  constexpr double left = 250, width = 190;
  double y = 14;
  const double longest = std::max(band.causes.front().share, 0.05);
  for (std::size_t k = 0; k < n; ++k, y += row) {
    const answers::Cause& cause = band.causes[k];
    const std::string name = bands.inputs.at(cause.input).name;
    const std::vector<std::string> lines = folded(name, 34);
    for (std::size_t l = 0; l < lines.size(); ++l)
      svg.words(left - 10, y + 13 + 14 * static_cast<double>(l) - 7 * static_cast<double>(lines.size() - 1),
                lines[l], {13, "end"});
    svg.box({left, y, std::max(2.0, width * cause.share / longest), 18}, Tone::spine, Tone::none);
    svg.words(left + width * cause.share / longest + 6, y + 13.5, percent_text(cause.share), {13});
    drawing.description += name + ": " + percent_text(cause.share) + ". ";
  }
  svg.line({left, 8}, {left, y - 6}, Tone::ink, 1);
  return drawing;
}

} // namespace tq::output
