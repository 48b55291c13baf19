#include "answers/margins.hpp"

#include "answers/coarse_case.hpp"
#include "answers/search.hpp"
#include "treatment/simulation.hpp"
#include "treatment/trace.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <vector>

namespace tq::answers {

using treatment::Case;
using treatment::Run;
using treatment::Simulation;
using treatment::Stage;

namespace {

constexpr double longest_soak_s = 6 * 3600;
constexpr std::array<double, 4> air_times_s{2, 3, 5, 8};
constexpr double transfer_resolution_s = 0.25;
constexpr double cold_degC = 120; ///< below, neither pearlite nor bainite forms in the time of a quench

std::size_t centre_node(const Simulation& sim, std::size_t zone) {
  return static_cast<std::size_t>(sim.centre_row() * sim.grid().nx + sim.zone_columns()[zone]);
}

using ZoneFigures = std::array<double, treatment::zone_count>;

/// Share turned to pearlite and bainite per zone, worst through the thickness.
ZoneFigures transformed(const Simulation& sim) {
  ZoneFigures worst{};
  for (std::size_t z = 0; z < treatment::zone_count; ++z)
    for (int j = 0; j < sim.grid().ny; ++j) {
      const auto n = static_cast<std::size_t>(j * sim.grid().nx + sim.zone_columns()[z]);
      worst[z] = std::max(worst[z], sim.material()->pearlite()[n] + sim.material()->bainite()[n]);
    }
  return worst;
}

} // namespace

StationMargins soak_margins(const Case& c, std::size_t station) {
  StationMargins m;
  if (!c.has(Stage::furnace))
    return m;
  const Case quick = coarse_case(c);
  Simulation sim(quick, station);
  m.display_ready_s = sim.display_ready_s();
  m.furnace_final_degC = sim.furnace_final_degC();
  const double level = sim.furnace_final_degC() - c.wishes.within_K;
  std::vector<double> time;
  std::array<std::vector<double>, treatment::zone_count> T;
  sim.furnace(longest_soak_s, [&](const Simulation& s, Stage) {
    time.push_back(s.time());
    bool all = true;
    for (std::size_t z = 0; z < treatment::zone_count; ++z) {
      T[z].push_back(s.temperature()[centre_node(s, z)]);
      all = all && T[z].back() >= level;
    }
    return !all;
  });
  for (std::size_t z = 0; z < treatment::zone_count; ++z) {
    m.zones[z].at_temperature_degC = level;
    m.zones[z].display_ready_s = m.display_ready_s;
    m.zones[z].reaches_temperature_s = treatment::first_rise(time, T[z], level, 0, longest_soak_s);
  }
  return m;
}

StationMargins soak_margins(const Case& c, std::size_t station, const Run& run) {
  StationMargins m;
  if (!c.has(Stage::furnace))
    return m;
  const auto furnace = treatment::furnace_of(c);
  m.display_ready_s = furnace.display_ready_s();
  m.furnace_final_degC = furnace.final_degC();
  const double level = m.furnace_final_degC - c.wishes.within_K, out_s = run.spans.front().to_s;
  bool all = true;
  for (std::size_t z = 0; z < m.zones.size(); ++z) {
    m.zones[z].at_temperature_degC = level;
    m.zones[z].display_ready_s = m.display_ready_s;
    m.zones[z].reaches_temperature_s =
        treatment::first_rise(run.time_s, run.zones[z].temperature, level, 0, out_s);
    all = all && std::isfinite(m.zones[z].reaches_temperature_s);
  }
  return all ? m : soak_margins(c, station);
}

void quench_margins(const Case& c, std::size_t station, std::array<ZoneMargins, treatment::zone_count>& zones,
                    const std::function<void(double)>& progress) {
  if (!c.has(Stage::transfer) || c.steel.inert)
    return;
  const Case quick = coarse_case(c);
  Simulation sim(quick, station);
  if (c.has(Stage::furnace)) {
    const double out = *c.furnace.timer_s +
                       (c.furnace.timer_start == treatment::TimerStart::recovery ? sim.display_ready_s() : 0);
    sim.furnace(out);
  }
  const Simulation::Snapshot hot = sim.save();

  // in air, as if the transfer took that long
  for (std::size_t k = 0; k < air_times_s.size(); ++k) {
    sim.transfer(air_times_s[k] - (k > 0 ? air_times_s[k - 1] : 0));
    for (std::size_t z = 0; z < treatment::zone_count; ++z)
      zones[z].in_air_degC[k] = sim.temperature()[centre_node(sim, z)];
  }
  if (!c.has(Stage::bath))
    return;

  const Simulation::Observer while_hot = [](const Simulation& s, Stage) { return s.hottest() > cold_degC; };
  std::map<double, ZoneFigures> known; // shared by the zones: each search starts from what the others asked
  const auto at = [&](double seconds) -> const ZoneFigures& {
    const auto found = known.find(seconds);
    if (found != known.end())
      return found->second;
    sim.restore(hot);
    sim.transfer(seconds);
    sim.bath(c.bath.time_s, while_hot);
    if (c.bath.out_at_degC && c.has(Stage::cool)) // lifted hot: the rest happens in the air
      sim.cool(while_hot);
    progress(std::min(0.95, 0.08 * static_cast<double>(known.size())));
    return known.emplace(seconds, transformed(sim)).first->second;
  };
  const double own = c.transfer.time_s, limit = c.thresholds.transformed_pass;
  const ZoneFigures with_own = at(own);
  const Ladder longer{transfer_resolution_s, own};
  const long most = longer.at_most(std::max(most_transfer_s, own));
  for (std::size_t z = 0; z < treatment::zone_count; ++z) {
    ZoneMargins& m = zones[z];
    if (c.wishes.zones[z] != treatment::Wanted::hard) {
      m.transfer_to_spare_s = std::numeric_limits<double>::infinity(); // nothing is asked of it
      continue;
    }
    m.lost_in_transfer = with_own[z] > limit && at(0)[z] <= limit;
    if (with_own[z] > limit) {
      m.transfer_to_spare_s = 0;
      continue;
    }
    long good = 0, bad = most;
    for (const auto& [seconds, shares] : known) {
      if (seconds < own)
        continue;
      const long k = longer.at_least(seconds);
      (shares[z] <= limit ? good : bad) = shares[z] <= limit ? std::max(good, k) : std::min(bad, k);
    }
    const auto last = last_with_margin(std::min(good, bad), bad,
                                       [&](long k) { return log_margin(limit, at(longer.value(k))[z]); });
    m.transfer_to_spare_s = transfer_resolution_s * static_cast<double>(last.value_or(0));
  }
  progress(1);
}

} // namespace tq::answers
