#include "answers/experiment.hpp"

#include "answers/careful_timer.hpp"
#include "answers/margins.hpp"
#include "answers/station_answer.hpp"
#include "answers/timer.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

namespace tq::answers {

using treatment::Case;
using treatment::Part;
using treatment::Run;

double timer_for_soak(const Case& c) {
  double timer = 0;
  for (std::size_t i = 0; i < c.blade.stations.size(); ++i)
    for (const ZoneMargins& z : soak_margins(c, i).zones) {
      const double needed = z.reaches_temperature_s + c.wishes.soak_s;
      if (std::isnan(needed))
        return ZoneMargins::none;
      timer = std::max(timer, needed);
    }
  return whole_minutes_up(timer);
}

Experiment::Experiment(Case c) : case_(std::move(c)) {
  if (case_.heated() && !case_.furnace().timer_s && case_.wishes.soak_s > 0) {
    const double timer = careful_timer(case_).careful_s;
    set_timer_from_door(case_, std::isnan(timer) ? treatment::no_timer_s : timer);
  }
  make_room();
}

void Experiment::make_room() {
  const std::size_t stations = case_.blade.stations.size();
  runners_.resize(stations);
  figures_.resize(stations);
  steps_done_.resize(stations, 0);
}

std::unique_ptr<Experiment::Runner> Experiment::new_runner(std::size_t station,
                                                           const treatment::Progress& progress) const {
  auto runner = known_.empty() ? std::make_unique<Runner>(case_, station, progress)
                               : std::make_unique<Runner>(case_, station, *known_[station]);
  if (fields_ == Fields::none)
    runner->leave_out_frames();
  else if (fields_ != Fields::all)
    runner->keep_last_frames(fields_ == Fields::step_ends_with_hardness);
  return runner;
}

std::unique_ptr<Experiment> Experiment::twin() const {
  std::unique_ptr<Experiment> other(new Experiment);
  other->case_ = case_;
  other->known_ = known_;
  other->fields_ = fields_;
  if (prepared()) {
    other->known_.clear();
    for (const auto& runner : runners_)
      other->known_.push_back(runner->record());
  }
  other->steps_done_ = steps_done_;
  other->figures_ = figures_;
  other->make_room();
  return other;
}

void Experiment::prepare() {
  if (prepared())
    return;
  make_room(); // an edit may have changed the stations
  for (std::size_t i = 0; i < runners_.size(); ++i)
    runners_[i] = new_runner(i);
  known_.clear();
}

void Experiment::change(Part from, const std::function<void(Case&)>& edit) {
  edit(case_);
  const std::size_t before = case_.hardening().before(from);
  changed(from, before);
  if (before == 0)
    forget();
}

void Experiment::changed(Part from, std::size_t before) {
  for (auto at = static_cast<std::size_t>(from); at < treatment::part_count; ++at) {
    for (Figures& of_station : figures_)
      of_station[at].reset();
    gathered_[at].reset();
  }
  for (std::size_t& done : steps_done_)
    done = std::min(done, before);
}

void Experiment::forget() {
  for (auto& runner : runners_)
    runner.reset();
  known_.clear();
}

void Experiment::become(Case next, std::optional<std::size_t> shared, std::set<std::size_t> kept) {
  case_ = std::move(next);
  changed(Part::furnace, shared.value_or(0));
  if (!shared)
    forget();
  make_room();
  kept_ = std::move(kept);
}

const Run& Experiment::whole_run(std::size_t station, const treatment::Progress& progress,
                                 const treatment::StepHook& at_step_end) {
  auto& runner = runners_[station];
  if (!runner)
    runner = new_runner(station, progress);
  runner->keep_after(kept_);
  const std::size_t shared = std::exchange(steps_done_[station], 0); // until the run has gone well
  const Run& run = runner->run(shared, at_step_end);
  steps_done_[station] = case_.steps.size();
  return run;
}

Run Experiment::take_run(std::size_t station, const treatment::Progress& progress) {
  whole_run(station, progress);
  Run run = std::move(runners_[station]->last_run());
  runners_[station].reset();
  steps_done_[station] = 0;
  return run;
}

std::optional<Part> Experiment::last_part(Part until) const {
  for (int at = static_cast<int>(until); at >= 0; --at)
    if (case_.has(static_cast<Part>(at)))
      return static_cast<Part>(at);
  return std::nullopt;
}

void Experiment::compute(Part until, std::size_t station) {
  const std::optional<Part> last = last_part(until);
  if (!last)
    return;
  auto& figures = figures_[station][static_cast<std::size_t>(*last)];
  if (figures)
    return;
  const treatment::Hardening h = case_.hardening();
  Runner& runner = *runners_[station];
  std::size_t& done = steps_done_[station];
  const std::size_t end = h.after(*last);
  const auto figures_of = [&](const Run& run) {
    return answer_station(case_, run, soak_margins_within(case_, run));
  };
  if (done > end) { // gone past already
    Runner back(case_, station, *runner.record());
    back.leave_out_frames();
    figures = figures_of(back.run(end, {}, end));
    return;
  }
  std::set<std::size_t> places{0};
  for (std::size_t part = 0; part < treatment::part_count; ++part)
    places.insert(h.done[part]);
  runner.keep_after(std::move(places));
  const std::size_t shared = done;
  done = 0; // until the run has gone well
  figures = figures_of(runner.run(shared, {}, end));
  done = end;
}

const Outcome& Experiment::outcome(Part until) {
  prepare();
  const std::optional<Part> last = last_part(until);
  if (!last) {
    if (start_.stations.empty())
      for (const auto& runner : runners_)
        start_.stations.push_back(answer_station(case_, runner->run(0, {}, 0), {}));
    return start_;
  }
  auto& gathered = gathered_[static_cast<std::size_t>(*last)];
  if (!gathered) {
    Outcome all;
    for (std::size_t i = 0; i < runners_.size(); ++i) {
      compute(*last, i);
      all.stations.push_back(*figures_[i][static_cast<std::size_t>(*last)]);
    }
    gathered = std::move(all);
  }
  return *gathered;
}

} // namespace tq::answers
