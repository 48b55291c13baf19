#include "python/watched_executor.hpp"

#include <pybind11/pybind11.h>

namespace tq::python {

bool SignalWatch::go_on() {
  constexpr auto every = std::chrono::milliseconds(50);
  const auto now = std::chrono::steady_clock::now();
  if (now - asked_ < every)
    return true;
  asked_ = now;
  const pybind11::gil_scoped_acquire lock;
  return PyErr_CheckSignals() == 0;
}

WatchedExecutor::WatchedExecutor(int threads, SignalWatch& watch) : watch_(watch) {
  if (threads == 1)
    by_ = std::make_unique<answers::SerialExecutor>();
  else
    by_ = std::make_unique<program::ThreadPool>(threads);
}

void WatchedExecutor::for_each_index(std::size_t n, const Work& work, const GoOn& go_on) {
  by_->for_each_index(n, work, [&](std::size_t done) { return (!go_on || go_on(done)) && watch_.go_on(); });
}

} // namespace tq::python
