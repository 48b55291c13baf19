// Long work under Python: what asks now and then whether Ctrl-C was pressed.
#pragma once

#include "program/thread_pool.hpp"

#include <chrono>
#include <memory>

namespace tq::python {

/// Asks Python for signals, at most every 50 ms; to be called without the interpreter's lock.
class SignalWatch {
 public:
  /// False when a handler of Python raised (KeyboardInterrupt); the exception waits for the calling thread.
  bool go_on();

 private:
  std::chrono::steady_clock::time_point asked_ = std::chrono::steady_clock::now();
};

/// The program's threads, or none for one thread; stops at a signal.
class WatchedExecutor : public answers::Executor {
 public:
  /// `threads` below 1: as many as the machine runs at once.
  WatchedExecutor(int threads, SignalWatch& watch);
  void for_each_index(std::size_t n, const Work& work, const GoOn& go_on = {}) override;

 private:
  std::unique_ptr<answers::Executor> by_;
  SignalWatch& watch_;
};

} // namespace tq::python
