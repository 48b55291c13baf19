// The bow with which a blade comes out of the quench: its section as a long free bar, taken through the
// temperatures and shares of a coarse run.
#pragma once

#include "answers/answers.hpp"

#include <limits>
#include <string>
#include <vector>

namespace tq::answers {

/// The bow of one section as if the whole blade had it. Lengths in m; NaN when it was not computed.
struct BowAnswer {
  static constexpr double none = std::numeric_limits<double>::quiet_NaN();
  /// What one input being off by its band does to the bow.
  struct Part {
    std::string name;
    double change_m = 0;
  };
  std::string name;                   ///< of the station
  double bow_m = none;                ///< height of the arc over the blade's length, sideways
  double low_m = none, high_m = none; ///< holds nine times in ten, as far as the stated inputs go
  bool convex_on_a = true;            ///< flank A is the outside of the arc (flank B otherwise)
  bool side_certain = false;          ///< the band does not reach to the other side
  double edge_bow_m = none;           ///< in the plane of the blade; > 0: the edge is the outside of the arc
  std::string cause;                  ///< why it bows, in words
  std::vector<Part> parts;            ///< greatest first; the band is the root of their sum of squares
  Judgement bow;
  std::string advice;
};

/// What the cooling and the strains of a quench do to the straightness of `station`. `part` 0 computes the
/// bow as stated and what the strain record's uncertainty does to it, 1 the same with one flank cooled
/// otherwise; join_bow() makes the answer of both. The timer must be set. Throws treatment::SolverError.
struct BowPart {
  double across_per_m = 0, edgewise_per_m = 0; ///< curvatures: > 0 flank A longer; > 0 edge longer
  std::vector<BowAnswer::Part> changes;        ///< change of across_per_m, 1/m
};
BowPart bow_part(const treatment::Case& c, std::size_t station, int part);
BowAnswer join_bow(const treatment::Case& c, std::size_t station, const BowPart& stated,
                   const BowPart& uneven);

/// Why no bow is computed for this case; empty when it is.
std::string no_bow_because(const treatment::Case& c);

} // namespace tq::answers
