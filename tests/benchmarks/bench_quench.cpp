// Work against precision of our stepper and of CVODE, whole treatments, memory. Prints Markdown and ends with
// six lines "name: figure". Times are processor times of the one thread that computes.
//   --quick                               one grid, fewer repeats
//   --grid-error CASE                     what the grid changes in a case, as a line of a table
//   --one-quench, --one-treatment, --one-coarse   a single run, to count its instructions
#include "cvode_run.hpp"
#include "treatment/run.hpp"
#include "treatments.hpp"
#include "work_precision.hpp"

#include <cstdio>
#include <exception>
#include <string>

namespace {

using namespace tq;
using namespace tq::test;

void print_memory() {
  std::printf("\n| process | peak of memory MB |\n|---|---:|\n");
  const auto line = [](const char* name, const std::function<void()>& work) {
    std::printf("| %s | %.1f |\n", name, peak_MB(work));
  };
  line("that does nothing", [] {});
  line("whole treatment, default grid", [] { treatment::run_station(drop_point(false), 0); });
  line("tapered bar 120 x 16, ours", [] { run_ours(TaperedBar(120, 16, false), 0.3); });
  line("tapered bar 120 x 16, CVODE", [] { run_cvode(TaperedBar(120, 16, false), {}); });
  line("tapered bar 480 x 64, ours", [] { run_ours(TaperedBar(480, 64, false), 0.3); });
  line("tapered bar 480 x 64, CVODE", [] { run_cvode(TaperedBar(480, 64, false), {}); });
}

int run(const std::string& option) {
  if (option == "--one-quench") {
    run_ours(TaperedBar(120, 16, false), 0.3);
    return 0;
  }
  if (option == "--one-treatment" || option == "--one-coarse") {
    treatment::run_station(drop_point(option == "--one-coarse"), 0);
    return 0;
  }
  const bool quick = option == "--quick";
  const std::string kernels = lapack_kernels();
  std::printf("LAPACK under CVODE: %s. A setting counts for a bound when it and all tighter ones down to "
              "half its tolerance keep it.\n",
              kernels.empty() ? "not OpenBLAS" : ("OpenBLAS, kernels for " + kernels).c_str());
  std::printf("\n## Tapered bar: time against time error\n");
  std::vector<Ratio> ratios;
  if (quick) {
    ratios = compare(120, 16, false, 5, Sweep::few);
  } else {
    compare(60, 8, false, 7, Sweep::all);
    ratios = compare(120, 16, false, 7, Sweep::all);
    compare(120, 16, true, 7, Sweep::few);
    compare(240, 32, false, 5, Sweep::few);
    compare(480, 64, false, 3, Sweep::fewest);
  }
  std::printf("\n## Tapered bar: time against true error and nodes\n\n");
  const Quench quench = quickest_quench(quick ? 9 : 15);
  scaling(quick ? 3 : 5);
  std::printf("\n## Whole treatment: cases/drop_point_o1.toml\n\n");
  std::printf("| grid | nodes | steps | ms |\n|---|---:|---:|---:|\n");
  const double whole = treatment_ms(drop_point(false), "default", quick ? 11 : 31),
               coarse = treatment_ms(drop_point(true), "coarse, for margins", quick ? 21 : 61);
  grid_error();
  if (!quick) {
    thread_scaling(drop_point(false));
    print_memory();
  }
  std::printf("\n## The figures that count\n\n");
  std::printf("quench_ms: %.2f\nquench_error_K: %.3f\nratio_vs_cvode: %.1f\nratio_vs_cvode_tight: %.1f\n"
              "treatment_ms: %.1f\ncoarse_treatment_ms: %.1f\n",
              quench.ms, quench.error_K, ratios.front().best, ratios.back().best, whole, coarse);
  return 0;
}

} // namespace

int main(int argc, char** argv) {
  try {
    if (argc == 3 && std::string(argv[1]) == "--grid-error") {
      grid_error_of(argv[2]);
      return 0;
    }
    return run(argc > 1 ? argv[1] : "");
  } catch (const std::exception& e) {
    std::fprintf(stderr, "bench_quench: %s\n", e.what());
    return 1;
  }
}
