// What a longer way through the air would cost, foreseen from one run through the air instead of a quench for
// each length of the way.
#pragma once

#include "answers/zone_reach.hpp"
#include "treatment/simulation.hpp"

#include <array>
#include <map>
#include <vector>

namespace tq::answers {

using ZoneFigures = std::array<double, treatment::zone_count>;

/// Shares turned to pearlite and bainite after a way that takes some seconds more than the case's own, as
/// margins: the logarithm of limit over share of the worst place of each zone (log_margin()).
///
/// The clocks of the quench after the case's own way are known. While the blade stays in the air they run on
/// by what they run there; that it then enters the bath colder is left out at first, and taken in by learn():
/// between quenches computed the difference of their margins from those foreseen runs straight.
class ForeseenTransfer {
 public:
  /// `sim` of the case is taken through the air from `hot` until all zones have failed by far, `most_s` at
  /// most. `quenched`: the end of the quench after the case's own way.
  ForeseenTransfer(const treatment::Case& c, treatment::Simulation& sim,
                   const treatment::Simulation::Snapshot& hot, const treatment::NodeState& quenched,
                   double most_s);

  /// Takes over the shares that a quench has given, `seconds` more than the case's own way.
  void learn(double seconds, const ZoneFigures& shares);
  /// Seconds after which the margin of a zone falls below zero, `most_s` when it does not.
  double seconds_to_spare(std::size_t zone) const;
  /// Of those zones of which hardness is asked, that of the first; none asked: `most_s`.
  double seconds_to_spare() const;

 private:
  double difference(std::size_t zone, double seconds) const;

  double limit_, most_s_;
  std::array<bool, treatment::zone_count> asked_{};
  std::vector<double> seconds_;        ///< more than the case's own way, from 0
  std::vector<ZoneFigures> foreseen_;  ///< margins then
  std::map<double, ZoneFigures> more_; ///< what the margin of a quench was above the one foreseen
};

} // namespace tq::answers
