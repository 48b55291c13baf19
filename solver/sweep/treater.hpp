// Computes one case after another and keeps what the next one shares: the furnace when only the bath is
// another, all before the temper when only the oven is. To the last bit each row is what the case alone
// gives.
#pragma once

#include "answers/experiment.hpp"
#include "sweep/columns.hpp"
#include "sweep/step_texts.hpp"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace tq::sweep {

/// What one case came to.
struct Row {
  std::size_t number = 0;     ///< of the case in the plan
  std::vector<double> values; ///< by column; empty when it failed
  std::string failure;        ///< why; empty when it did not
};

class Treater {
 public:
  Treater(std::vector<Column> columns, int draws, std::uint64_t seed);
  ~Treater();
  Treater(const Treater&) = delete;
  Treater& operator=(const Treater&) = delete;

  /// The values of a case. Throws treatment::SolverError.
  std::vector<double> values(treatment::Case next);

 private:
  void take(treatment::Case next);
  void set_timer(treatment::Case& c);
  answers::StationAnswer station(std::size_t k);

  std::vector<Column> columns_;
  Needs needs_;
  int draws_;
  std::uint64_t seed_;

  treatment::Case given_; ///< as read
  StepTexts texts_;
  bool usable_ = false;         ///< what was kept may be used
  std::size_t most_shared_ = 0; ///< steps that a case has shared with the one before: so far is kept
  std::unique_ptr<answers::Experiment> experiment_; ///< the case with its timer

  // kept as long as what they depend on stays
  struct Timer;
  std::unique_ptr<Timer> timer_;
  struct Quench;
  std::unique_ptr<Quench> quench_;
};

} // namespace tq::sweep
