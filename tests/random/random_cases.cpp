// Runs random valid cases and checks what must hold of every one of them.
#include "checks.hpp"
#include "random_case.hpp"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>
#include <vector>

namespace {

using namespace tq;
using Seed = unsigned long long;

/// The greatest figure so far and whose it is.
struct Most {
  double value = 0;
  Seed seed = 0;
  void take(double v, Seed s) {
    if (v > value) {
      value = v;
      seed = s;
    }
  }
};

int usage() {
  std::fputs("usage: random_cases [--from SEED] [--count N]   run and check\n"
             "       random_cases --print SEED               the case file of a seed\n",
             stderr);
  return 2;
}

} // namespace

int main(int argc, char** argv) {
  Seed from = 1, count = 500;
  for (int i = 1; i < argc; i += 2) {
    char* end = nullptr;
    const Seed value = i + 1 < argc ? std::strtoull(argv[i + 1], &end, 10) : 0;
    if (!end || *end != '\0' || end == argv[i + 1])
      return usage();
    if (std::strcmp(argv[i], "--print") == 0) {
      std::fputs(test::random_case_text(value).c_str(), stdout);
      return 0;
    }
    if (std::strcmp(argv[i], "--from") == 0)
      from = value;
    else if (std::strcmp(argv[i], "--count") == 0)
      count = value;
    else
      return usage();
  }
  std::vector<long> steps;
  Most most_steps, slowest, residual, overshoot, foil_overshoot;
  long failed = 0;
  double total_s = 0;
  for (Seed seed = from; seed < from + count; ++seed) {
    const auto begin = std::chrono::steady_clock::now();
    std::string fault;
    try {
      const treatment::Case c = test::random_case(seed);
      const treatment::Run run = treatment::run_station(c, 0);
      const test::Findings found = test::inspect(c, run);
      fault = found.fault;
      steps.push_back(run.counters.steps + run.counters.rejected);
      most_steps.take(static_cast<double>(steps.back()), seed);
      residual.take(run.energy_residual, seed);
      overshoot.take(found.overshoot, seed);
      foil_overshoot.take(found.foil_overshoot, seed);
    } catch (const std::exception& e) {
      fault = e.what();
    }
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    slowest.take(seconds, seed);
    total_s += seconds;
    if (!fault.empty()) {
      ++failed;
      std::printf("seed %llu: %s\n", seed, fault.c_str());
      std::fflush(stdout);
    }
  }
  if (steps.empty()) {
    std::puts("no case ran to its end");
    return 1;
  }
  std::sort(steps.begin(), steps.end());
  std::printf("%llu cases from seed %llu in %.0f s: %ld failed\n", count, from, total_s, failed);
  std::printf("steps: median %ld, most %.0f (seed %llu)\n", steps[steps.size() / 2], most_steps.value,
              most_steps.seed);
  std::printf("slowest: %.2f s (seed %llu)\n", slowest.value, slowest.seed);
  std::printf("energy residual: at most %.1e (seed %llu)\n", residual.value, residual.seed);
  std::printf("overshoot: at most %.1f tolerances (seed %llu), of the foil %.1f (seed %llu)\n",
              overshoot.value, overshoot.seed, foil_overshoot.value, foil_overshoot.seed);
  return failed == 0 ? 0 : 1;
}
