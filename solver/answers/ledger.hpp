// The ledger of a computed treatment: every figure and every verdict as one typed entry. All outputs are
// loops over it, so none can say anything else than another.
#pragma once

#include "answers/bands.hpp"
#include "answers/figures.hpp"
#include "answers/risks.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tq::answers {

inline constexpr int no_zone = -1, whole_blade = -1;

/// One figure of one zone, or of a station as a whole.
struct FigureEntry {
  const Figure* figure = nullptr; ///< of figures(): unit, meaning, how it is told
  int station = 0;
  int zone = no_zone;
  double stated = 0;        ///< NaN where it does not exist
  std::optional<Band> band; ///< where the figure has one and draws were made
};

/// One verdict with its reason.
struct VerdictEntry {
  std::string key; ///< "soak", "quench", "hardness", "bow", "crack", "oil", "edge"; of a zone "hardens"
  int station = whole_blade;
  int zone = no_zone;
  Judgement judgement;
};

struct Ledger {
  int draws = 0; ///< verdicts are judged by so many draws; 0: as stated
  std::vector<VerdictEntry> verdicts;
  std::vector<FigureEntry> figures;

  /// Null when there is none.
  const VerdictEntry* verdict(std::string_view key, int station = whole_blade, int zone = no_zone) const;
  const FigureEntry* figure(std::string_view name, int station, int zone = no_zone) const;
};

/// Of answers that judged_by() has judged when there are `bands`. `bands` and `risks` may be null.
Ledger ledger_of(const Answers& judged, const Bands* bands, const Risks* risks);

/// "judged by 128 draws" or "judged as stated": stands beside the verdicts wherever they are told.
std::string judged_text(int draws);

} // namespace tq::answers
