// The executor of the program: as many threads as the machine has cores, or as asked.
#pragma once

#include "answers/executor.hpp"

namespace tq::program {

class ThreadPool : public answers::Executor {
 public:
  /// `threads` below 1: as many as the machine runs at once.
  explicit ThreadPool(int threads = 0);
  void for_each_index(std::size_t n, const Work& work, const GoOn& go_on = {}) override;
  int threads() const { return threads_; }

 private:
  int threads_;
};

} // namespace tq::program
