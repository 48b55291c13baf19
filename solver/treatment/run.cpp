#include "treatment/run.hpp"

#include "treatment/simulation.hpp"

#include <algorithm>
#include <cmath>

namespace tq::treatment {

namespace {

constexpr double default_soak_end_s = 3600; ///< furnace stage of a case that gives neither timer nor soak

/// Frame times of one stage: even in the slow stages, crowded to the start in the bath.
std::vector<double> default_frames(Stage stage, double from, double length) {
  std::vector<double> times;
  switch (stage) {
  case Stage::furnace:
    for (int i = 1; i < 12; ++i)
      times.push_back(from + length * i / 12);
    break;
  case Stage::transfer:
    times.push_back(from + 0.5 * length);
    break;
  case Stage::bath:
    for (double t :
         {0.1, 0.2, 0.35, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.0, 10.0, 14.0, 20.0, 30.0, 60.0})
      if (t < length)
        times.push_back(from + t);
    break;
  case Stage::cool:
  case Stage::temper:
    for (int i = 1; i < 4; ++i)
      times.push_back(from + length * i / 4);
    break;
  }
  return times;
}

/// Writes down a simulation as it goes.
class Recorder {
 public:
  Recorder(const Case& c, Run& run, const Simulation& sim, const Progress& progress)
      : case_(c), run_(run), progress_(progress) {
    const auto& grid = sim.grid();
    const int row = sim.centre_row();
    for (int z = 0; z < zone_count; ++z) {
      const int i = sim.zone_columns()[static_cast<std::size_t>(z)];
      run.zone_column.push_back(i);
      zone_node_[static_cast<std::size_t>(z)] = static_cast<std::size_t>(row * grid.nx + i);
      run.zones.push_back(
          {zone_name(static_cast<Zone>(z)), grid.x[static_cast<std::size_t>(i)], grid.y(i, row), {}});
    }
    for (const Probe& p : c.probes) {
      run.probes.push_back({p.name, p.x_m, p.y_m, {}});
      readers_.emplace_back(grid, p.x_m, p.y_m);
    }
  }

  void stage(Stage stage, double from, double expected_end, double share_from, double share_to) {
    from_ = from;
    expected_ = std::max(expected_end, from + 1e-9);
    share_from_ = share_from;
    share_to_ = share_to;
    frame_times_ = case_.output_times_s.empty() ? default_frames(stage, from, expected_end - from)
                                                : case_.output_times_s;
    next_frame_ = 0;
    while (next_frame_ < frame_times_.size() && frame_times_[next_frame_] <= from + 1e-9)
      ++next_frame_;
  }
  const std::vector<double>& frame_times() const { return frame_times_; }

  bool operator()(const Simulation& sim, Stage stage) {
    const auto& T = sim.temperature();
    const double t = sim.time();
    run_.time_s.push_back(t);
    run_.surroundings_degC.push_back(sim.surroundings_degC());
    run_.outer_surface_max_degC.push_back(sim.outer_surface_max());
    run_.hottest_degC.push_back(sim.hottest());
    run_.heat_out_J_m.push_back(sim.heat_out());
    for (std::size_t z = 0; z < zone_count; ++z)
      run_.zones[z].temperature.push_back(T[zone_node_[z]]);
    for (std::size_t p = 0; p < readers_.size(); ++p)
      run_.probes[p].temperature.push_back(readers_[p](T));
    while (next_frame_ < frame_times_.size() && frame_times_[next_frame_] <= t + 1e-9) {
      if (std::abs(frame_times_[next_frame_] - t) < 1e-6)
        frame(sim, stage);
      ++next_frame_;
    }
    if (progress_) {
      const double part = std::clamp((t - from_) / (expected_ - from_), 0.0, 1.0);
      if (!progress_(share_from_ + part * (share_to_ - share_from_), stage))
        throw Interrupted();
    }
    return true;
  }

  void frame(const Simulation& sim, Stage stage) {
    if (!run_.frames.empty() && run_.frames.back().time_s >= sim.time() - 1e-9)
      return;
    run_.frames.push_back({sim.time(), stage, sim.node_state(), sim.hardness()});
  }

