// Short extra runs behind the margins: when a zone reaches temperature, how it cools in air, how much more
// transfer it could stand. On a coarse grid, since only times are asked.
#pragma once

#include "treatment/case.hpp"
#include "treatment/run.hpp"
#include "treatment/simulation.hpp"

#include <array>
#include <functional>
#include <limits>

namespace tq::answers {

struct ZoneMargins {
  static constexpr double none = std::numeric_limits<double>::quiet_NaN();
  double reaches_temperature_s = none;                       ///< last place of its reach, from door-close
  double at_temperature_degC = none;                         ///< the level that counts as reached
  double display_ready_s = 0;                                ///< when the display has recovered
  std::array<double, 4> in_air_degC{none, none, none, none}; ///< centre, 2, 3, 5, 8 s out of the furnace
  double transfer_to_spare_s = none; ///< extra seconds before it no longer passes (up to `most_transfer_s`)
  bool lost_in_transfer = false;     ///< with no transfer at all the zone would pass
};

struct StationMargins {
  std::array<ZoneMargins, treatment::zone_count> zones;
  double display_ready_s = 0;
  double furnace_final_degC = 0; ///< true temperature
};

inline constexpr double most_transfer_s = 60; ///< longest transfer looked at
/// A furnace this far outside the steel's usual range makes the soak marginal at best; metallurgical rule of
/// thumb, no source.
inline constexpr double overheated_K = 20;

/// Fills the soak part: runs the furnace until every zone is at temperature (at most 6 h).
StationMargins soak_margins(const treatment::Case& c, std::size_t station);
/// The same from what a run of the case has seen: NaN for a zone that was not at temperature by the time the
/// blade came out.
StationMargins soak_margins_within(const treatment::Case& c, const treatment::Run& run);
/// The same from a run of the case as far as that goes; only where a zone came out too early another run
/// looks on.
StationMargins soak_margins(const treatment::Case& c, std::size_t station, const treatment::Run& run);
/// Fills the transfer and quench part of every zone and nothing else. `progress` gets 0..1 and may throw.
void quench_margins(const treatment::Case& c, std::size_t station,
                    std::array<ZoneMargins, treatment::zone_count>& zones,
                    const std::function<void(double)>& progress);

/// transfer_to_spare [s] of each zone from one run through the air and mostly one quench of `sim` (on the
/// coarse grid, a case without progress): where the share turned passes the limit is foreseen
/// (ForeseenTransfer), until a quench there is near enough. `hot`: the state before the transfer; `quenched`:
/// that after the quench and the case's own transfer; `turned`: the share turned to pearlite and bainite in
/// each zone then. Holds for the zone that fails first; infinite for zones of which no hardness is asked.
std::array<double, treatment::zone_count>
rough_transfer_to_spare(const treatment::Case& c, treatment::Simulation& sim,
                        const treatment::Simulation::Snapshot& hot, const treatment::NodeState& quenched,
                        const std::array<double, treatment::zone_count>& turned);

/// Seconds in a bath until its outermost surface is below `level_degC`; NaN when it never is, or without a
/// level.
double seconds_until_below(const treatment::Run& run, const treatment::StepSpan& span,
                           const std::optional<double>& level_degC);

} // namespace tq::answers
