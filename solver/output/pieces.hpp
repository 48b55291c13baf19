// Pieces that report and live page share: words as HTML, and the drawings of a station with their captions.
#pragma once

#include "answers/answers.hpp"
#include "output/drawings.hpp"
#include "output/terminal.hpp"

#include <string>
#include <vector>

namespace tq::output {

/// A list of labels with their texts, each with its cautions beside it.
std::string entries_html(const std::vector<Entry>& list, const char* style = "entries");
/// The figures of the zones of the station of this name.
std::string zone_table_html(const ZoneTable& zones, const std::string& name);

struct Captioned {
  std::string key; ///< unique in its station
  Drawing drawing;
  std::string caption; ///< may be empty
};
/// The section coloured by everything that it has at the end and that differs within it.
std::vector<Captioned> section_drawings(const treatment::Case& c, const treatment::Run& run,
                                        const answers::StationAnswer& answer);
/// What does not differ, in one line: "Alike in the whole section: hardness after tempering 61.5 HRC; ...";
/// empty when all does.
std::string alike_everywhere(const treatment::Case& c, const treatment::Run& run,
                             const answers::StationAnswer& answer);
/// Curves and strips, as far as the treatment has them.
std::vector<Captioned> curve_drawings(const treatment::Case& c, const treatment::Run& run,
                                      const answers::StationAnswer& answer);
/// A drawing as a page's SVG element.
std::string element_of(const Drawing& drawing, const std::string& id);

} // namespace tq::output
