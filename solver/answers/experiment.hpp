// One case computed as far as is asked and again with other settings: what lies before the first changed step
// is computed once, so that a question about the temper does not heat the blade anew. Behind harden, its
// bands, sweeps, find, what-if, compare and explain.
#pragma once

#include "answers/outcome.hpp"
#include "treatment/case.hpp"
#include "treatment/run.hpp"

#include <array>
#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <vector>

namespace tq::answers {

/// Timer [s] that gives every zone of every station of the case as stated the asked soak, a whole minute; NaN
/// when some zone never gets there.
double timer_for_soak(const treatment::Case& c);

/// Which fields a run writes down. With `none` no step lands on their times; the others are alike to the last
/// bit.
enum class Fields { none, step_ends, step_ends_with_hardness, all };

class Experiment {
 public:
  /// The case as given, without fields. A case without timer gets that of careful_timer(), as in answer().
  explicit Experiment(treatment::Case c);
  /// The case as it is.
  Experiment(treatment::Case c, Fields fields) : case_(std::move(c)), fields_(fields) { make_room(); }
  Experiment(const Experiment&) = delete;
  Experiment& operator=(const Experiment&) = delete;

  const treatment::Case& settings() const { return case_; }
  /// Another one at the same settings; it knows what this one has computed.
  std::unique_ptr<Experiment> twin() const;
  /// Changes settings that matter from the part `from` of the hardening on. Blade, steel, furnace and foil
  /// gaps matter from the furnace on; a temper's number of cycles from the temper on.
  void change(treatment::Part from, const std::function<void(treatment::Case&)>& edit);
  /// Another case. Its first `shared` steps, and all that matters to them, are those of the one before;
  /// without a number nothing is. How things stand after the steps `kept` is kept for the next one.
  void become(treatment::Case next, std::optional<std::size_t> shared, std::set<std::size_t> kept);
  /// The run of a station through all steps. Different stations may be run at the same time. Throws
  /// treatment::SolverError, treatment::Interrupted.
  const treatment::Run& whole_run(std::size_t station, const treatment::Progress& progress = {},
                                  const treatment::StepHook& at_step_end = {});
  /// The same, taken away.
  treatment::Run take_run(std::size_t station, const treatment::Progress& progress = {});
  /// Figures and verdicts as answer() gives them, after the last part of the hardening that is not later than
  /// `until`; what takes extra runs (transfer to spare, in air, another furnace run where the timer is too
  /// short) is missing, and so are surface and metallurgy. Throws treatment::SolverError.
  const Outcome& outcome(treatment::Part until = treatment::Part::temper);
  /// Computes one station up to the last part of the hardening that is not later than `until`. Different
  /// stations may be computed at the same time; outcome() gathers them.
  void compute(treatment::Part until, std::size_t station);
  /// Makes ready for compute(); what cannot be set up throws here.
  void prepare();
  /// The run of a station, at least as far as the last outcome() that had to compute, without fields between
  /// the ends of steps.
  const treatment::Run& run(std::size_t station) const { return runners_[station]->last_run(); }

 private:
  using Runner = treatment::StationRunner;
  using Figures = std::array<std::optional<StationAnswer>, treatment::part_count>; ///< by Part

  Experiment() = default;
  void make_room();
  bool prepared() const { return !runners_.empty() && runners_.front() != nullptr; }
  /// Nothing from the part `from` on holds any more, which begins after `before` steps.
  void changed(treatment::Part from, std::size_t before);
  /// Nor does blade, steel or section.
  void forget();
  std::unique_ptr<Runner> new_runner(std::size_t station, const treatment::Progress& progress = {}) const;
  /// The last part that the case has and that is not later than `until`; nothing: none.
  std::optional<treatment::Part> last_part(treatment::Part until) const;

  treatment::Case case_;
  Fields fields_ = Fields::none;
  std::set<std::size_t> kept_{0};                ///< steps after which whole_run() keeps how things stand
  std::vector<std::unique_ptr<Runner>> runners_; ///< by station; none before the first run
  std::vector<std::shared_ptr<const Runner::Record>> known_;           ///< of a twin, by station
  std::vector<std::size_t> steps_done_;                                ///< that still hold, by station
  std::vector<Figures> figures_;                                       ///< by station
  std::array<std::optional<Outcome>, treatment::part_count> gathered_; ///< of all stations, by Part
  Outcome start_;                                                      ///< of a case without any part
};

} // namespace tq::answers
