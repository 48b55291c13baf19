#include "sweep/order.hpp"

#include <algorithm>
#include <numeric>

namespace tq::sweep {

Order::Order(const Plan& plan) {
  std::vector<std::size_t> factors(plan.factors.size());
  std::iota(factors.begin(), factors.end(), std::size_t{0});
  std::stable_sort(factors.begin(), factors.end(), [&](std::size_t a, std::size_t b) {
    return plan.factors[a].stage < plan.factors[b].stage;
  });
  std::vector<std::size_t> weights(plan.factors.size(), 1);
  for (std::size_t f = plan.factors.size(); f-- > 1;)
    weights[f - 1] = weights[f] * plan.factors[f].size;
  constexpr double temper = 4;
  for (const std::size_t f : factors) {
    const std::size_t size = plan.factors[f].size;
    digits_.push_back({size, weights[f]});
    cases_ *= size;
    quench_run_ *= plan.factors[f].stage >= temper ? size : 1;
    furnace_run_ *= plan.factors[f].stage > 0 ? size : 1;
  }
}

std::size_t Order::case_at(std::size_t place) const {
  std::size_t out = 0;
  for (std::size_t d = digits_.size(); d-- > 0; place /= digits_[d].size)
    out += place % digits_[d].size * digits_[d].weight;
  return out;
}

/// Cases that stay together when they are dealt out: so many that the longest shard is soonest done. Runs
/// that share a furnace or a quench are cut only where shards would be left waiting otherwise.
std::size_t Order::unit(std::size_t shards) const {
  constexpr double furnace = 5, quench = 8; ///< what each takes, in tempers of a case (measured on O1, 3 mm)
  const auto longest = [&](std::size_t size) {
    const auto runs = [&](std::size_t of) {
      return std::max(1.0, static_cast<double>(size) / static_cast<double>(of));
    };
    const std::size_t units = (cases_ + size - 1) / size, most = (units + shards - 1) / shards;
    return static_cast<double>(most) *
           (furnace * runs(furnace_run_) + quench * runs(quench_run_) + static_cast<double>(size));
  };
  std::size_t best = furnace_run_;
  for (std::size_t size = quench_run_; size > 0; size = size > 1 ? (size + 1) / 2 : 0)
    if (longest(size) < longest(best))
      best = size;
  return best;
}

std::vector<Order::Block> Order::blocks(const Shard& shard, std::size_t hands) const {
  constexpr std::size_t most = 1024, each = 8; ///< cases of a piece; pieces for each hand
  const std::size_t step = shard.of == 1 ? cases_ : unit(shard.of);
  std::size_t piece = std::min({step, quench_run_, most});
  while (piece > 1 && cases_ / shard.of / piece < each * hands)
    piece = (piece + 1) / 2;
  std::vector<Block> out;
  for (std::size_t start = (shard.number - 1) * step; start < cases_; start += shard.of * step)
    for (std::size_t from = start, end = std::min(cases_, start + step); from < end; from += piece)
      out.push_back({from, std::min(end, from + piece)});
  return out;
}

} // namespace tq::sweep
