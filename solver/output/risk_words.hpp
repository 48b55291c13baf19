// Bow and cracks in words, for the terminal and the pages.
#pragma once

#include "answers/risks.hpp"
#include "output/drawings.hpp"
#include "output/terminal.hpp"

#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

namespace tq::output {

/// "1.8 mm (0.071 in), flank A outside": for a small place; the reason when no bow was computed.
std::string brief_bow(const answers::Risks& risks);
/// "inner corner, late temper".
std::string brief_crack(const answers::Risks& risks);
/// All that is to be said, in the order of reading; the straightening caution stands beside the bow.
std::vector<Entry> risk_entries(const treatment::Case& c, const answers::Risks& risks);
/// The blade seen along its edge, its bow drawn larger; nothing when it is too straight to draw.
std::optional<Drawing> draw_bow(const treatment::Case& c, const answers::BowAnswer& bow);

/// The entries with their verdicts as text, folded to the width of the page.
void print_risks(std::ostream& out, const treatment::Case& c, const answers::Risks& risks,
                 bool colour = false);

} // namespace tq::output
