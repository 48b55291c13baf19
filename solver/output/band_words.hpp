// The bands in words, for the terminal and the page: the verdicts over the members, then each answer as
// middle, band and what it comes from.
#pragma once

#include "answers/bands.hpp"
#include "output/terminal.hpp"

#include <iosfwd>
#include <string>
#include <vector>

namespace tq::output {

struct BandWords {
  std::string heading;         ///< "of 256 draws of what is not known exactly ..."
  std::vector<Entry> verdicts; ///< SOAK, QUENCH, HARDNESS
  struct Station {
    std::string name;
    std::vector<Entry> figures;
  };
  std::vector<Station> stations;
  std::vector<std::string> notes; ///< members that failed
};
BandWords band_words(const treatment::Case& c, const answers::Bands& bands);

/// The same as text, folded to the width of the page.
void print_bands(std::ostream& out, const treatment::Case& c, const answers::Bands& bands);

} // namespace tq::output
