// What a set of settings leads to at all stations of the blade: least and greatest of the figures that
// answers.hpp has for each zone, and the verdicts on them.
#pragma once

#include "answers/answers.hpp"
#include "treatment/case.hpp"

#include <string>
#include <vector>

namespace tq::answers {

/// Figures of the stations as far as the treatment was taken; NaN where their step was not run.
struct Outcome {
  std::vector<StationAnswer> stations;

  /// Of the zones that are to harden the one that turned most to pearlite and bainite, the least rate margin
  /// deciding between equals.
  const ZoneAnswer& limiting() const;
  /// "edge", or "heel, edge" when there are several stations.
  std::string limiting_name(const treatment::Case& c) const;
  double transformed() const;           ///< greatest of the zones that are to harden
  double rate_margin() const;           ///< least of those
  double austenite() const;             ///< least after the soak
  double carbon_wt() const;             ///< least after the soak
  double soak_s() const;                ///< least
  double reaches_temperature_s() const; ///< latest; NaN when a zone never does
  double retained_austenite() const;    ///< greatest
  // hardness of the zones that are to harden
  double as_quenched_least_HRC() const, as_quenched_most_HRC() const;
  double tempered_least_HRC() const, tempered_most_HRC() const;
  double bath_end_degC() const; ///< hottest
};

// Verdicts on figures as stated; the one place where their limits are applied. The worst of the stations.

inline constexpr double enough_of_the_soak = 0.9; ///< rule of this program, no source

/// Fail: not wholly austenite or too little carbon in solution. Marginal: a furnace more than `overheated_K`
/// outside the usual range (`final_degC`, its true temperature), less than enough of the asked soak, or
/// longer than steel::longest_soak_s. Not asked: no furnace, or one below Ac1 with no quench behind it.
Verdict soak_verdict(const treatment::Case& c, const StationAnswer& s, double final_degC);
Verdict soak_verdict(const treatment::Case& c, const Outcome& o);
Verdict quench_verdict(const treatment::Case& c, const Outcome& o);
/// Pass inside the wish, marginal within `band_HRC` of it. Not asked without a wish or a temper (NaN).
Verdict hardness_verdict(const treatment::HardnessWish& wish, double least_HRC, double most_HRC,
                         double band_HRC);
/// Every station has its own wish; not asked where one that has a wish was not tempered.
Verdict hardness_verdict(const treatment::Case& c, const Outcome& o);
/// Least and greatest hardness [HRC] after tempering of the zones of a station that are to harden.
struct HardRange {
  double least = 1e9, most = -1e9; ///< as here where no zone is to; both NaN without a temper
};
HardRange hard_range(const StationAnswer& s);
/// How far [HRC] the worst zone that is to harden lies outside of what is wished of its station; NaN without
/// a temper, 0 without a wish.
double wish_missed_by(const StationAnswer& s);
/// The worse of two, where one is not asked the other.
Verdict worst_of(Verdict a, Verdict b);

} // namespace tq::answers
