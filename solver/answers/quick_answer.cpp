#include "answers/quick_answer.hpp"

#include "answers/margins.hpp"
#include "answers/station_answer.hpp"
#include "answers/surface.hpp"
#include "surroundings/furnace.hpp"
#include "treatment/trace.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tq::answers {

using treatment::Case;
using treatment::Run;
using treatment::Stage;

namespace {

// With 256 members of drop_point_o1 and petty_1084_vegetable, no end and no middle of a band lies farther
// than 3.3 % of its width (0.3 % in the median) from where members on the grid of the case put it; what the
// grid does to the middle is taken out by the correction in bands.cpp.
constexpr int along = 16, across = 2;
constexpr double tolerance_K = 0.5;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

double final_degC(const Case& c) { return c.furnace.setpoint_degC + c.furnace.reading_offset_K; }

double display_ready_s(const Case& c) {
  const auto& f = c.furnace;
  return (f.loading == treatment::Loading::hot
              ? surroundings::FurnaceTemperature::hot(f.setpoint_degC, f.reading_offset_K, f.droop_K,
                                                      f.recovery_s)
              : surroundings::FurnaceTemperature::cold(f.start_degC, f.reading_offset_K, f.programme))
      .display_ready_s();
}

/// The soak's part, from the run as far as it goes; only a blade that came out too early needs a run of its
/// own.
StationMargins margins_of(const Case& c, std::size_t station, const Run& run) {
  StationMargins m;
  for (auto& z : m.zones)
    z = {nan, nan, 0, {nan, nan, nan, nan}, nan, false};
  if (!c.has(Stage::furnace))
    return m;
  m.display_ready_s = display_ready_s(c);
  m.furnace_final_degC = final_degC(c);
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

} // namespace

Case on_coarse_grid(const Case& c) {
  Case quick = c;
  quick.solver.along = std::min(c.solver.along, along);
  quick.solver.across = std::min(c.solver.across, across);
  quick.solver.tolerance_K = std::max(c.solver.tolerance_K, tolerance_K);
  quick.output_times_s = {1e12}; // no fields, so no steps that land on them
  quick.probes.clear();
  return quick;
}

std::vector<StationAnswer> quick_answer(const Case& c) {
  const Case quick = on_coarse_grid(c);
  std::vector<StationAnswer> answers;
  for (std::size_t i = 0; i < quick.blade.stations.size(); ++i) {
    const Run run = treatment::run_station(quick, i);
    answers.push_back(answer_station(quick, run, margins_of(quick, i, run)));
    answers.back().surface = surface_answer(quick, quick.blade.stations[i].profile, run, answers.back());
  }
  return answers;
}

} // namespace tq::answers
