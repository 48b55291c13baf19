// Work against precision of our stepper and of CVODE on the tapered bar, interleaved in one process on one
// thread, and the time of a whole treatment. `--quick`: one grid, fewer repeats. Time error: greatest of the
// 70 values against the same grid at a very tight tolerance. A setting counts for a bound only if its two
// tighter neighbours keep it too.
#include "../support/file_records.hpp"
#include "cvode_run.hpp"
#include "treatment/run.hpp"

#include <sys/resource.h>

#include <algorithm>
#include <cstdio>
#include <cstring>
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace {

using namespace tq;
using namespace tq::test;

double median(std::vector<double> v) {
  std::sort(v.begin(), v.end());
  return v[v.size() / 2];
}

struct Setting {
  std::string name;
  int family = 0; ///< settings of one family, loosest first, are each other's neighbours
  double tolerance = 0;
  std::optional<CvodeSettings> cvode;
  std::vector<double> seconds;
  double error = 0;
  long steps = 0;
};

std::vector<Setting> settings(bool quick) {
  std::vector<Setting> all;
  for (double tolerance : {1.0, 0.7, 0.5, 0.35, 0.25, 0.18, 0.12, 0.09, 0.06, 0.03})
    all.push_back(
        {"ours, " + std::to_string(tolerance).substr(0, 4) + " K a step", 0, tolerance, {}, {}, 0, 0});
  int family = 1;
  for (auto [order, nonlinear] : {std::pair{3, 0.01}, {3, 0.1}, {5, 0.01}, {2, 0.01}}) {
    if (quick && family > 2)
      break;
    for (double factor : {16.0, 8.0, 4.0, 2.0, 1.0, 0.5, 0.25, 0.125}) {
      CvodeSettings s;
      s.relative = 5.6e-5 * factor;
      s.most_order = order;
      s.nonlinear = nonlinear;
      char name[80];
      std::snprintf(name, sizeof name, "CVODE, order %d, nonlinear %.2f, rtol %.1e", order, nonlinear,
                    s.relative);
      all.push_back({name, family, 0, s, {}, 0, 0});
    }
    ++family;
  }
  return all;
}

/// Least median time [s] among the settings of `ours` (or not) that keep `bound`, each with its two tighter
/// neighbours.
double best_time(const std::vector<Setting>& all, bool ours, double bound, std::string* which) {
  double best = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < all.size(); ++i) {
    if ((all[i].family == 0) != ours)
      continue;
    bool keeps = true;
    for (std::size_t k = i; k <= i + 2 && k < all.size() && all[k].family == all[i].family; ++k)
      keeps = keeps && all[k].error <= bound;
    const double t = median(all[i].seconds);
    if (keeps && t < best) {
      best = t;
      *which = all[i].name;
    }
  }
  return best;
}

struct Ratios {
  double loose = 0, tight = 0;
};

Ratios compare(int along, int across, bool half, int repeats, bool quick) {
  const TaperedBar bar(along, across, half);
  const PointsAtTimes limit = run_ours(bar, 5e-4).points;
  std::vector<Setting> all = settings(quick);
  for (int r = 0; r < repeats; ++r)
    for (Setting& s : all) {
      if (s.cvode) {
        const CvodeRun run = run_cvode(bar, *s.cvode);
        s.seconds.push_back(run.seconds);
        s.error = greatest_difference(run.points, limit);
        s.steps = run.steps;
      } else {
        const OurRun run = run_ours(bar, s.tolerance);
        s.seconds.push_back(run.seconds);
        s.error = greatest_difference(run.points, limit);
        s.steps = run.steps + run.rejected;
      }
    }
  std::printf("\n%d x %d intervals, %s section (%zu nodes), median of %d\n\n", along, across,
              half ? "half" : "whole", bar.nodes(), repeats);
  std::printf("| setting | ms | time error K | steps |\n|---|---|---|---|\n");
  for (const Setting& s : all)
    std::printf("| %s | %.2f | %.3f | %ld |\n", s.name.c_str(), 1e3 * median(s.seconds), s.error, s.steps);
  Ratios ratios;
  std::printf("\n");
  for (double bound : {0.5, 0.1}) {
    std::string our_name, their_name;
    const double ours = best_time(all, true, bound, &our_name),
                 theirs = best_time(all, false, bound, &their_name);
    std::printf("time error at most %.1f K: %s %.2f ms; %s %.2f ms; ratio %.1f\n", bound, our_name.c_str(),
                1e3 * ours, their_name.c_str(), 1e3 * theirs, theirs / ours);
    (bound > 0.3 ? ratios.loose : ratios.tight) = theirs / ours;
  }
  return ratios;
}

/// Reference values agreed by four independent solvers (see tests/validation/tapered_bar_test.cpp), points in
/// the order of TaperedBar::points().
constexpr double reference[7][10] = {
    {722.258, 579.086, 359.698, 272.655, 231.889, 187.813, 149.486, 120.048, 90.95, 75.07},
    {720.213, 572.948, 358.174, 272.138, 231.549, 187.608, 149.347, 119.958, 90.905, 75.048},
    {771.462, 733.488, 557.293, 339.208, 279.97, 220.078, 173.824, 137.451, 100.409, 79.756},
    {788.716, 773.67, 738.036, 589.009, 412.877, 303.099, 235.937, 186.46, 130.017, 94.979},
    {781.72, 765.918, 728.661, 559.55, 401.664, 300.042, 234.384, 185.607, 129.586, 94.775},
    {779.903, 762.28, 725.257, 568.014, 429.078, 322.717, 256.877, 205.739, 145.647, 103.741},
    {765.732, 745.88, 705.544, 513.166, 405.455, 314.65, 252.872, 203.509, 144.433, 103.145}};

