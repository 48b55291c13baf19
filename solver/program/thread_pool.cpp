#include "program/thread_pool.hpp"

#include "treatment/run.hpp"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace tq::program {
namespace {
constexpr auto report_every = std::chrono::milliseconds(50);
}

ThreadPool::ThreadPool(int threads)
    : threads_(threads >= 1 ? threads : std::max(1, static_cast<int>(std::thread::hardware_concurrency()))) {}

void ThreadPool::for_each_index(std::size_t n, const Work& work, const GoOn& go_on) {
  std::mutex mutex;
  std::condition_variable finished;
  std::atomic<std::size_t> next{0}, done{0};
  std::atomic<bool> stop{false};
  std::size_t working = 0, failed_at = n;
  std::exception_ptr failure, thrown_by_caller;

  const auto labour = [&] {
    for (std::size_t i = next++; i < n && !stop; i = next++) {
      try {
        work(i);
      } catch (...) {
        const std::lock_guard lock(mutex);
        if (i < failed_at) {
          failed_at = i;
          failure = std::current_exception();
        }
        stop = true;
      }
      ++done;
      finished.notify_one(); // whoever waits for this piece need not wait for the clock
    }
    const std::lock_guard lock(mutex);
    --working;
    finished.notify_one();
  };

  std::vector<std::thread> hands;
  const std::size_t count = std::min(n, static_cast<std::size_t>(threads_));
  bool called_off = false;
  {
    std::unique_lock lock(mutex);
    working = count;
    for (std::size_t i = 0; i < count; ++i)
      hands.emplace_back(labour);
    while (working > 0) {
      finished.wait_for(lock, report_every);
      if (go_on && !called_off) {
        lock.unlock();
        try {
          called_off = !go_on(done);
        } catch (...) {
          thrown_by_caller = std::current_exception(); // told once the hands are at rest
          called_off = true;
        }
        lock.lock();
        stop = stop || called_off;
      }
    }
  }
  for (std::thread& hand : hands)
    hand.join();
  if (failure)
    std::rethrow_exception(failure);
  if (thrown_by_caller)
    std::rethrow_exception(thrown_by_caller);
  if (called_off && done < n)
    throw treatment::Interrupted();
}

} // namespace tq::program
