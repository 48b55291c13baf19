// One case computed as far as is asked and again with other settings: what lies before the first changed step
// is computed once, so that a question about the temper does not heat the blade anew. Behind find, what-if,
// compare and explain.
#pragma once

#include "answers/outcome.hpp"
#include "treatment/case.hpp"
#include "treatment/run.hpp"

#include <array>
#include <functional>
#include <memory>
#include <optional>
#include <vector>

namespace tq::answers {

/// Timer [s] that gives every zone of every station of the case as stated the asked soak, a whole minute; NaN
/// when some zone never gets there.
double timer_for_soak(const treatment::Case& c);

class Experiment {
 public:
  /// The case as given. A case without timer gets that of careful_timer(), as in answer().
  explicit Experiment(treatment::Case c);
  Experiment(const Experiment&) = delete;
  Experiment& operator=(const Experiment&) = delete;

  const treatment::Case& settings() const { return case_; }
  /// Another one at the same settings; it knows what this one has computed.
  std::unique_ptr<Experiment> twin() const;
  /// Changes settings that matter from the part `from` of the hardening on. Blade, steel, furnace and foil
  /// gaps matter from the furnace on; a temper's number of cycles from the temper on.
  void change(treatment::Part from, const std::function<void(treatment::Case&)>& edit);
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
  /// The last part that the case has and that is not later than `until`; nothing: none.
  std::optional<treatment::Part> last_part(treatment::Part until) const;

  treatment::Case case_;
  std::vector<std::unique_ptr<Runner>> runners_;
  std::vector<std::shared_ptr<const Runner::Record>> known_;           ///< of a twin, by station
  std::vector<std::size_t> steps_done_;                                ///< that still hold, by station
  std::vector<Figures> figures_;                                       ///< by station
  std::array<std::optional<Outcome>, treatment::part_count> gathered_; ///< of all stations, by Part
  Outcome start_;                                                      ///< of a case without any part
};

} // namespace tq::answers
