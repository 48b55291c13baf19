#include "program/thread_pool.hpp"

#include "treatment/run.hpp"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <system_error>
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

  const auto piece = [&](std::size_t i) {
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
  };
  const auto labour = [&] {
    for (std::size_t i = next++; i < n && !stop; i = next++)
      piece(i);
    const std::lock_guard lock(mutex);
    --working;
    finished.notify_one();
  };
  bool called_off = false;
  const auto ask = [&] {
    if (!go_on || called_off)
      return;
    try {
      called_off = !go_on(done);
    } catch (...) {
      thrown_by_caller = std::current_exception(); // told once the hands are at rest
      called_off = true;
    }
  };

  std::vector<std::thread> hands;
  const std::size_t count = std::min(n, static_cast<std::size_t>(threads_));
  {
    std::unique_lock lock(mutex);
    hands.reserve(count);
    try {
      for (; hands.size() < count; ++working)
        hands.emplace_back(labour);
    } catch (const std::system_error&) {
      // no more threads are to be had: those that started do the work
    }
    while (working > 0) {
      finished.wait_for(lock, report_every);
      lock.unlock();
      ask();
      lock.lock();
      stop = stop || called_off;
    }
  }
  if (hands.empty()) // not one: the caller works
    for (std::size_t i = 0; i < n && !stop; ++i) {
      piece(i);
      ask();
      stop = stop || called_off;
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
