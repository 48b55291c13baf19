// Long work under Python: without the interpreter's lock, and asking now and then whether Ctrl-C was pressed.
#pragma once

#include "program/thread_pool.hpp"
#include "treatment/run.hpp"

#include <chrono>
#include <filesystem>
#include <memory>
#include <optional>
#include <pybind11/pybind11.h>
#include <string>

namespace tq::python {

/// Does the work without the interpreter's lock; raises what a handler of signals raised meanwhile.
template <class Work>
auto without_lock(const Work& work) {
  try {
    const pybind11::gil_scoped_release others_go_on;
    return work();
  } catch (const treatment::Interrupted&) {
    if (PyErr_Occurred() != nullptr)
      throw pybind11::error_already_set();
    throw;
  }
}

/// An empty text stands for none.
inline std::optional<std::filesystem::path> folder_or_none(const std::string& folder) {
  return folder.empty() ? std::nullopt : std::optional(std::filesystem::path(folder));
}

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
