#include "answers/margins.hpp"

#include "answers/coarse_case.hpp"
#include "answers/foreseen_transfer.hpp"
#include "answers/search.hpp"
#include "answers/zone_reach.hpp"
#include "steel/reference_carbon.hpp"
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

constexpr double longest_soak_s = 6 * 3600;
constexpr std::array<double, 4> air_times_s{2, 3, 5, 8};
constexpr double transfer_resolution_s = 0.25;

std::size_t centre_node(const Simulation& sim, std::size_t zone) {
  return static_cast<std::size_t>(sim.centre_row() * sim.grid().nx + sim.zone_columns()[zone]);
}

/// Share turned to pearlite and bainite per zone, worst within its reach.
ZoneFigures transformed(const Case& c, const Simulation& sim) {
  ZoneFigures worst{};
  const auto reaches = zone_reaches(c, sim.grid(), sim.zone_columns());
  for (std::size_t z = 0; z < treatment::zone_count; ++z)
    reaches[z].each_node(sim.grid(), [&](std::size_t n, int) {
      worst[z] = std::max(worst[z], sim.material()->pearlite()[n] + sim.material()->bainite()[n]);
    });
  return worst;
}

/// Below it neither pearlite nor bainite forms any more (their rates are tabulated in steps of a kelvin).
double decomposes_above_degC(const records::SteelRecord& steel) {
  return steel::martensite_start(steel, steel::reference_carbon(steel)) - 1;
}

/// Shares turned when the way to the bath takes `seconds`.
ZoneFigures turned_after(const Case& c, Simulation& sim, const Simulation::Snapshot& hot, double seconds) {
  const double cold_degC = decomposes_above_degC(c.steel);
  const Simulation::Observer while_hot = [cold_degC](const Simulation& s) { return s.hottest() > cold_degC; };
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
  sim.run(furnace, observe, longest_soak_s);
  for (std::size_t z = 0; z < treatment::zone_count; ++z) {
    m.zones[z].at_temperature_degC = level;
    m.zones[z].display_ready_s = m.display_ready_s;
    m.zones[z].reaches_temperature_s = treatment::first_rise(time, T[z], level, 0, longest_soak_s);
  }
  return m;
}

StationMargins soak_margins_within(const Case& c, const Run& run) {
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
  for (std::size_t z = 0; z < m.zones.size(); ++z) {
    const LeastSoak least = least_soak(run.grid, reaches[z], run.after_furnace.time_at_temperature);
    m.zones[z].at_temperature_degC = level;
    m.zones[z].display_ready_s = m.display_ready_s;
    m.zones[z].reaches_temperature_s =
        treatment::first_rise(run.time_s, run.zones[z].temperature, level, span.from_s, span.to_s) -
        span.from_s + (least.seconds > 0 ? least.later_s : ZoneMargins::none);
  }
  return m;
}

StationMargins soak_margins(const Case& c, std::size_t station, const Run& run) {
  StationMargins m = soak_margins_within(c, run);
  const bool all = std::all_of(m.zones.begin(), m.zones.end(),
                               [](const ZoneMargins& z) { return std::isfinite(z.reaches_temperature_s); });
  return all || !c.heated() ? m : soak_margins(c, station);
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
  ForeseenTransfer foreseen(c, sim, hot, sim.node_state(), longer.value(most) - own);
  foreseen.learn(0, with_own);
  const auto guess_of = [&](std::size_t z) {
    return std::clamp(longer.at_most(own + foreseen.seconds_to_spare(z)), 0L, most);
  };
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
    const auto good = [&](const std::vector<long>& rungs) {
      std::vector<char> answers;
      for (const long k : rungs) {
        const ZoneFigures& shares = at(longer.value(k));
        foreseen.learn(longer.value(k) - own, shares);
        answers.push_back(shares[z] <= limit);
      }
      return answers;
    };
    for (int look = 0; look < 2; ++look) // what the first quench there teaches moves the guess
      good({guess_of(z)});
    const auto last = last_good_from(guess_of(z), 0, most, good, 1);
    m.transfer_to_spare_s = transfer_resolution_s * static_cast<double>(last.value_or(0));
  }
  progress(1);
}

ZoneFigures rough_transfer_to_spare(const Case& c, Simulation& sim, const Simulation::Snapshot& hot,
                                    const treatment::NodeState& quenched, const ZoneFigures& turned) {
  const double limit = c.thresholds.transformed_pass,
               most = std::max(0.0, most_transfer_s - c.transfer().time_s);
  constexpr int most_tried = 3;
  constexpr double near_enough = 0.2; ///< of the margin, a logarithm of shares
  const auto asked = [&](std::size_t z) { return c.wishes.zones[z] == treatment::Wanted::hard; };
  const auto first_to_fail = [&](const ZoneFigures& shares) {
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t z = 0; z < treatment::zone_count; ++z)
      if (asked(z))
        least = std::min(least, log_margin(limit, shares[z]));
    return least;
  };
  const double now = first_to_fail(turned);
  ZoneFigures out{};
  for (std::size_t z = 0; z < treatment::zone_count; ++z)
    out[z] = asked(z) ? 0 : std::numeric_limits<double>::infinity();
  if (!(now >= 0) || std::isinf(now))
    return out;
  ForeseenTransfer foreseen(c, sim, hot, quenched, most);
  foreseen.learn(0, turned);
  double last = -1;
  for (int tried = 0; tried < most_tried; ++tried) {
    const double seconds = foreseen.seconds_to_spare();
    if (seconds == last || seconds <= 0)
      break;
    last = seconds;
    const ZoneFigures shares = turned_after(c, sim, hot, c.transfer().time_s + seconds);
    foreseen.learn(seconds, shares);
    const double margin = first_to_fail(shares);
    if (std::abs(margin) < near_enough || (margin >= 0 && seconds >= most))
      break;
  }
  for (std::size_t z = 0; z < treatment::zone_count; ++z)
    if (asked(z))
      out[z] = foreseen.seconds_to_spare(z);
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
