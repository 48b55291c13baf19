#include "answers/margins.hpp"

#include "treatment/simulation.hpp"
#include "treatment/trace.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <vector>

namespace tq::answers {

using treatment::Case;
using treatment::Simulation;
using treatment::Stage;

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double longest_soak_s = 6 * 3600;
constexpr std::array<double, 4> air_times_s{2, 3, 5, 8};
constexpr double transfer_resolution_s = 0.25;

Case coarse(const Case& c) {
  Case out = c;
  out.solver.along = std::min(c.solver.along, 32);
  out.solver.across = std::min(c.solver.across, 4);
  out.solver.tolerance_K = std::max(c.solver.tolerance_K, 0.3);
  return out;
}

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
  for (auto& z : m.zones)
    z = {nan, nan, 0, {nan, nan, nan, nan}, nan, false};
  if (!c.has(Stage::furnace))
    return m;
  const Case quick = coarse(c);
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

void quench_margins(const Case& c, std::size_t station, StationMargins& margins,
                    const std::function<void(double)>& progress) {
  if (!c.has(Stage::transfer) || c.steel.inert)
    return;
  const Case quick = coarse(c);
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
      margins.zones[z].in_air_degC[k] = sim.temperature()[centre_node(sim, z)];
  }
  if (!c.has(Stage::bath))
    return;

  std::map<double, ZoneFigures> known;
  const auto at = [&](double seconds) -> const ZoneFigures& {
    const auto found = known.find(seconds);
    if (found != known.end())
      return found->second;
    sim.restore(hot);
    sim.transfer(seconds);
    sim.bath(c.bath.time_s);
    if (c.bath.out_at_degC && c.has(Stage::cool)) // lifted hot: the rest happens in the air
      sim.cool();
    progress(std::min(0.95, 0.03 * static_cast<double>(known.size())));
    return known.emplace(seconds, transformed(sim)).first->second;
  };
  const double own = c.transfer.time_s, limit = c.thresholds.transformed_pass;
  const ZoneFigures with_own = at(own), with_none = at(0);
  for (std::size_t z = 0; z < treatment::zone_count; ++z) {
    ZoneMargins& m = margins.zones[z];
    if (c.wishes.zones[z] != treatment::Wanted::hard) {
      m.transfer_to_spare_s = std::numeric_limits<double>::infinity(); // nothing is asked of it
      continue;
    }
    m.lost_in_transfer = with_own[z] > limit && with_none[z] <= limit;
    if (with_own[z] > limit) {
      m.transfer_to_spare_s = 0;
      continue;
    }
    double good = own, bad = std::max(most_transfer_s, own);
    for (double step = 1; own + step < most_transfer_s; step *= 2) {
      if (at(own + step)[z] > limit) {
        bad = own + step;
        break;
      }
      good = own + step;
    }
    if (bad >= most_transfer_s && at(bad)[z] <= limit) {
      m.transfer_to_spare_s = bad - own;
      continue;
    }
    while (bad - good > transfer_resolution_s) {
      const double middle = 0.5 * (good + bad);
      (at(middle)[z] > limit ? bad : good) = middle;
    }
    m.transfer_to_spare_s = good - own;
  }
  progress(1);
}

} // namespace tq::answers