 private:
  const Case& case_;
  Run& run_;
  const Progress& progress_;
  std::array<std::size_t, zone_count> zone_node_{};
  std::vector<PointReader> readers_;
  std::vector<double> frame_times_;
  std::size_t next_frame_ = 0;
  double from_ = 0, expected_ = 1, share_from_ = 0, share_to_ = 1;
};

/// How much of the whole run each stage takes, for the progress figure (measured shares, rounded).
double stage_weight(Stage stage) {
  switch (stage) {
  case Stage::furnace:
    return 0.25;
  case Stage::transfer:
    return 0.05;
  case Stage::bath:
    return 0.3;
  case Stage::cool:
    return 0.1;
  case Stage::temper:
    return 0.3;
  }
  return 0;
}

double blade_out_s(const Case& c, const Simulation& sim) {
  if (!c.furnace.timer_s)
    return default_soak_end_s;
  return *c.furnace.timer_s + (c.furnace.timer_start == TimerStart::recovery ? sim.display_ready_s() : 0);
}

} // namespace

const char* zone_name(Zone zone) {
  switch (zone) {
  case zone_edge:
    return "edge";
  case zone_middle:
    return "middle";
  case zone_spine:
    return "spine";
  case zone_thickest:
    return "thickest";
  }
  return "";
}

Run run_station(const Case& c, std::size_t station, const Progress& progress, const StageHook& at_stage_end) {
  Run run;
  run.station = c.blade.stations.at(station).name;
  Simulation sim(c, station);
  run.grid = sim.grid();
  run.area_m2 = sim.area_m2();
  run.mass_kg = sim.area_m2() * c.steel.density_kg_m3 * c.blade.length_m;
  Recorder recorder(c, run, sim, progress);
  const Simulation::Observer observe = [&](const Simulation& s, Stage stage) { return recorder(s, stage); };

  double total = 0, done = 0;
  for (Stage stage : c.stages)
    total += stage_weight(stage);
  recorder.frame(sim, c.stages.front());
  const auto begin = [&](Stage stage, double expected_length, double weight) {
    const double share = weight / total;
    recorder.stage(stage, sim.time(), sim.time() + expected_length, done, done + share);
    sim.set_landings(recorder.frame_times());
    done += share;
    run.spans.push_back({stage, sim.time(), sim.time(), 0});
  };
  const auto end = [&](Stage stage) {
    run.spans.back().to_s = sim.time();
    recorder.frame(sim, stage);
    if (at_stage_end)
      at_stage_end(sim, stage);
  };

  for (Stage stage : c.stages) {
    switch (stage) {
    case Stage::furnace: {
      const double out = blade_out_s(c, sim);
      begin(stage, out, stage_weight(stage));
      sim.furnace(out, observe);
      end(stage);
      run.after_furnace = sim.node_state();
      break;
    }
    case Stage::transfer:
      begin(stage, c.transfer.time_s, stage_weight(stage));
      sim.transfer(c.transfer.time_s, observe);
      end(stage);
      break;
    case Stage::bath:
      begin(stage, c.bath.time_s, stage_weight(stage));
      sim.first_bath(c.bath.time_s, observe);
      run.bath_start_degC = sim.bath_start_degC();
      run.bath_end_degC = sim.bath_degC();
      run.tank = sim.tank();
      end(stage);
      if (c.second_bath) {
        begin(stage, c.second_bath->move_s + c.second_bath->time_s, 0);
        run.spans.back().cycle = 2;
        sim.second_bath(observe);
        run.second_bath_end_degC = sim.bath_degC();
        end(stage);
      }
      run.after_bath = sim.node_state();
      break;
    case Stage::cool:
      begin(stage, 600, stage_weight(stage));
      sim.cool(observe);
      end(stage);
      break;
    case Stage::temper:
      break; // below, once the as-quenched state is known
    }
  }
  if (run.after_bath.temperature.empty())
    run.after_bath = sim.node_state();
  run.after_cool = sim.node_state();
  run.as_quenched_HV = sim.hardness();
  run.austenite_before_cold = sim.austenite_before_cold();
  if (c.has(Stage::temper)) {
    for (int cycle = 1; cycle <= c.temper.count; ++cycle) {
      begin(Stage::temper, c.temper.time_s, stage_weight(Stage::temper) / c.temper.count);
      run.spans.back().cycle = cycle;
      sim.temper(cycle, observe);
      end(Stage::temper);
    }
  }
  if (run.time_s.empty())
    recorder(sim, c.stages.front()); // a transfer of 0 s alone takes no step
  run.final_state = sim.node_state();
  // tempering stages rest the clocks; the sums that count are those of the quench
  run.final_state.scheil_pearlite = run.after_cool.scheil_pearlite;
  run.final_state.scheil_bainite = run.after_cool.scheil_bainite;
  run.final_HV = sim.hardness();
  run.events = sim.events();
  run.counters = sim.counters();
  run.energy_residual = sim.energy_residual();
  run.solver_seconds = sim.solver_seconds();
  return run;
}

double foreseen_seconds(const Case& c) {
  // measured on the shipped cases at one to six times the default's lines: steps of a whole treatment, time
  // of a step for each node, and what the whole matrix adds with the square of the nodes across
  constexpr double usual_steps = 600, node_s = 2.5e-7, matrix_s = 2e-10, steps_per_swing = 20;
  double steps = usual_steps;
  const double oven_s = c.has(Stage::temper) ? c.temper.count * c.temper.time_s : 0;
  if (c.solver.max_step_s > 0) {
    const double all_s = oven_s +
                         (c.has(Stage::furnace) ? c.furnace.timer_s.value_or(default_soak_end_s) : 0) +
                         (c.has(Stage::bath) ? c.bath.time_s : 0);
    steps += all_s / c.solver.max_step_s;
  }
  if (c.temper.swing_K > 0 && c.temper.swing_period_s > 0)
    steps += steps_per_swing * oven_s / c.temper.swing_period_s;
  double seconds = 0;
  for (const Station& station : c.blade.stations) {
    const double across = c.solver.use_symmetry && station.profile.symmetric() ? 0.5 * c.solver.across + 1
                                                                               : c.solver.across + 1;
    seconds += steps * (c.solver.along + 1) * across * (node_s + matrix_s * across * across);
  }
  return seconds;
}

} // namespace tq::treatment
