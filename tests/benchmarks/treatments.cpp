#include "treatments.hpp"

#include "../support/file_records.hpp"
#include "tapered_bar.hpp"
#include "treatment/run.hpp"
#include "work_precision.hpp"

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <stdexcept>
#include <thread>
#include <vector>

namespace tq::test {

treatment::Case drop_point(bool coarse) {
  const auto text = read_file(TQ_SOURCE_DIR "/cases/drop_point_o1.toml");
  if (!text)
    throw std::runtime_error("cannot read cases/drop_point_o1.toml");
  treatment::Case c = treatment::read_case(*text, "drop_point_o1.toml", FileRecords(TQ_SOURCE_DIR "/cases"));
  if (coarse) {
    c.solver.along = 32;
    c.solver.across = 4;
    c.solver.tolerance_K = 0.3;
  }
  return c;
}

double treatment_ms(const treatment::Case& c, const char* name, int repeats) {
  std::vector<double> ms;
  treatment::Run run;
  for (int r = 0; r < repeats; ++r) {
    const double begin = thread_seconds();
    run = treatment::run_station(c, 0);
    ms.push_back(1e3 * (thread_seconds() - begin));
  }
  std::printf("| %s | %zu | %ld | %.1f |\n", name, run.grid.nodes(),
              run.counters.steps + run.counters.rejected, median(ms));
  return median(ms);
}

void thread_scaling(const treatment::Case& c) {
  constexpr int each = 12;
  std::printf("\n| threads | treatments a second |\n|---:|---:|\n");
  for (unsigned threads = 1; threads <= std::thread::hardware_concurrency(); ++threads) {
    const auto begin = std::chrono::steady_clock::now();
    std::vector<std::thread> pool;
    for (unsigned t = 0; t < threads; ++t)
      pool.emplace_back([&] {
        for (int r = 0; r < each; ++r)
          treatment::run_station(c, 0);
      });
    for (std::thread& t : pool)
      t.join();
    const double s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    std::printf("| %u | %.1f |\n", threads, each * threads / s);
  }
  std::fflush(stdout);
}

double peak_MB(const std::function<void()>& work) {
  std::fflush(stdout);
  const pid_t child = fork();
  if (child < 0)
    throw std::runtime_error("cannot start a process");
  if (child == 0) {
    work();
    _exit(0);
  }
  int status = 0;
  rusage use{};
  if (wait4(child, &status, 0, &use) != child || status != 0)
    throw std::runtime_error("the process whose memory is measured failed");
  return static_cast<double>(use.ru_maxrss) / 1024;
}

} // namespace tq::test
