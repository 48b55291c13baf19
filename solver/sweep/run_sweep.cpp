#include "sweep/run_sweep.hpp"

#include "treatment/read_records.hpp"

#include <atomic>
#include <map>
#include <mutex>
#include <tuple>

namespace tq::sweep {

namespace {

/// Treaters at rest; whoever works takes the one that was given back last.
class Treaters {
 public:
  Treaters(const std::vector<Column>& columns, const Plan& plan) : columns_(columns), plan_(plan) {}

  std::unique_ptr<Treater> take() {
    const std::lock_guard lock(mutex_);
    if (resting_.empty())
      return std::make_unique<Treater>(columns_, plan_.draws, plan_.seed);
    std::unique_ptr<Treater> out = std::move(resting_.back());
    resting_.pop_back();
    return out;
  }
  void give_back(std::unique_ptr<Treater> one) {
    const std::lock_guard lock(mutex_);
    resting_.push_back(std::move(one));
  }

 private:
  const std::vector<Column>& columns_;
  const Plan& plan_;
  std::mutex mutex_;
  std::vector<std::unique_ptr<Treater>> resting_;
};

Row row_of(std::size_t number, const Plan& plan, const CaseReader& read, Treater& treater) {
  Row row;
  row.number = number;
  try {
    row.values = treater.values(read(plan.settings(number)));
  } catch (const records::InputError& error) {
    row.failure = error.what();
  } catch (const treatment::SolverError& error) {
    row.failure = error.what();
  }
  return row;
}

} // namespace

std::size_t cases_of(const Plan& plan, const Shard& shard) {
  std::size_t out = 0;
  for (const Order::Block& block : Order(plan).blocks(shard, 1))
    out += block.to - block.from;
  return out;
}

void run_sweep(const Plan& plan, const std::vector<Column>& columns, const CaseReader& read,
               const SweepSettings& settings, const std::function<bool(std::size_t number)>& is_there,
               answers::Executor& executor, const std::function<void(const Row&)>& keep,
               const std::function<bool(std::size_t kept)>& go_on) {
  const Order order(plan);
  const std::vector<Order::Block> blocks = order.blocks(settings.shard, settings.hands);
  Treaters treaters(columns, plan);
  std::mutex one_at_a_time;
  std::atomic<std::size_t> kept{0};
  std::atomic<bool> stop{false};
  executor.for_each_index(
      blocks.size(),
      [&](std::size_t b) {
        std::unique_ptr<Treater> treater;
        for (std::size_t place = blocks[b].from; place < blocks[b].to && !stop; ++place) {
          const std::size_t number = order.case_at(place);
          if (is_there(number))
            continue;
          if (!treater)
            treater = treaters.take();
          const Row row = row_of(number, plan, read, *treater);
          const std::lock_guard lock(one_at_a_time);
          keep(row);
          ++kept;
        }
        if (treater)
          treaters.give_back(std::move(treater));
      },
      [&](std::size_t) {
        stop = stop || !go_on(kept);
        return !stop;
      });
  if (stop)
    throw treatment::Interrupted();
}

struct KeptRecords::Store {
  const treatment::RecordSource& from;
  treatment::ReadRecords read = {};
  std::mutex mutex = {};
  std::map<std::tuple<treatment::RecordKind, bool, std::string>, std::optional<treatment::RecordText>> texts =
      {};

  std::optional<treatment::RecordText> text(treatment::RecordKind kind, bool by_path,
                                            const std::string& name) {
    const std::lock_guard lock(mutex);
    const auto key = std::make_tuple(kind, by_path, name);
    const auto found = texts.find(key);
    if (found != texts.end())
      return found->second;
    return texts.emplace(key, by_path ? from.at_path(kind, name) : from.shipped(kind, name)).first->second;
  }
};

KeptRecords::KeptRecords(const treatment::RecordSource& from) : store_(new Store{from}) {}
KeptRecords::~KeptRecords() = default;

std::optional<treatment::RecordText> KeptRecords::shipped(treatment::RecordKind kind,
                                                          const std::string& key) const {
  return store_->text(kind, false, key);
}
std::optional<treatment::RecordText> KeptRecords::at_path(treatment::RecordKind kind,
                                                          const std::string& path) const {
  return store_->text(kind, true, path);
}
treatment::ReadRecords* KeptRecords::kept() const { return &store_->read; }
std::vector<std::string> KeptRecords::keys(treatment::RecordKind kind) const {
  const std::lock_guard lock(store_->mutex);
  return store_->from.keys(kind);
}

} // namespace tq::sweep
