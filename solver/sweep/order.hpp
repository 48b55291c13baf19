// In which order the cases of a plan are computed, and which of them one shard has. Cases that share the
// first steps of the treatment follow one another: axes of the temper run fastest, then those of the bath, of
// the transfer, and last what counts from the furnace on.
#pragma once

#include "sweep/plan.hpp"

#include <cstddef>
#include <vector>

namespace tq::sweep {

/// Part `number` of `of`, counted from 1.
struct Shard {
  std::size_t number = 1, of = 1;
};

class Order {
 public:
  explicit Order(const Plan& plan);

  std::size_t cases() const { return cases_; }
  /// Number in the plan of the case that is computed at this place.
  std::size_t case_at(std::size_t place) const;
  /// Cases that follow one another and share all before the temper.
  std::size_t quench_run() const { return quench_run_; }

  /// Places from ... to before ..., handed out as one piece of work.
  struct Block {
    std::size_t from, to;
  };
  /// Those of a shard, for so many `hands`. A shard has every n-th run of cases that share a furnace, or a
  /// quench where those are too few, so that shards are as long as one another though one end of an axis
  /// takes longer. Which cases it has does not depend on the hands.
  std::vector<Block> blocks(const Shard& shard, std::size_t hands) const;

 private:
  std::size_t unit(std::size_t shards) const;

  std::size_t cases_ = 1, quench_run_ = 1, furnace_run_ = 1;
  struct Digit {
    std::size_t size, weight; ///< of the factor; what one step along it is in the number of the case
  };
  std::vector<Digit> digits_; ///< slowest first
};

} // namespace tq::sweep
