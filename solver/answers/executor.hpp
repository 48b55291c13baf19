// How independent pieces of work are carried out. Below output nothing starts a thread of its own: loops take
// an executor, the program hands one in that uses all cores (program/thread_pool.hpp).
#pragma once

#include <cstddef>
#include <functional>

namespace tq::answers {

/// Carries out n pieces of work, numbered from 0. What a piece computes must depend on its number alone, and
/// it must write only to places of its own; then the results are the same for every executor.
class Executor {
 public:
  using Work = std::function<void(std::size_t index)>;
  /// Called with the number of finished pieces, always on the thread that called for_each_index; false stops.
  using GoOn = std::function<bool(std::size_t done)>;

  virtual ~Executor() = default;
  /// Calls work(i) once for every i below n, in any order and perhaps at the same time, and returns when all
  /// are done. Stops early, without starting further pieces, when `go_on` returns false (then throws
  /// treatment::Interrupted) or when a piece throws (then throws what the piece with the least number threw).
  virtual void for_each_index(std::size_t n, const Work& work, const GoOn& go_on = {}) = 0;
};

/// One after the other, on the thread of the caller.
class SerialExecutor : public Executor {
 public:
  void for_each_index(std::size_t n, const Work& work, const GoOn& go_on = {}) override;
};

} // namespace tq::answers
