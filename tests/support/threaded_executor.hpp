// An executor with threads, for tests of what must not depend on them.
#pragma once

#include "answers/executor.hpp"

#include <atomic>
#include <exception>
#include <thread>
#include <vector>

namespace tq::test {

class ThreadedExecutor : public answers::Executor {
 public:
  explicit ThreadedExecutor(unsigned threads) : threads_(threads) {}
  void for_each_index(std::size_t n, const Work& work, const GoOn& = {}) override {
    std::atomic<std::size_t> next{0};
    std::vector<std::exception_ptr> thrown(threads_);
    std::vector<std::thread> pool;
    for (unsigned t = 0; t < threads_; ++t)
      pool.emplace_back([&, t] {
        try {
          for (std::size_t i = next++; i < n; i = next++)
            work(i);
        } catch (...) {
          thrown[t] = std::current_exception();
          next = n;
        }
      });
    for (std::thread& thread : pool)
      thread.join();
    for (const std::exception_ptr& error : thrown)
      if (error)
        std::rethrow_exception(error);
  }

 private:
  unsigned threads_;
};

} // namespace tq::test
