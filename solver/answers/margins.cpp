#include "answers/margins.hpp"

#include "answers/coarse_case.hpp"
#include "answers/search.hpp"
#include "answers/wanted.hpp"
#include "answers/zone_reach.hpp"
#include "steel/grain.hpp"
#include "treatment/simulation.hpp"
#include "treatment/trace.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <vector>

namespace tq::answers {

using treatment::Case;
using treatment::Part;
using treatment::Run;
using treatment::Simulation;

namespace {

constexpr std::array<double, 4> air_times_s{2, 3, 5, 8};
constexpr double transfer_resolution_s = 0.25;
constexpr double cold_degC = 120; ///< below, neither pearlite nor bainite forms in the time of a quench

std::size_t centre_node(const Simulation& sim, std::size_t zone) {
  return static_cast<std::size_t>(sim.centre_row() * sim.grid().nx + sim.zone_columns()[zone]);
}

using ZoneFigures = std::array<double, treatment::zone_count>;

/// Share turned to pearlite and bainite per zone, worst within its reach.
ZoneFigures transformed(const Case& c, const Simulation& sim) {
  ZoneFigures worst{};
  const auto reaches = zone_reaches(c.wanted_zones(sim.station()), sim.grid(), sim.zone_columns());
  for (std::size_t z = 0; z < treatment::zone_count; ++z)
    reaches[z].each_node(sim.grid(), [&](std::size_t n, int) {
      worst[z] = std::max(worst[z], sim.material()->pearlite()[n] + sim.material()->bainite()[n]);
    });
  return worst;
}

/// Shares turned when the way to the bath takes `seconds`.
ZoneFigures turned_after(const Case& c, Simulation& sim, const Simulation::Snapshot& hot, double seconds) {
  const Simulation::Observer while_hot = [](const Simulation& s) { return s.hottest() > cold_degC; };
  const treatment::Hardening h = c.hardening();
  sim.restore(hot);
  sim.run(*h.carry, {}, seconds);
  // lifted hot, the rest happens in the air
  const std::size_t end = h.after(c.bath().out_at_degC ? Part::cool : Part::bath);
  for (std::size_t k = *h.carry + 1; k < end; ++k)
    sim.run(k, while_hot);
  return transformed(c, sim);
}

} // namespace

StationMargins soak_margins(const Case& c, std::size_t station) {
  StationMargins m;
  if (!c.heated())
    return m;
  const Case quick = coarse_case(c);
  Simulation sim(quick, station);
  m.display_ready_s = sim.display_ready_s();
  m.furnace_final_degC = sim.furnace_final_degC();
  const double level = sim.furnace_final_degC() - c.wishes.within_K;
  std::vector<double> time;
  std::array<std::vector<double>, treatment::zone_count> T;
  const std::size_t furnace = *c.hardening().furnace;
  for (std::size_t k = 0; k < furnace; ++k)
    sim.run(k);
  const double start = sim.time();
  const auto reaches = soak_reaches(sim.grid(), sim.zone_columns());
  const auto observe = [&](const Simulation& s) {
    time.push_back(s.time() - start);
    bool all = true;
    for (std::size_t z = 0; z < treatment::zone_count; ++z) {
      double coldest = std::numeric_limits<double>::infinity();
      reaches[z].each_node(s.grid(),
                           [&](std::size_t n, int) { coldest = std::min(coldest, s.temperature()[n]); });
      T[z].push_back(coldest);
      all = all && T[z].back() >= level;
    }
    return !all;
  };
  sim.run(furnace, observe, steel::longest_soak_s);
  for (std::size_t z = 0; z < treatment::zone_count; ++z) {
    m.zones[z].at_temperature_degC = level;
    m.zones[z].display_ready_s = m.display_ready_s;
    m.zones[z].reaches_temperature_s = treatment::first_rise(time, T[z], level, 0, steel::longest_soak_s);
  }
  return m;
}

StationMargins soak_margins(const Case& c, std::size_t station, const Run& run) {
  StationMargins m;
  if (!c.heated())
    return m;
  const auto furnace = treatment::temperature_of(c.furnace());
  m.display_ready_s = furnace.display_ready_s();
  m.furnace_final_degC = furnace.final_degC();
  const double level = m.furnace_final_degC - c.wishes.within_K;
  const treatment::StepSpan& span = *treatment::span_of(run, Part::furnace);
  std::array<int, treatment::zone_count> columns{};
  std::copy_n(run.zone_column.begin(), columns.size(), columns.begin());
  const auto reaches = soak_reaches(run.grid, columns);
  bool all = true;
  for (std::size_t z = 0; z < m.zones.size(); ++z) {
    const LeastSoak least = least_soak(run.grid, reaches[z], run.after_furnace.time_at_temperature);
    m.zones[z].at_temperature_degC = level;
    m.zones[z].display_ready_s = m.display_ready_s;
    m.zones[z].reaches_temperature_s =
        treatment::first_rise(run.time_s, run.zones[z].temperature, level, span.from_s, span.to_s) -
        span.from_s + (least.seconds > 0 ? least.later_s : ZoneMargins::none);
    all = all && std::isfinite(m.zones[z].reaches_temperature_s);
  }
  return all ? m : soak_margins(c, station);
}

void quench_margins(const Case& c, std::size_t station, std::array<ZoneMargins, treatment::zone_count>& zones,
                    const std::function<void(double)>& progress) {
  if (!c.carried() || c.steel.inert)
    return;
  const Case quick = coarse_case(c);
  Simulation sim(quick, station);
  const treatment::Hardening h = c.hardening();
  for (std::size_t k = 0; k < *h.carry; ++k)
    sim.run(k);
  const Simulation::Snapshot hot = sim.save();

  // in air, as if the transfer took that long
  for (std::size_t k = 0; k < air_times_s.size(); ++k) {
    sim.run(*h.carry, {}, air_times_s[k] - (k > 0 ? air_times_s[k - 1] : 0));
    for (std::size_t z = 0; z < treatment::zone_count; ++z)
      zones[z].in_air_degC[k] = sim.temperature()[centre_node(sim, z)];
  }
  if (!c.quenched())
    return;

  std::map<double, ZoneFigures> known; // shared by the zones: each search starts from what the others asked
  const auto at = [&](double seconds) -> const ZoneFigures& {
    const auto found = known.find(seconds);
    if (found != known.end())
      return found->second;
    const ZoneFigures shares = turned_after(c, sim, hot, seconds);
    progress(std::min(0.95, 0.08 * static_cast<double>(known.size())));
    return known.emplace(seconds, shares).first->second;
  };
  const double own = c.transfer().time_s, limit = c.thresholds.transformed_pass;
  const ZoneFigures with_own = at(own);
  const Ladder longer{transfer_resolution_s, own};
  const long most = longer.at_most(std::max(most_transfer_s, own));
  for (std::size_t z = 0; z < treatment::zone_count; ++z) {
    ZoneMargins& m = zones[z];
    if (wanted_of(c, station, z) != treatment::Wanted::hard) {
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

ZoneFigures rough_transfer_to_spare(const Case& c, Simulation& sim, const Simulation::Snapshot& hot,
                                    const ZoneFigures& turned, double guess_s) {
  const double limit = c.thresholds.transformed_pass,
               most = std::max(0.0, most_transfer_s - c.transfer().time_s);
  constexpr int most_tried = 3;
  constexpr double near_enough = 0.2;  ///< of the margin, a logarithm of shares
  std::map<double, ZoneFigures> known; // margins over seconds to spare
  const auto keep = [&](double seconds, const ZoneFigures& shares) {
    ZoneFigures& margins = known[seconds];
    for (std::size_t z = 0; z < treatment::zone_count; ++z)
      margins[z] = log_margin(limit, shares[z]);
  };
  const auto asked = [&](std::size_t z) { return wanted_of(c, sim.station(), z) == treatment::Wanted::hard; };
  // where the straight line through the two known points about (or before) the change of sign passes zero
  const auto crossing = [&](const std::function<double(const ZoneFigures&)>& margin) {
    if (known.size() < 2)
      return std::clamp(guess_s, std::min(2.0, most), most);
    auto next = std::next(known.begin());
    while (margin(next->second) >= 0 && std::next(next) != known.end())
      ++next;
    const auto before = std::prev(next);
    const double a = margin(before->second), b = margin(next->second);
    if (b >= 0 && a - b < 1e-3)
      return most; // flat: no end in sight
    return std::clamp(before->first + (next->first - before->first) * a / (a - b), 0.0, most);
  };
  const auto first_to_fail = [&](const ZoneFigures& margins) {
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t z = 0; z < treatment::zone_count; ++z)
      if (asked(z))
        least = std::min(least, margins[z]);
    return least;
  };
  keep(0, turned);
  if (const double now = first_to_fail(known.at(0)); now >= 0 && std::isfinite(now))
    for (int tried = 0; tried < most_tried; ++tried) {
      const double seconds = crossing(first_to_fail);
      if (known.count(seconds) > 0)
        break;
      keep(seconds, turned_after(c, sim, hot, c.transfer().time_s + seconds));
      if (std::abs(first_to_fail(known.at(seconds))) < near_enough)
        break;
    }
  ZoneFigures out{};
  for (std::size_t z = 0; z < treatment::zone_count; ++z)
    out[z] = !asked(z)            ? std::numeric_limits<double>::infinity()
             : known.at(0)[z] < 0 ? 0
             : known.size() < 2   ? 0
                                  : crossing([z](const ZoneFigures& margins) { return margins[z]; });
  return out;
}

double seconds_until_below(const Run& run, const treatment::StepSpan& span,
                           const std::optional<double>& level_degC) {
  if (!level_degC)
    return std::numeric_limits<double>::quiet_NaN();
  const std::vector<double>& surface = run.outer_surface_max_degC;
  const double last = treatment::last_fall(run.time_s, surface, *level_degC, span.from_s, span.to_s);
  const bool always_below =
      std::isnan(last) && treatment::trace_value(run.time_s, surface, span.to_s) < *level_degC;
  return always_below ? 0 : last - span.from_s;
}

} // namespace tq::answers
