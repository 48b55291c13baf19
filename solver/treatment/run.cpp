#include "treatment/run.hpp"

#include "treatment/simulation.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace tq::treatment {

/// Writes down a simulation as it goes.
class RunRecorder {
 public:
  RunRecorder(const Case& c, Run& run, const Simulation& sim, const Progress& progress)
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

  void leave_out_frames() { no_frames_ = true; }
  void keep_last_frames(bool with_hardness) {
    last_frames_ = true;
    hardness_too_ = with_hardness;
  }

  void step(const Step& step, double from, double share_from, double share_to) {
    const double length = std::visit([](const auto& s) { return expected_s(s); }, step.kind);
    from_ = from;
    expected_ = std::max(from + length, from + 1e-9);
    share_from_ = share_from;
    share_to_ = share_to;
    frame_times_ = no_frames_ ? std::vector<double>{} : case_.output_times_s;
    if (frame_times_.empty() && !no_frames_)
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
      if (!last_frames_ && std::abs(frame_times_[next_frame_] - t) < 1e-6)
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
    run_.frames.push_back({sim.time(), part_of(sim.step()), sim.node_state(),
                           hardness_too_ ? sim.hardness() : std::vector<double>{}});
  }

 private:
  const Case& case_;
  Run& run_;
  const Progress& progress_;
  std::array<std::size_t, zone_count> zone_node_{};
  std::vector<PointReader> readers_;
  std::vector<double> frame_times_;
  std::size_t next_frame_ = 0;
  bool no_frames_ = false, last_frames_ = false, hardness_too_ = true;
  double from_ = 0, expected_ = 1, share_from_ = 0, share_to_ = 1;
};

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

/// How far a run is, beside the state of the simulation.
struct RunMark {
  std::size_t step = 0; ///< the next one
  int baths = 0, ovens = 0;
  double done = 0;                                ///< share of all steps, by weight
  std::size_t times = 0, frames = 0, spans = 0;   ///< of the run
  std::optional<Simulation::Snapshot> state = {}; ///< nothing: where the simulation stands
  std::optional<Simulation::Books> books = {};
};

struct StationRunner::Record {
  Run run;
  RunMark at;
  std::vector<RunMark> marks;
  std::optional<std::size_t> quench_noted = {}; ///< steps before which the run has noted what the quench left
};

struct StationRunner::Parts : StationRunner::Record {
  Parts(const Case& of, std::size_t station, const Progress& told)
      : c(of), progress(told), sim(c, station), recorder(c, run, sim, progress) {
    run.station = c.blade.stations.at(station).name;
    run.grid = sim.grid();
    run.area_m2 = sim.area_m2();
    run.mass_kg = sim.area_m2() * c.steel.density_kg_m3 * c.blade.length_m;
  }

  /// Remembers the present place when it is one of those wanted.
  void keep() {
    if (!keep_after.contains(at.step))
      return;
    RunMark mark{at.step,           at.baths,          at.ovens,        at.done,
                 run.time_s.size(), run.frames.size(), run.spans.size()};
    mark.state = sim.save();
    mark.books = sim.books();
    marks.push_back(std::move(mark));
  }
  /// Goes back to the last place kept within the first `shared` steps.
  void go_back(std::size_t shared) {
    while (!marks.empty() && marks.back().step > shared)
      marks.pop_back();
    if (marks.empty())
      throw std::logic_error("nothing kept to begin at");
    const RunMark& mark = marks.back();
    at = {mark.step, mark.baths, mark.ovens, mark.done};
    if (quench_noted && *quench_noted > at.step)
      quench_noted.reset();
    sim.restore(*mark.state);
    sim.set_books(*mark.books);
    for (auto* series : {&run.time_s, &run.surroundings_degC, &run.outer_surface_max_degC, &run.hottest_degC,
                         &run.heat_out_J_m})
      series->resize(mark.times);
    for (auto* traces : {&run.zones, &run.probes})
      for (Trace& trace : *traces)
        trace.temperature.resize(mark.times);
    run.frames.resize(mark.frames);
    run.spans.resize(mark.spans);
  }
  void note_quenched() {
    if (quench_noted == at.step)
      return; // as in the run before
    quench_noted = at.step;
    run.after_cool = sim.node_state();
    run.as_quenched_HV = sim.hardness();
    if (!run.hardening.bath || at.step < run.hardening.after(Part::bath))
      run.after_bath = run.after_cool;
  }
  void run_step(std::size_t k, double share, const StepHook& at_step_end);
  void finish();

  const Case& c;
  Progress progress;
  Simulation sim;
  RunRecorder recorder;
  std::set<std::size_t> keep_after;
};

void StationRunner::Parts::run_step(std::size_t k, double share, const StepHook& at_step_end) {
  const Hardening& hardening = run.hardening;
  recorder.step(c.steps[k], sim.time(), at.done, at.done + share);
  sim.set_landings(recorder.frame_times());
  at.done += share;
  StepSpan span;
  span.step = k;
  span.part = part_of(c.steps[k]);
  span.from_s = sim.time();
  if (span.part == Part::furnace)
    at.baths = at.ovens = 0;
  span.cycle = span.part == Part::temper                   ? ++at.ovens
               : span.part == Part::bath && ++at.baths > 1 ? at.baths
                                                           : 0;
  if (k == hardening.after(Part::cool))
    note_quenched();
  sim.run(k, std::ref(recorder));
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

void StationRunner::Parts::finish() {
  if (at.step <= run.hardening.after(Part::cool))
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
}

StationRunner::StationRunner(const Case& c, std::size_t station, const Progress& progress)
    : parts_(std::make_unique<Parts>(c, station, progress)) {}
StationRunner::StationRunner(const Case& c, std::size_t station, const Record& record)
    : StationRunner(c, station) {
  static_cast<Record&>(*parts_) = record;
}
StationRunner::~StationRunner() = default;
StationRunner::StationRunner(StationRunner&&) noexcept = default;

void StationRunner::keep_after(std::set<std::size_t> steps) { parts_->keep_after = std::move(steps); }

void StationRunner::leave_out_frames() { parts_->recorder.leave_out_frames(); }
void StationRunner::keep_last_frames(bool with_hardness) { parts_->recorder.keep_last_frames(with_hardness); }

const Run& StationRunner::run(std::size_t shared, const StepHook& at_step_end, std::size_t until) {
  Parts& p = *parts_;
  const auto weight_of = [](const Step& step) {
    return std::visit([](const auto& s) { return weight(s); }, step.kind);
  };
  double total = 0;
  for (const Step& step : p.c.steps)
    total += weight_of(step);
  if (p.run.frames.empty()) {
    p.recorder.frame(p.sim);
    p.keep();
  } else {
    p.go_back(shared);
  }
  p.run.hardening = p.c.hardening();
  while (p.at.step < std::min(until, p.c.steps.size())) {
    const std::size_t k = p.at.step;
    p.run_step(k, weight_of(p.c.steps[k]) / total, at_step_end);
    p.at.step = k + 1;
    p.keep();
  }
  p.finish();
  return p.run;
}

Run& StationRunner::last_run() { return parts_->run; }
const Run& StationRunner::last_run() const { return parts_->run; }

std::shared_ptr<const StationRunner::Record> StationRunner::record() const {
  return std::make_shared<Record>(*parts_);
}

Run run_station(const Case& c, std::size_t station, const Progress& progress, const StepHook& at_step_end) {
  StationRunner runner(c, station, progress);
  runner.run(0, at_step_end);
  return std::move(runner.last_run());
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
