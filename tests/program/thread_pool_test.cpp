// The executor of the program: who is told what, and what becomes of a failure.
#include "program/thread_pool.hpp"

#include "treatment/run.hpp"

#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <cstdlib>
#include <fstream>
#include <stdexcept>
#include <sys/resource.h>
#include <thread>
#include <unistd.h>

using tq::program::ThreadPool;

namespace {
constexpr std::size_t pieces = 100;
void nap() { std::this_thread::sleep_for(std::chrono::milliseconds(1)); }

} // namespace

TEST(Pool, CarriesOutEachPieceOnce) {
  for (const int threads : {1, 2, 5}) {
    std::vector<int> done(pieces, 0);
    ThreadPool(threads).for_each_index(pieces, [&](std::size_t i) { ++done[i]; });
    EXPECT_EQ(done, std::vector<int>(pieces, 1)) << threads;
  }
}

TEST(Pool, TellsOnTheThreadOfTheCallerHowFarItIs) {
  std::size_t last = 0, calls = 0;
  const auto caller = std::this_thread::get_id();
  ThreadPool(2).for_each_index(
      pieces, [](std::size_t) { nap(); },
      [&](std::size_t done) {
        EXPECT_EQ(std::this_thread::get_id(), caller);
        EXPECT_GE(done, last);
        last = done;
        ++calls;
        return true;
      });
  EXPECT_GT(calls, pieces / 10) << "after pieces, not by the clock alone";
}

TEST(Pool, StopsWhenToldTo) {
  std::atomic<std::size_t> begun{0};
  EXPECT_THROW(ThreadPool(2).for_each_index(
                   pieces,
                   [&](std::size_t) {
                     ++begun;
                     nap();
                   },
                   [](std::size_t done) { return done < 3; }),
               tq::treatment::Interrupted);
  EXPECT_LT(begun, pieces);
}

TEST(Pool, WhatTheCallerThrowsComesOutOnceAllHandsRest) {
  std::atomic<int> at_work{0};
  EXPECT_THROW(ThreadPool(2).for_each_index(
                   pieces,
                   [&](std::size_t) {
                     ++at_work;
                     nap();
                     --at_work;
                   },
                   [](std::size_t done) -> bool {
                     if (done > 2)
                       throw std::length_error("of the caller");
                     return true;
                   }),
               std::length_error);
  EXPECT_EQ(at_work, 0);
}

TEST(Pool, OfSeveralFailuresTheFirstPieceTells) {
  try {
    ThreadPool(1).for_each_index(pieces, [](std::size_t i) {
      if (i >= 7)
        throw std::out_of_range(std::to_string(i));
    });
    FAIL() << "nothing was thrown";
  } catch (const std::out_of_range& error) {
    EXPECT_STREQ(error.what(), "7");
  }
}

namespace {
// A limit on memory that leaves no room for the stack of another thread.
void work_without_threads() {
  std::ifstream pages("/proc/self/statm");
  unsigned long used = 0;
  pages >> used;
  const rlimit limit{(used + 256) * static_cast<unsigned long>(::sysconf(_SC_PAGESIZE)), RLIM_INFINITY};
  if (::setrlimit(RLIMIT_AS, &limit) != 0)
    std::_Exit(2);
  std::atomic<std::size_t> sum{0};
  ThreadPool(4).for_each_index(pieces, [&](std::size_t i) { sum += i + 1; });
  std::_Exit(sum == pieces * (pieces + 1) / 2 ? 0 : 1);
}
} // namespace

TEST(PoolDeathTest, NoThreadCanBeMade_TheCallerDoesAllPieces) {
  testing::FLAGS_gtest_death_test_style = "threadsafe";
  EXPECT_EXIT(work_without_threads(), testing::ExitedWithCode(0), "");
}
