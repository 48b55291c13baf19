// Prints trials of the recovery of h: oil_trials trace|sheet [COUNT] [FIRST] [departs|none] [RATE in Hz |
// TESTS].
#include "trials.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

int main(int argc, char** argv) {
  using namespace tq::test;
  const std::string kind = argc > 1 ? argv[1] : "trace";
  const auto count = static_cast<std::size_t>(argc > 2 ? std::atoi(argv[2]) : 100);
  const auto first = static_cast<std::size_t>(argc > 3 ? std::atoi(argv[3]) : 0);
  TrialSetting how;
  const std::string errors = argc > 4 ? argv[4] : "";
  how.probe_departs = errors == "departs";
  if (argc > 5)
    (kind == "sheet" ? how.tests : how.rate_Hz) = std::atof(argv[5]);
  const auto probe = standard_probe();
  const auto begin = std::chrono::steady_clock::now();
  double inside = 0, width = 0, squares = 0;
  std::size_t within = 0, back = 0;
  std::vector<double> rms;
  std::printf("%6s %-24s %8s %8s %10s\n", "trial", "oil", "rms", "inside", "half band");
  for (std::size_t n = first; n < first + count; ++n) {
    const TrialOutcome t = kind == "sheet" ? sheet_trial(probe, n, how) : trace_trial(probe, n, how);
    std::printf("%6zu %-24s %7.1f%% %7.0f%% %9.1f%%%s\n", n, t.oil.c_str(), 100 * t.rms_error,
                100 * t.share_inside, 100 * t.mean_half_width, t.figures_back ? "" : "  figures not back");
    std::fflush(stdout);
    inside += t.share_inside;
    squares += t.rms_error * t.rms_error;
    width += t.mean_half_width;
    within += t.rms_error < 0.10 ? 1 : 0;
    back += t.figures_back ? 1 : 0;
    rms.push_back(t.rms_error);
  }
  std::sort(rms.begin(), rms.end());
  const double s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  std::printf("%zu trials from a %s: rms of all points %.1f %%, median trial %.1f %%, largest %.1f %%, "
              "within 10 %% in %zu; inside the 90 %% "
              "band %.1f %% of the points; half band %.1f %%; figures back in %zu; %.1f s each\n",
              count, kind.c_str(), 100 * std::sqrt(squares / static_cast<double>(count)),
              100 * rms[count / 2], 100 * rms.back(), within, 100 * inside / static_cast<double>(count),
              100 * width / static_cast<double>(count), back, s / static_cast<double>(count));
}
