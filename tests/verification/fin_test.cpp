// The section as a fin, one node for each column, as tempers are solved: against closed forms of fins, and
// against the plane wall, of which it leaves out the fall across the thickness.
#include "bench.hpp"
#include "series.hpp"

#include <gtest/gtest.h>

namespace tq::verification {
namespace {

// a blade in a tempering oven: k of hardened steel, h of moving air and radiation together
constexpr double k = 30, c = 500, rho = 7800, h = 35, from_degC = 20, oven_degC = 220;

void insulate_ends(Bench& bench) {
  for (int face : {spine_face, edge_face})
    bench.surround.face[static_cast<std::size_t>(face)].htc_constant_W_m2K = 0;
}

TEST(Fin, EvenPlate_WarmsLikeALump) {
  Comparison table("plate 3 mm as a fin, 20 degC into 220 degC", "K", 0.02, "ID eq. 5.6, lumped");
  for (const bool symmetry : {true, false}) {
    const double half = 1.5e-3, unit = rho * c * half / h;
    Bench bench(plate(30e-3, 2 * half), {.along = 20, .across = 4, .use_symmetry = symmetry}, constant(k),
                constant(c), rho, from_degC, Bench::Solved::as_fin);
    bench.everywhere(h, oven_degC);
    insulate_ends(bench);
    for (const double t : {0.1, 0.3, 1.0, 3.0}) {
      bench.run_to(t * unit);
      for (int i = 0; i < bench.nx(); ++i)
        table.add(bench.node(i, 0), oven_degC + (from_degC - oven_degC) * std::exp(-t));
    }
    EXPECT_LT(bench.energy_residual(), 1e-12);
  }
}

// what DEVELOPERS.md says of the error: the flank of the wall differs from the fin by at most a third of the
// Biot number of what the oven is warmer, its mean by e^-1 of that
TEST(Fin, AgainstThePlaneWall_ErrsByAThirdOfTheBiotNumber) {
  for (const double half : {1.5e-3, 4e-3, 8e-3}) {
    const double biot = h * half / k, law_K = biot / 3 * (oven_degC - from_degC), unit = rho * c * half / h;
    const PlaneWall wall(biot);
    const std::string name = "plate " + std::to_string(static_cast<int>(2e3 * half + 0.5)) + " mm as a fin: ";
    Comparison flank(name + "flank", "K", 1.02 * law_K, "ID eqs 5.39-5.41; Bi/3 of 200 K");
    Comparison mean(name + "mean", "K", 1.02 * law_K * std::exp(-1.0),
                    "ID eqs 5.39-5.41; Bi/3 of 200 K over e");
    Bench bench(plate(30e-3, 2 * half), {.along = 8, .across = 4}, constant(k), constant(c), rho, from_degC,
                Bench::Solved::as_fin);
    bench.everywhere(h, oven_degC);
    insulate_ends(bench);
    for (const double t : {0.01, 0.05, 0.2, 0.5, 0.8, 1.0, 1.3, 2.0, 4.0}) {
      bench.run_to(t * unit);
      const double fourier = k / (rho * c) * t * unit / (half * half);
      const auto at = [&](double theta) { return oven_degC + (from_degC - oven_degC) * theta; };
      flank.add(bench.node(3, 0), at(wall.theta(fourier, 1)));
      mean.add(bench.node(3, 0), at(wall.mean(fourier)));
    }
  }
}

TEST(Fin, SpineHeld_FollowsTheSeries) {
  // the end held at the temperature of what is round it: the lump's exponential times the wall's series
  const double half = 1.5e-3, W = 30e-3, unit = rho * c * half / h;
  const PlaneWall along(1e8 * W / k);
  Comparison table("plate 3 x 30 mm as a fin, its spine face held at 220 degC", "K", 0.1,
                   "lump times plane wall; ID 5.8");
  Bench bench(plate(W, 2 * half), {.along = 60, .across = 4}, constant(k), constant(c), rho, from_degC,
              Bench::Solved::as_fin);
  bench.everywhere(h, oven_degC);
  bench.surround.face[spine_face].htc_constant_W_m2K = 1e8;
  bench.surround.face[edge_face].htc_constant_W_m2K = 0;
  for (const double t : {0.1, 0.3, 1.0}) {
    bench.run_to(t * unit);
    for (int i = 0; i < bench.nx(); ++i) {
      const double x = 1 - bench.grid().x[static_cast<std::size_t>(i)] / W;
      const double theta = std::exp(-t) * along.theta(k / (rho * c) * t * unit / (W * W), x);
      table.add(bench.node(i, 0), oven_degC + (from_degC - oven_degC) * theta);
    }
  }
}

TEST(Fin, TaperedBlade_IsTheTrapezoidFin) {
  const double kf = 30, base = 3e-3, tip = 0.4e-3, L = 30e-3;
  const TrapezoidFin fin(kf, h, base, tip, L);
  Comparison table("steady trapezoid fin, solved as a fin (100 K at the base)", "K", 0.03,
                   "KAW, trapezoidal profile");
  Bench bench(taper(L, base, tip), {.along = 60, .across = 4}, constant(kf), constant(100), 1000, 50,
              Bench::Solved::as_fin);
  bench.as_steady_fin(h, 100);
  bench.run_to(200);
  for (int i = 0; i < bench.nx(); ++i)
    table.add(bench.node(i, 0), 100 * fin.theta(L - bench.grid().x[static_cast<std::size_t>(i)]));
}

} // namespace
} // namespace tq::verification
