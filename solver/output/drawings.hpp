// The drawings of a result, one file each. Those that take a box draw into a sheet of several; the others are
// whole pictures for one column of a page.
#pragma once

#include "answers/answers.hpp"
#include "answers/bands.hpp"
#include "answers/log_beside.hpp"
#include "answers/what_if.hpp"
#include "output/svg.hpp"

#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace tq::output {

/// The body of a drawing with its size, ready for Svg::element().
struct Drawing {
  Svg svg;
  double width = 500, height = 0;
  std::string title, description;
};

/// Edge, middle, spine and furnace over the soak, with the time at temperature marked.
void draw_heating(Svg& svg, const treatment::Run& run, const answers::StationAnswer& answer, const Box& plot,
                  const std::string& title);
bool has_heating(const treatment::Run& run);

/// Edge, middle and spine from leaving the furnace to the end of the bath.
void draw_cooling(Svg& svg, const treatment::Case& c, const treatment::Run& run,
                  const answers::StationAnswer& answer, const Box& plot, const std::string& title);
bool has_cooling(const treatment::Run& run);

/// Edge, middle and spine over the transformation diagram: where steady cooling brings 1 % of pearlite or
/// bainite, each curve counted from its own passing of Ae1, as the clocks of the steel do.
void draw_transformation(Svg& svg, const treatment::Case& c, const treatment::Run& run, const Box& plot,
                         const std::string& title);
bool has_transformation(const treatment::Case& c, const treatment::Run& run);

/// Temperature through all stages.
void draw_whole(Svg& svg, const treatment::Run& run, const Box& plot, const std::string& title);

/// A log as points over the band of the computed curve.
Drawing draw_log(const answers::LogBeside& log);

/// Hardness against temper temperature for this case's cycles, with the chosen point and its band.
std::optional<Drawing> draw_temper_curve(const treatment::Case& c, const treatment::Run& run,
                                         const answers::StationAnswer& answer);
/// Colours of a clean blade over temper temperature, with the chosen point.
std::optional<Drawing> draw_colour_strip(const treatment::Case& c, const answers::StationAnswer& answer);
/// Temperature of the bath while the blade is in it.
std::optional<Drawing> draw_bath(const treatment::Case& c, const treatment::Run& run);
/// Hardness and verdict of each outcome of a strip, the case as set between the others; nothing without a
/// hardness.
std::optional<Drawing> draw_what_if(const treatment::Case& c, const answers::WhatIfStrip& strip);
/// The strips that have a drawing, parted by whether their points differ in verdict, in hardness as it is
/// told, or in whether they can be set up.
struct WhatIfDrawings {
  std::vector<std::pair<std::string, Drawing>> changing; ///< by the key of the strip
  std::string same;                                      ///< "Nothing changes: " and the other questions
};
WhatIfDrawings draw_what_ifs(const treatment::Case& c, const std::vector<answers::WhatIfStrip>& strips);
/// Bars of the inputs that most of an answer's spread comes from; nothing when it does not spread.
std::optional<Drawing> draw_shares(const answers::Bands& bands, const answers::Band& band,
                                   const std::string& title);

} // namespace tq::output
