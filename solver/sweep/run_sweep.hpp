// Runs the cases of a plan: cases in, rows out, by the executor that is handed in. No file is opened, no
// thread started.
#pragma once

#include "answers/executor.hpp"
#include "sweep/order.hpp"
#include "sweep/plan.hpp"
#include "sweep/treater.hpp"
#include "treatment/case_reader.hpp"

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace tq::sweep {

struct SweepSettings {
  Shard shard;
  std::size_t hands = 1; ///< pieces of work that the executor carries out at the same time
};

/// Number of cases that a shard has.
std::size_t cases_of(const Plan& plan, const Shard& shard);

/// Computes the cases of the shard for which `is_there` says no, and hands each row to `keep` as soon as it
/// is done: one at a time, from any thread, in any order. A case that cannot be read or computed gives a row
/// with its failure. `go_on` is called on the thread of the caller with the number of rows kept so far; when
/// it says no the cases under way are finished and treatment::Interrupted is thrown. What `keep` throws ends
/// the sweep. `read` must be ready for several threads.
void run_sweep(const Plan& plan, const std::vector<Column>& columns, const CaseReader& read,
               const SweepSettings& settings, const std::function<bool(std::size_t number)>& is_there,
               answers::Executor& executor, const std::function<void(const Row&)>& keep,
               const std::function<bool(std::size_t kept)>& go_on);

/// Records held in memory for the cases of a sweep, so that none is looked for or read twice; may be asked by
/// several threads.
class KeptRecords : public treatment::RecordSource {
 public:
  explicit KeptRecords(const treatment::RecordSource& from);
  ~KeptRecords() override;
  std::optional<treatment::RecordText> shipped(treatment::RecordKind kind,
                                               const std::string& key) const override;
  std::optional<treatment::RecordText> at_path(treatment::RecordKind kind,
                                               const std::string& path) const override;
  std::vector<std::string> keys(treatment::RecordKind kind) const override;
  treatment::ReadRecords* kept() const override;

 private:
  struct Store;
  std::unique_ptr<Store> store_;
};

} // namespace tq::sweep
