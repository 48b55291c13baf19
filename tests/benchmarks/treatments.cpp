#include "treatments.hpp"

#include "../support/file_records.hpp"
#include "steel/hardness.hpp"
#include "tapered_bar.hpp"
#include "treatment/run.hpp"
#include "treatment/trace.hpp"
#include "work_precision.hpp"

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cmath>
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
    c.solver.along = 16; // as members of bands are computed (answers/coarse_case.cpp)
    c.solver.across = 2;
    c.solver.tolerance_K = 0.5;
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

namespace {

/// Temperatures of four points of a station in the bath (the middle second), hardness of the zones at the
/// end.
struct Outcome {
  static constexpr std::size_t moments = 8, middle = 1;
  std::vector<double> degC, hrc;
  long steps = 0;
  double seconds = 0; ///< processor time
  double middle_apart_K(const Outcome& other) const {
    double worst = 0;
    for (std::size_t k = middle * moments; k < (middle + 1) * moments; ++k)
      worst = std::max(worst, std::abs(degC[k] - other.degC[k]));
    return worst;
  }
};

Outcome outcome(treatment::Case c, int finer, double tolerance_K, std::size_t station = 0) {
  c.solver.along *= finer;
  c.solver.across *= finer;
  c.solver.tolerance_K = tolerance_K;
  // zones stand on the nearest grid line, which moves with the grid
  const section::Profile& profile = c.blade.stations.at(station).profile;
  const double width = profile.width();
  c.probes = {
      {"edge", width, 0}, {"middle", 0.5 * width, 0}, {"five sixths", width * 5 / 6, 0}, {"spine", 0, 0}};
  for (treatment::Probe& probe : c.probes)
    probe.y_m = profile.bottom_at(probe.x_m) + 0.5 * profile.thickness_at(probe.x_m);
  Outcome out;
  const double begin = thread_seconds();
  const treatment::Run run = treatment::run_station(c, station);
  out.seconds = thread_seconds() - begin;
  out.steps = run.counters.steps + run.counters.rejected;
  double bath_s = 0;
  for (auto span = run.spans.rbegin(); span != run.spans.rend(); ++span)
    if (span->part == treatment::Part::bath)
      bath_s = span->from_s;
  const int row = run.grid.half ? 0 : (run.grid.ny - 1) / 2;
  for (const treatment::Trace& probe : run.probes)
    for (double t : {0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0, 8.0})
      out.degC.push_back(treatment::trace_value(run.time_s, probe.temperature, bath_s + t));
  for (std::size_t z = 0; z < run.zones.size(); ++z) {
    const auto node = static_cast<std::size_t>(row * run.grid.nx + run.zone_column[z]);
    out.hrc.push_back(steel::hrc_from_hv(run.final_HV[node]));
  }
  return out;
}

double greatest(const std::vector<double>& a, const std::vector<double>& b) {
  double worst = 0;
  for (std::size_t i = 0; i < a.size(); ++i)
    worst = std::max(worst, std::abs(a[i] - b[i]));
  return worst;
}

} // namespace

void grid_error() {
  const treatment::Case usual = drop_point(false), coarse = drop_point(true);
  const Outcome limit = outcome(usual, 6, 0.02);
  std::printf(
      "\nAgainst six times as many lines both ways at 0.02 K: temperature of four points at eight moments "
      "of the first 8 s in the oil, hardness after tempering.\n\n");
  std::printf("| grid | error K | error HRC |\n|---|---:|---:|\n");
  const auto line = [&](const char* name, const Outcome& o) {
    std::printf("| %s | %.2f | %.3f |\n", name, greatest(o.degC, limit.degC), greatest(o.hrc, limit.hrc));
  };
  line("coarse, for margins", outcome(coarse, 1, coarse.solver.tolerance_K));
  line("default", outcome(usual, 1, usual.solver.tolerance_K));
  line("default, 0.02 K a step", outcome(usual, 1, 0.02));
  line("twice as many lines", outcome(usual, 2, 0.02));
  line("three times as many", outcome(usual, 3, 0.02));
  std::fflush(stdout);
}

void grid_error_of(const std::string& path) {
  const auto text = read_file(path);
  if (!text)
    throw std::runtime_error("cannot read " + path);
  const std::size_t slash = path.rfind('/');
  treatment::Case c = treatment::read_case(*text, path, FileRecords(path.substr(0, slash)));
  constexpr int finer = 6;
  double apart_K = 0, middle_K = 0, apart_HRC = 0, middle_HRC = 0, usual_s = 0, finer_s = 0;
  long usual_steps = 0, finer_steps = 0;
  for (std::size_t station = 0; station < c.blade.stations.size(); ++station) {
    const Outcome usual = outcome(c, 1, c.solver.tolerance_K, station),
                  limit = outcome(c, finer, c.solver.tolerance_K, station);
    apart_K = std::max(apart_K, greatest(usual.degC, limit.degC));
    middle_K = std::max(middle_K, usual.middle_apart_K(limit));
    apart_HRC = std::max(apart_HRC, greatest(usual.hrc, limit.hrc));
    middle_HRC =
        std::max(middle_HRC, std::abs(usual.hrc[treatment::zone_middle] - limit.hrc[treatment::zone_middle]));
    usual_steps += usual.steps;
    finer_steps += limit.steps;
    usual_s += usual.seconds;
    finer_s += limit.seconds;
  }
  std::printf("| %s | %.2f | %.2f | ", path.substr(slash + 1).c_str(), apart_K, middle_K);
  if (c.steel.inert)
    std::printf("does not harden | | ");
  else
    std::printf("%.3f | %.3f | ", apart_HRC, middle_HRC);
  std::printf("%ld | %ld | %.2f | %.1f |\n", usual_steps, finer_steps, usual_s, finer_s);
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
