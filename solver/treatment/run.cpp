#include "treatment/run.hpp"

#include "treatment/simulation.hpp"

#include <algorithm>
#include <cmath>

namespace tq::treatment {

namespace {

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

  void step(const Step& step, double from, double share_from, double share_to) {
    const double length = std::visit([](const auto& s) { return expected_s(s); }, step.kind);
    from_ = from;
    expected_ = std::max(from + length, from + 1e-9);
    share_from_ = share_from;
    share_to_ = share_to;
    frame_times_ = case_.output_times_s;
    if (frame_times_.empty())
      for (const double t : std::visit([](const auto& s) { return usual_frames(s); }, step.kind))
        frame_times_.push_back(from + t);
    next_frame_ = 0;
    while (next_frame_ < frame_times_.size() && frame_times_[next_frame_] <= from + 1e-9)
      ++next_frame_;
  }
  const std::vector<double>& frame_times() const { return frame_times_; }

  bool operator()(const Simulation& sim) {
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
        frame(sim);
      ++next_frame_;
    }
    if (progress_) {
      const double part = std::clamp((t - from_) / (expected_ - from_), 0.0, 1.0);
      if (!progress_(share_from_ + part * (share_to_ - share_from_), part_of(sim.step())))
        throw Interrupted();
    }
    return true;
  }

  void frame(const Simulation& sim) {
    if (!run_.frames.empty() && run_.frames.back().time_s >= sim.time() - 1e-9)
      return;
    run_.frames.push_back({sim.time(), part_of(sim.step()), sim.node_state(), sim.hardness()});
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

const StepSpan* span_of(const Run& run, Part part) {
  const auto first = run.hardening.first(part);
  const auto span =
      std::find_if(run.spans.begin(), run.spans.end(), [&](const StepSpan& s) { return s.step == first; });
  return first && span != run.spans.end() ? &*span : nullptr;
}

Run run_station(const Case& c, std::size_t station, const Progress& progress, const StepHook& at_step_end) {
  Run run;
  run.station = c.blade.stations.at(station).name;
  Simulation sim(c, station);
  run.grid = sim.grid();
  run.area_m2 = sim.area_m2();
  run.mass_kg = sim.area_m2() * c.steel.density_kg_m3 * c.blade.length_m;
  Recorder recorder(c, run, sim, progress);
  const Simulation::Observer observe = std::ref(recorder);
  const auto weight_of = [](const Step& step) {
    return std::visit([](const auto& s) { return weight(s); }, step.kind);
  };
  double total = 0, done = 0;
  for (const Step& step : c.steps)
    total += weight_of(step);
  const Hardening hardening = run.hardening = c.hardening();
  const std::size_t quenched = hardening.after(Part::cool);
  const auto note_quenched = [&] {
    run.after_cool = sim.node_state();
    run.as_quenched_HV = sim.hardness();
    if (run.after_bath.temperature.empty())
      run.after_bath = run.after_cool;
  };
  recorder.frame(sim);
  int baths = 0, ovens = 0;
  for (std::size_t k = 0; k < c.steps.size(); ++k) {
    const double share = weight_of(c.steps[k]) / total;
    recorder.step(c.steps[k], sim.time(), done, done + share);
    sim.set_landings(recorder.frame_times());
    done += share;
    StepSpan span;
    span.step = k;
    span.part = part_of(c.steps[k]);
    span.from_s = sim.time();
    if (span.part == Part::furnace)
      baths = ovens = 0;
    span.cycle = span.part == Part::temper ? ++ovens : span.part == Part::bath && ++baths > 1 ? baths : 0;
    if (k == quenched)
      note_quenched();
    sim.run(k, observe);
    span.to_s = sim.time();
    if (c.steps[k].as<Bath>()) {
      span.bath_start_degC = sim.bath_start_degC();
      span.bath_end_degC = sim.bath_degC();
      span.tank = sim.tank();
    }
    recorder.frame(sim);
    span.frame = run.frames.size() - 1;
    run.spans.push_back(span);
    if (at_step_end)
      at_step_end(sim, k);
    if (k == hardening.furnace)
      run.after_furnace = sim.node_state();
    if (hardening.bath && k + 1 == hardening.after(Part::bath))
      run.after_bath = sim.node_state();
  }
  if (quenched >= c.steps.size())
    note_quenched();
  run.austenite_before_cold = sim.austenite_before_cold();
  if (run.time_s.empty())
    recorder(sim); // a transfer of 0 s alone takes no step
  run.final_state = sim.node_state();
  // tempering rests the clocks; the sums that count are those of the quench
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
  for (const Step& step : c.steps) {
    if (c.solver.max_step_s > 0)
      steps += std::visit([](const auto& settings) { return expected_s(settings); }, step.kind) /
               c.solver.max_step_s;
    if (const auto* oven = step.as<Oven>(); oven && oven->swing_K > 0 && oven->swing_period_s > 0)
      steps += steps_per_swing * oven->time_s / oven->swing_period_s;
  }
  double seconds = 0;
  for (const Station& station : c.blade.stations) {
    const double across = c.solver.use_symmetry && station.profile.symmetric() ? 0.5 * c.solver.across + 1
                                                                               : c.solver.across + 1;
    seconds += steps * (c.solver.along + 1) * across * (node_s + matrix_s * across * across);
  }
  return seconds;
}

} // namespace tq::treatment