double error_to_reference(const PointsAtTimes& run) {
  double worst = 0;
  for (std::size_t t = 0; t < run.size(); ++t)
    for (std::size_t p = 0; p < 7; ++p)
      worst = std::max(worst, std::abs(run[t][p] - reference[p][t]));
  return worst;
}

/// Quickest grid and tolerance on at most 2060 nodes with all 70 values within half a kelvin.
void quench(double* ms, double* error) {
  *ms = std::numeric_limits<double>::infinity();
  for (auto [along, across] : {std::pair{140, 20}, {150, 20}, {150, 24}, {130, 24}, {120, 24}, {160, 20}}) {
    const TaperedBar bar(along, across, true);
    if (bar.nodes() > 2060)
      continue;
    for (double tolerance : {0.5, 0.35, 0.25, 0.18}) {
      double worst = 0;
      for (double neighbour : {1.0, 0.7, 0.5})
        worst = std::max(worst, error_to_reference(run_ours(bar, tolerance * neighbour).points));
      if (worst > 0.5)
        continue;
      std::vector<double> seconds;
      for (int r = 0; r < 15; ++r)
        seconds.push_back(run_ours(bar, tolerance).seconds);
      if (1e3 * median(seconds) < *ms) {
        *ms = 1e3 * median(seconds);
        *error = worst;
        std::printf(
            "tapered bar %d x %d half (%zu nodes), %.2f K a step: %.2f ms, error %.2f K (worst of three "
            "tolerances)\n",
            along, across, bar.nodes(), tolerance, *ms, worst);
      }
    }
  }
}

double treatment_ms(bool coarse, int repeats) {
  const std::string path = TQ_SOURCE_DIR "/cases/drop_point_o1.toml";
  treatment::Case c = treatment::read_case(read_file(path).value(), "drop_point_o1.toml", FileRecords());
  if (coarse) {
    c.solver.along = 32;
    c.solver.across = 4;
    c.solver.tolerance_K = 0.3;
  }
  std::vector<double> ms;
  for (int r = 0; r < repeats; ++r) {
    const double begin = thread_seconds();
    treatment::run_station(c, 0);
    ms.push_back(1e3 * (thread_seconds() - begin));
  }
  return median(ms);
}

/// Exponent p of time ~ nodes^p between grids, and the spread of the step count.
void scaling(bool largest) {
  std::printf("\n| grid | nodes | ms | steps | us per node and step |\n|---|---|---|---|---|\n");
  std::vector<double> x, y;
  std::vector<std::pair<int, int>> grids{{60, 8}, {120, 16}, {240, 32}, {480, 64}};
  if (largest)
    grids.push_back({960, 128});
  for (auto [along, across] : grids) {
    const TaperedBar bar(along, across, false);
    std::vector<double> seconds;
    OurRun run;
    for (int r = 0; r < (along > 300 ? 3 : 9); ++r) {
      run = run_ours(bar, 0.3);
      seconds.push_back(run.seconds);
    }
    const double s = median(seconds), nodes = static_cast<double>(bar.nodes());
    const long steps = run.steps + run.rejected;
    std::printf("| %d x %d | %.0f | %.2f | %ld | %.3f |\n", along, across, nodes, 1e3 * s, steps,
                1e6 * s / nodes / static_cast<double>(steps));
    if (along <= 480) {
      x.push_back(std::log(nodes));
      y.push_back(std::log(s));
    }
  }
  double mx = 0, my = 0, sxy = 0, sxx = 0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    mx += x[i] / static_cast<double>(x.size());
    my += y[i] / static_cast<double>(x.size());
  }
  for (std::size_t i = 0; i < x.size(); ++i) {
    sxy += (x[i] - mx) * (y[i] - my);
    sxx += (x[i] - mx) * (x[i] - mx);
  }
  std::printf("\nfitted exponent of time against nodes, 60 x 8 to 480 x 64 intervals: %.2f\n", sxy / sxx);
}

} // namespace

int main(int argc, char** argv) {
  const bool quick = argc > 1 && std::strcmp(argv[1], "--quick") == 0;
  if (argc > 1 && std::strcmp(argv[1], "--one-treatment") == 0) { // for instruction counts
    std::printf("%.1f\n", treatment_ms(false, 1));
    return 0;
  }
  if (argc > 1 && std::strcmp(argv[1], "--one-quench") == 0) {
    run_ours(TaperedBar(120, 16, false), 0.3);
    return 0;
  }
  double quench_ms = 0, quench_error = 0;
  Ratios ratios;
  if (quick) {
    ratios = compare(120, 16, false, 5, true);
  } else {
    compare(60, 8, false, 7, false);
    ratios = compare(120, 16, false, 7, false);
    compare(120, 16, true, 7, false);
    compare(240, 32, false, 3, false);
    scaling(true);
  }
  std::printf("\n");
  quench(&quench_ms, &quench_error);
  const double treatment = treatment_ms(false, quick ? 9 : 21), coarse = treatment_ms(true, quick ? 9 : 21);
  rusage use{};
  getrusage(RUSAGE_SELF, &use);
  std::printf("\nlargest memory in use: %.0f MB\n\n", static_cast<double>(use.ru_maxrss) / 1024);
  std::printf("quench_ms: %.2f\nquench_error_K: %.3f\nratio_vs_cvode: %.1f\nratio_vs_cvode_tight: %.1f\n"
              "treatment_ms: %.1f\ncoarse_treatment_ms: %.1f\n",
              quench_ms, quench_error, ratios.loose, ratios.tight, treatment, coarse);
}
