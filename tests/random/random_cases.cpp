// Runs random valid cases and checks what must hold of any of them: random_cases [--from SEED] [--count N].
#include "random_case.hpp"
#include "treatment/run.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>
#include <vector>

namespace {

using namespace tq;
using namespace tq::treatment;

/// First thing wrong with the run, or nothing.
std::string fault(const Case& c, const Run& run) {
  const test::TemperatureHull hull = test::hull(c);
  // The latent heat of austenite can lift a node that is shut off from its surroundings by some 130 K at the
  // most, and only towards Ae1; above the hull's top nothing can. Below its bottom: the step tolerance, a
  // slow stage's three.
  const double slack = 10 * c.solver.tolerance_K;
  const auto finite = [](double v) { return std::isfinite(v); };
  for (std::size_t i = 1; i < run.time_s.size(); ++i)
    if (run.time_s[i] < run.time_s[i - 1])
      return "time runs back";
  for (const auto* list : {&run.zones, &run.probes})
    for (const Trace& trace : *list)
      for (double T : trace.temperature) {
        if (!finite(T))
          return "temperature not finite in a trace";
        if (T < hull.least - slack || T > hull.most + slack)
          return "temperature " + std::to_string(T) + " outside " + std::to_string(hull.least) + " to " +
                 std::to_string(hull.most);
      }
  for (const auto* list : {&run.surroundings_degC, &run.outer_surface_max_degC, &run.heat_out_J_m})
    if (!std::all_of(list->begin(), list->end(), finite))
      return "a history is not finite";
  const auto state = [&](const NodeState& s) -> std::string {
    for (std::size_t n = 0; n < s.temperature.size(); ++n) {
      const double shares[] = {s.austenite[n],  s.pearlite[n], s.bainite[n],
                               s.martensite[n], s.ferrite[n],  s.cementite[n]};
      double sum = 0;
      for (double share : shares) {
        if (!(share >= 0 && share <= 1 + 1e-9))
          return "share " + std::to_string(share);
        sum += share;
      }
      if (!(std::abs(sum - 1) <= 1e-9))
        return "shares sum to " + std::to_string(sum);
      for (double v : {s.temperature[n], s.carbon[n], s.scheil_pearlite[n], s.scheil_bainite[n],
                       s.tempering[n], s.time_at_temperature[n]})
        if (!finite(v))
          return "state not finite";
      if (s.scheil_pearlite[n] < 0 || s.scheil_bainite[n] < 0 || s.tempering[n] < 0 ||
          s.time_at_temperature[n] < 0)
        return "a sum is negative";
    }
    return "";
  };
  for (const Frame& frame : run.frames)
    if (const std::string what = state(frame.state); !what.empty())
      return what;
  if (const std::string what = state(run.final_state); !what.empty())
    return what;
  for (double hv : run.final_HV)
    if (!(hv > 100 && hv < 1200))
      return "hardness " + std::to_string(hv) + " HV";
  if (!(run.energy_residual <= 1e-9))
    return "energy residual " + std::to_string(run.energy_residual);
  return "";
}

} // namespace

int main(int argc, char** argv) {
  std::uint64_t from = 1, count = 500;
  for (int i = 1; i + 1 < argc; i += 2) {
    const auto value = std::strtoull(argv[i + 1], nullptr, 10);
    (std::strcmp(argv[i], "--from") == 0 ? from : count) = value;
  }
  std::vector<long> steps;
  double worst_residual = 0, slowest = 0;
  std::uint64_t worst_seed = 0, slowest_seed = 0, most_steps_seed = 0;
  long most_steps = 0, failed = 0;
  for (std::uint64_t seed = from; seed < from + count; ++seed) {
    const Case c = test::random_case(seed);
    const auto begin = std::chrono::steady_clock::now();
    std::string what;
    try {
      const Run run = run_station(c, 0);
      what = fault(c, run);
      steps.push_back(run.counters.steps + run.counters.rejected);
      if (steps.back() > most_steps) {
        most_steps = steps.back();
        most_steps_seed = seed;
      }
      if (run.energy_residual > worst_residual) {
        worst_residual = run.energy_residual;
        worst_seed = seed;
      }
    } catch (const std::exception& e) {
      what = e.what();
    }
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    if (seconds > slowest) {
      slowest = seconds;
      slowest_seed = seed;
    }
    if (!what.empty()) {
      ++failed;
      std::printf("seed %llu: %s\n", static_cast<unsigned long long>(seed), what.c_str());
      std::fflush(stdout);
    }
  }
  if (steps.empty())
    return 1;
  std::sort(steps.begin(), steps.end());
  std::printf(
      "%llu cases from seed %llu: %ld failed; steps median %ld, most %ld (seed %llu); slowest %.2f s (seed "
      "%llu); energy residual at most %.1e (seed %llu)\n",
      static_cast<unsigned long long>(count), static_cast<unsigned long long>(from), failed,
      steps[steps.size() / 2], most_steps, static_cast<unsigned long long>(most_steps_seed), slowest,
      static_cast<unsigned long long>(slowest_seed), worst_residual,
      static_cast<unsigned long long>(worst_seed));
  return failed == 0 ? 0 : 1;
}
