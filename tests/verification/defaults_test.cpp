// What the errors are at the settings a case has when it says nothing: the defaults' grid and tolerance. The
// rows begin with "defaults".
#include "bench.hpp"
#include "series.hpp"
#include "treatment/case.hpp"

#include <gtest/gtest.h>

#include <cstdio>

namespace {

using namespace tq;
using namespace tq::verification;

constexpr double rho = 7800, c = 600, k = 25;

// At once the fall of the surface is thinner than an interval; that passes within a fifth of a second.
TEST(Defaults, PlatesOfBladeThicknessAtH3000) {
  for (const double mm : {1.6, 3.2, 6.4, 12.0}) {
    const double half = 0.5e-3 * mm, h = 3000, T0 = 800, T_env = 60;
    const PlaneWall wall(h * half / k);
    Bench bench(plate(30e-3, 2 * half), {.along = 20, .across = treatment::usual_across(2 * half)},
                constant(k), constant(c), rho, T0);
    bench.everywhere(h, T_env);
    bench.surround.face[spine_face].htc_constant_W_m2K = 0;
    bench.surround.face[edge_face].htc_constant_W_m2K = 0;
    bench.tolerance_K = treatment::SolverSettings{}.tolerance_K;
    bench.first_step_s = 1e-3;
    for (const bool late : {false, true}) {
      char name[96];
      std::snprintf(name, sizeof name, "defaults: plate %.1f mm, h 3000, %s", mm,
                    late ? "from 0.2 s on" : "before 0.2 s");
      Comparison table(name, "K", late ? 0.3 : 1.2, "ID 5.39, plane wall");
      for (const double t : late ? std::vector<double>{0.2, 0.35, 0.5, 0.75, 1, 1.5, 2, 3, 5, 8}
                                 : std::vector<double>{0.02, 0.05, 0.1}) {
        bench.run_to(t);
        const double fourier = k / (rho * c) * t / (half * half);
        table.add(bench.node(10, bench.centre()), T_env + (T0 - T_env) * wall.theta(fourier, 0));
        table.add(bench.node(10, bench.surface()), T_env + (T0 - T_env) * wall.theta(fourier, 1));
      }
    }
  }
}

} // namespace
