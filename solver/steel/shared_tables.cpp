#include "steel/shared_tables.hpp"

#include <memory>
#include <mutex>
#include <utility>

namespace tq::steel {

namespace {

using Table = std::shared_ptr<const conduction::UniformTable>;

/// The steels of a case, and of the draws that threads are at: a dozen tables each, of 12 to 30 kB.
constexpr std::size_t most_kept = 160;

class Kept {
 public:
  Table find(const TableKey& key) {
    const std::lock_guard<std::mutex> lock(guard_);
    for (const auto& [known, table] : kept_)
      if (known == key)
        return table;
    return {};
  }
  void keep(const TableKey& key, const Table& table) {
    const std::lock_guard<std::mutex> lock(guard_);
    if (kept_.size() < most_kept)
      kept_.emplace_back(key, table);
    else
      kept_[oldest_] = {key, table};
    oldest_ = (oldest_ + 1) % most_kept;
  }

 private:
  std::mutex guard_;
  std::vector<std::pair<TableKey, Table>> kept_;
  std::size_t oldest_ = 0; ///< place to be given away next, once all are taken
};

} // namespace

conduction::UniformTable shared_table(const TableKey& key, double from, double to, double step,
                                      const std::function<double(double)>& f) {
  static Kept all;
  if (const Table known = all.find(key))
    return *known;
  // made outside the lock: two threads that need it at once make the same twice
  const auto table = std::make_shared<const conduction::UniformTable>(from, to, step, f);
  all.keep(key, table);
  return *table;
}

} // namespace tq::steel
