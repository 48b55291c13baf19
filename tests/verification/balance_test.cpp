// Bodies that have one temperature, finite baths, shields, radiation; steady states; what must be kept
// exactly.
#include "../support/turned_over.hpp"
#include "bench.hpp"
#include "series.hpp"

#include <gtest/gtest.h>

#include <cstdio>

namespace {

using namespace tq;
using namespace tq::verification;

constexpr double rho = 7800, c = 620;
constexpr double well_conducting = 1e5; ///< one temperature over the section [W/mK]

void insulate_ends(Bench& bench) {
  for (const int face : {spine_face, edge_face}) {
    bench.surround.face[static_cast<std::size_t>(face)].htc_constant_W_m2K = 0;
    bench.surround.face[static_cast<std::size_t>(face)].emissivity = 0;
  }
}

TEST(ThinBody, HeatedByRadiationAlone) {
  const double emissivity = 0.7, thickness = 3e-3, Ts = 800;
  Comparison table("plate 3 mm, radiation from 800 degC, times to 400 ... 790 degC", "K", 0.01,
                   "BK eq. 3.283; ID eq. 5.18");
  Bench bench(plate(20e-3, thickness), {.along = 8, .across = 4}, constant(well_conducting), constant(c), rho,
              20);
  bench.everywhere(0, Ts);
  for (const int face : {flank_a, flank_b})
    bench.surround.face[static_cast<std::size_t>(face)].emissivity = emissivity;
  for (const double target : {400.0, 600.0, 700.0, 750.0, 790.0}) {
    bench.run_to(radiation_time(rho * c * 0.5 * thickness, emissivity, Ts + 273.15, 293.15, target + 273.15));
    table.add(bench.mean(), target);
  }
}

TEST(ThinBody, InAFurnaceThatRises) {
  const double h = 150, thickness = 3e-3, rate = 1.0 / 6.0, tau = rho * c * 0.5 * thickness / h;
  Comparison table("plate 3 mm, h 150, furnace rising 10 K/min", "K", 0.02, "ID 5.3, first-order lag");
  Bench bench(plate(20e-3, thickness), {.along = 8, .across = 4}, constant(well_conducting), constant(c), rho,
              20);
  bench.everywhere(h, 20);
  insulate_ends(bench);
  bench.surround.temperature = [&](double t) { return 20 + rate * t; };
  for (const double t : {60.0, 300.0, 1200.0}) {
    bench.run_to(t);
    table.add(bench.mean(), ramp_follow(20, rate, tau, t));
  }
}

TEST(ThinBody, InABathThatWarms) {
  // 0.15 kg of steel with 0.012 m2 of flanks, 3.5 kg of oil (c 2000), h 800.
  const double area = 0.012, h = 800, width = 30e-3, oil = 3.5 * 2000;
  const double thickness = 2 * 0.15 / (rho * area), length = area / (2 * width);
  Comparison table("blade 0.15 kg into 3.5 kg of oil: both temperatures", "K", 0.02, "BK eqs 3.287-3.288");
  for (const bool symmetry : {true, false}) {
    Bench bench(plate(width, thickness), {.along = 8, .across = 4, .use_symmetry = symmetry},
                constant(well_conducting), constant(c), rho, 800);
    bench.everywhere(h, 50);
    insulate_ends(bench);
    bench.surround.bath_capacity_J_mK = oil / length;
    for (const double t : {1.0, 5.0, 20.0, 200.0}) {
      bench.run_to(t);
      const TwoBodies exact = two_bodies(0.15 * c, 800, oil, 50, h * area, t);
      table.add(bench.mean(), exact.first);
      table.add(bench.environment(), exact.second);
    }
  }
}

TEST(ThinBody, BehindFoil) {
  // Foil of 200 J/m2K, half plate of 7254 J/m2K, 120 W/m2K from the furnace, 300 W/m2K over the gap.
  Comparison table("plate 3 mm behind foil in a furnace of 800 degC: both temperatures", "K", 0.05,
                   "eigenvalues of the 2 x 2 system");
  for (const bool symmetry : {true, false}) {
    Bench bench(plate(20e-3, 3e-3), {.along = 8, .across = 4, .use_symmetry = symmetry},
                constant(well_conducting), constant(c), rho, 20);
    bench.everywhere(120, 800);
    insulate_ends(bench);
    bench.foil.layers = 1;
    bench.foil.mass_kg_m2 = 0.4;
    bench.foil.c0 = 500;
    const auto gap = std::make_shared<conduction::UniformTable>(0, 1000, 1000, [](double) { return 300.0; });
    const auto none = std::make_shared<conduction::UniformTable>(0, 1000, 1000, [](double) { return 0.0; });
    bench.foil.gap_conductance = {gap, gap, none, none};
    for (const double t : {0.5, 5.0, 60.0, 300.0}) {
      bench.run_to(t);
      const TwoBodies exact = behind_shield(200, rho * c * 1.5e-3, 120, 300, 20, 800, t);
      table.add(bench.foil_node(flank_a, 3), exact.first);
      if (!symmetry)
        table.add(bench.foil_node(flank_b, 3), exact.first);
      table.add(bench.mean(), exact.second);
    }
    EXPECT_LT(bench.energy_residual(), 1e-11);
  }
}

TEST(SteadyState, SlabWithConductivityOverTemperature) {
  // k = 54 - 0.0333 T (EN 1993-1-2 below 800 degC), ends at 800 and 60 degC: by Kirchhoff's transformation
  // the integral of k over T is linear in x.
  const double a = 54, b = -0.0333, L = 30e-3;
  const auto integral = [&](double T) { return a * T + 0.5 * b * T * T; };
  Comparison table("steady slab, k(T), faces 800 and 60 degC", "K", 0.03, "Kirchhoff; ID 3.2");
  Bench bench(plate(L, 3e-3), {.along = 60, .across = 4}, linear(0, a, 1000, a + 1000 * b), constant(100),
              1000, 400);
  bench.everywhere(1e8, 60);
  bench.surround.face[flank_a].htc_constant_W_m2K = bench.surround.face[flank_b].htc_constant_W_m2K = 0;
  bench.surround.extra_K.assign(static_cast<std::size_t>(bench.nx()), 0.0);
  bench.surround.extra_K.front() = 740; // the spine face sees 800 degC
  bench.run_to(50);
  for (int i = 0; i < bench.nx(); ++i) {
    const double x = bench.grid().x[static_cast<std::size_t>(i)];
    const double wanted = integral(800) + (integral(60) - integral(800)) * x / L;
    table.add(bench.node(i, 0), bisect([&](double T) { return integral(T) - wanted; }, 0, 900));
  }
}

TEST(SteadyState, BladeAsATrapezoidFin) {
  // 3 mm at the spine, 0.4 mm at the edge, 30 mm wide, insulated edge face. Fin theory is one-dimensional: it
  // neglects the fall across the thickness (Biot number h t / 2k = 0.00125) and the slant of the flanks.
  const double kf = 30, h = 25, base = 3e-3, tip = 0.4e-3, L = 30e-3;
  const TrapezoidFin fin(kf, h, base, tip, L);
  Comparison heat("steady trapezoid fin: heat through the base", "%", 0.15, "KAW, trapezoidal profile");
  Comparison table("steady trapezoid fin: excess temperature along it (100 K at the base)", "K", 0.03,
                   "KAW, trapezoidal profile; one-dimensional");
  Bench bench(taper(L, base, tip), {.along = 60, .across = 4}, constant(kf), constant(100), 1000, 50);
  bench.as_steady_fin(h, 100);
  bench.run_to(200);
  double lost = 0;
  for (int i = 0; i < bench.nx(); ++i) {
    const auto n = static_cast<std::size_t>(i);
    table.add(bench.node(i, bench.centre()), 100 * fin.theta(L - bench.grid().x[n]));
    lost += 2 * h * bench.balance().mesh().top_length[n] * bench.node(i, bench.surface());
  }
  heat.add(100 * lost / (100 * fin.heat()), 100);
}

/// A crooked section of six corners, no two sides parallel.
section::Profile crooked() {
  return section::profile_from_points({0, 0, 9e-3, 30e-3, 30e-3, 17e-3},
                                      {1e-3, -1.2e-3, -1.6e-3, 0.2e-3, 0.7e-3, 1.9e-3});
}

enum class Boiling { none, all_regimes };

/// Quench with k(T), c(T), radiation and a bath that warms; h constant or through all regimes of boiling.
std::unique_ptr<Bench> quench_of(const section::Profile& profile, const section::GridOptions& options,
                                 Boiling boiling) {
  auto bench = std::make_unique<Bench>(profile, options, linear(0, 24, 1000, 28), linear(0, 480, 1000, 730),
                                       7800, 800);
  bench->everywhere(1500, 60);
  const records::Table h{{60, 200, 300, 400, 500, 550, 600, 700, 800},
                         {300, 350, 600, 1500, 2800, 3000, 2400, 800, 400},
                         records::Interpolation::linear};
  const auto table = std::make_shared<conduction::UniformTable>(60, 800, 10, h);
  for (auto& face : bench->surround.face) {
    if (boiling == Boiling::all_regimes)
      face.htc = table;
    face.emissivity = 0.3;
  }
  bench->surround.bath_capacity_J_mK = 20000;
  bench->tolerance_K = 0.1;
  return bench;
}

TEST(Balance, EnergyOfAQuenchCloses) {
  Comparison table("energy balance of a quench, all terms on, 30 s", "of the heat", 1e-12, "conservation");
  for (const auto& profile : {crooked(), taper(30e-3, 4e-3, 0.5e-3)})
    for (const Boiling boiling : {Boiling::none, Boiling::all_regimes}) {
      const auto bench = quench_of(profile, {}, boiling);
      bench->run_to(30);
      EXPECT_GT(bench->heat_out(), 1e4);
      table.add(bench->energy_residual(), 0);
    }
}

TEST(Balance, NothingHappensAtTheTemperatureOfTheBath) {
  Comparison table("blade left at the temperature of its bath", "K", 1e-9, "conservation");
  Bench bench(crooked(), {}, linear(0, 24, 1000, 28), linear(0, 480, 1000, 730), 7800, 60);
  bench.everywhere(3000, 60);
  for (auto& face : bench.surround.face)
    face.emissivity = 0.5;
  bench.run_to(100);
  for (int j = 0; j < bench.ny(); ++j)
    for (int i = 0; i < bench.nx(); ++i)
      table.add(bench.node(i, j), 60);
}

// With a constant h both sides of a symmetry agree to round-off. Corners in h(T) make the choice of time
// steps sensitive: round-off grows there, but must stay well below the tolerance of 0.1 K.
constexpr double round_off_K = 1e-8, below_tolerance_K = 0.02;

TEST(Symmetry, HalfGivesTheWhole) {
  for (const Boiling boiling : {Boiling::none, Boiling::all_regimes}) {
    const bool even = boiling == Boiling::none;
    Comparison table(even ? "half section against whole, constant h" : "half section against whole, boiling",
                     "K", even ? round_off_K : below_tolerance_K, "symmetry");
    const auto half = quench_of(taper(30e-3, 4e-3, 0.5e-3), {}, boiling);
    const auto whole = quench_of(taper(30e-3, 4e-3, 0.5e-3), {.use_symmetry = false}, boiling);
    for (const double t : {0.5, 2.0, 10.0}) {
      half->run_to(t);
      whole->run_to(t);
      EXPECT_NEAR(2 * half->heat_out() / whole->heat_out(), 1, even ? 1e-11 : 1e-4);
      for (int i = 0; i < half->nx(); ++i)
        for (int j = 0; j < half->ny(); ++j) {
          table.add(half->node(i, j), whole->node(i, whole->centre() + j));
          table.add(half->node(i, j), whole->node(i, whole->centre() - j));
        }
    }
  }
}

TEST(Symmetry, UpsideDownIsTheSame) {
  for (const Boiling boiling : {Boiling::none, Boiling::all_regimes}) {
    const bool even = boiling == Boiling::none;
    Comparison table(even ? "blade turned upside down, constant h" : "blade turned upside down, boiling", "K",
                     even ? round_off_K : below_tolerance_K, "symmetry");
    const auto up = quench_of(crooked(), {}, boiling);
    const auto down = quench_of(tq::test::turned_over(crooked()), {}, boiling);
    up->surround.face[flank_a].emissivity = down->surround.face[flank_b].emissivity = 0.9;
    for (const double t : {0.5, 2.0, 10.0}) {
      up->run_to(t);
      down->run_to(t);
      for (int i = 0; i < up->nx(); ++i)
        for (int j = 0; j < up->ny(); ++j)
          table.add(up->node(i, j), down->node(i, down->ny() - 1 - j));
    }
  }
}

TEST(Monotone, ConstantHWithoutLatentHeat) {
  // No node may warm up in a step or fall below the bath, but by what a step may err.
  for (const double h : {1500.0, 20000.0})
    for (const double tolerance : {1.0, 0.1}) {
      char name[96];
      std::snprintf(name, sizeof name, "quench at h %g, tolerance %g K: rise in a step, fall below the bath",
                    h, tolerance);
      Comparison table(name, "K", tolerance, "maximum principle");
      Bench bench(crooked(), {}, linear(0, 24, 1000, 28), linear(0, 480, 1000, 730), 7800, 800);
      bench.everywhere(h, 60);
      bench.tolerance_K = tolerance;
      std::vector<double> before(bench.grid().nodes(), 800.0);
      while (bench.step_towards(30)) {
        const auto& T = bench.balance().temperature();
        double worst = 0;
        for (std::size_t n = 0; n < T.size(); ++n)
          worst = std::max({worst, T[n] - before[n], 60 - T[n]});
        table.add(worst, 0);
        before = T;
      }
    }
}

TEST(Tolerance, ErrorInTimeStaysNearTheTolerance) {
  // Against the same grid at a tolerance of 1e-5 K; the tolerance is per step, so the sum may be some times
  // it.
  const auto reference = quench_of(crooked(), {}, Boiling::none);
  reference->tolerance_K = 1e-5;
  const std::vector<double> times{0.05, 0.5, 2.0, 10.0};
  std::vector<std::vector<double>> expected;
  for (const double t : times) {
    reference->run_to(t);
    expected.push_back(reference->balance().temperature());
  }
  for (const double tolerance : {1.0, 0.1, 0.01, 0.001}) {
    char name[64];
    std::snprintf(name, sizeof name, "time error at tolerance %g K, constant h", tolerance);
    Comparison table(name, "K", 3 * tolerance, "the same grid at 1e-5 K");
    const auto bench = quench_of(crooked(), {}, Boiling::none);
    bench->tolerance_K = tolerance;
    for (std::size_t m = 0; m < times.size(); ++m) {
      bench->run_to(times[m]);
      for (std::size_t n = 0; n < expected[m].size(); ++n)
        table.add(bench->balance().temperature()[n], expected[m][n]);
    }
  }
}

} // namespace
