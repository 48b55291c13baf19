// What the errors are at the settings a case has when it says nothing: the defaults' grid and tolerance. The
// rows begin with "defaults".
#include "../support/file_records.hpp"
#include "bench.hpp"
#include "records/read_coolant.hpp"
#include "series.hpp"
#include "surroundings/bath.hpp"
#include "treatment/case.hpp"
#include "treatment/simulation.hpp"

#include <gtest/gtest.h>

#include <cstdio>

namespace {

using namespace tq;
using namespace tq::verification;

constexpr double rho = 7800, c = 600, k = 25;

// At once the fall of the surface is thinner than an interval: before a fiftieth of a second errors are
// larger.
TEST(Defaults, PlatesOfBladeThicknessAtH3000) {
  for (const double mm : {1.6, 3.2, 6.4, 12.0}) {
    const double half = 0.5e-3 * mm, h = 3000, T0 = 800, T_env = 60;
    const PlaneWall wall(h * half / k);
    Bench bench(plate(30e-3, 2 * half), {.along = 20, .across = treatment::usual_across(2 * half, false)},
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
      Comparison table(name, "K", late || mm < 7 ? 0.3 : 0.5, "ID 5.39, plane wall");
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

/// Plates in the shipped oils: h(T) has no closed solution, so the same balance on 64 intervals at a
/// twentieth of the tolerance stands for it, which is within 0.02 K of its limit (second order,
/// tests/verification/order).
TEST(Defaults, PlatesInTheShippedOils) {
  constexpr double bath_degC = 55;
  const std::vector<double> times{0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.75, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8};
  Comparison middle("defaults: plates 1.6 to 9.6 mm in the shipped oils, middle", "K", 0.6,
                    "the same on 64 intervals");
  Comparison surface("defaults: the same plates, surface", "K", 1.0, "the same on 64 intervals");
  for (const std::string oil : {"fast-oil", "medium-oil", "slow-oil", "vegetable-oil"}) {
    const auto text = test::read_file(TQ_SOURCE_DIR "/materials/coolants/" + oil + ".toml");
    ASSERT_TRUE(text) << oil;
    const surroundings::BathCurve curve(
        surroundings::bath_htc(records::read_coolant(*text, oil), bath_degC, 0.25));
    const auto htc = std::make_shared<conduction::UniformTable>(0, 1000, 1, curve);
    for (const double mm : {1.6, 2.4, 3.2, 4.8, 6.4, 9.6}) {
      std::vector<std::array<double, 2>> fine;
      for (const bool usual : {false, true}) {
        Bench bench(plate(30e-3, 1e-3 * mm),
                    {.along = 12, .across = usual ? treatment::usual_across(1e-3 * mm, true) : 64},
                    linear(0, 24, 1000, 28), linear(0, 550, 1000, 650), rho, 800);
        bench.everywhere(0, bath_degC);
        for (const Face flank : {flank_a, flank_b})
          bench.surround.face[flank].htc = htc;
        bench.tolerance_K = treatment::SolverSettings{}.tolerance_K * (usual ? 1 : 0.05);
        bench.first_step_s = 1e-3;
        for (std::size_t n = 0; n < times.size(); ++n) {
          bench.run_to(times[n]);
          const std::array<double, 2> now{bench.node(5, bench.centre()), bench.node(5, bench.surface())};
          if (usual) {
            middle.add(now[0], fine[n][0]);
            surface.add(now[1], fine[n][1]);
          } else {
            fine.push_back(now);
          }
        }
      }
    }
  }
}

/// A plate of 3 mm in a packet (foil of 200 J/m2K, 300 W/m2K over the gap, 120 from the furnace, nothing
/// along the foil): put into the hot furnace, and into a cold one that rises by 10 K/min. The plate's own
/// conduction is made so good that it has one temperature, as in the closed form.
TEST(Defaults, FoilInAHotAndInARisingFurnace) {
  constexpr double well_conducting = 1e5, foil_J_m2K = 200, outside = 120, gap = 300, half = 1.5e-3;
  constexpr double rate_K_s = 10.0 / 60, hot_degC = 800, room_degC = 20;
  for (const bool rising : {false, true}) {
    Comparison table(rising ? "defaults: plate 3 mm in foil, furnace rising 10 K/min: both temperatures"
                            : "defaults: plate 3 mm in foil, put into 800 degC: both temperatures",
                     "K", 0.3, "eigenvalues of the 2 x 2 system");
    Bench bench(plate(30e-3, 2 * half), {.along = 20, .across = treatment::usual_across(2 * half, false)},
                constant(well_conducting), constant(c), rho, room_degC);
    bench.everywhere(outside, hot_degC);
    if (rising)
      bench.surround.temperature = [](double t) { return room_degC + rate_K_s * t; };
    bench.surround.face[spine_face].htc_constant_W_m2K = 0;
    bench.surround.face[edge_face].htc_constant_W_m2K = 0;
    bench.foil.layers = 1;
    bench.foil.mass_kg_m2 = 0.4;
    bench.foil.c0 = foil_J_m2K / 0.4;
    const auto across = std::make_shared<conduction::UniformTable>(0, 1000, 1000, [](double) { return gap; });
    const auto none = std::make_shared<conduction::UniformTable>(0, 1000, 1000, [](double) { return 0.0; });
    bench.foil.gap_conductance = {across, across, none, none};
    bench.slow = true;
    bench.tolerance_K = treatment::slow_tolerance_factor * treatment::SolverSettings{}.tolerance_K;
    bench.first_step_s = 0.05;
    for (const double t : {0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0, 320.0, 900.0, 2400.0}) {
      bench.run_to(t);
      const TwoBodies exact =
          rising ? behind_shield_ramp(foil_J_m2K, rho * c * half, outside, gap, room_degC, rate_K_s, t)
                 : behind_shield(foil_J_m2K, rho * c * half, outside, gap, room_degC, hot_degC, t);
      table.add(bench.foil_node(flank_a, 3), exact.first);
      table.add(bench.mean(), exact.second);
    }
  }
}

} // namespace
