// The closed forms themselves against printed figures and each other, before anything is judged by them.
#include "series.hpp"

#include <gtest/gtest.h>

namespace {

using namespace tq::verification;

TEST(Series, PlaneWall_FirstRootAndFactorAsPrinted) {
  // ID table 5.1 (Bi, zeta1 in rad, C1).
  const double printed[][3] = {{0.01, 0.0998, 1.0017}, {0.1, 0.3111, 1.0161}, {0.5, 0.6533, 1.0701},
                               {1, 0.8603, 1.1191},    {5, 1.3138, 1.2402},   {10, 1.4289, 1.2620},
                               {100, 1.5552, 1.2731}};
  for (const auto& row : printed) {
    const PlaneWall wall(row[0]);
    EXPECT_NEAR(wall.root(0), row[1], 6e-5) << row[0];
    EXPECT_NEAR(wall.factor(0), row[2], 6e-5) << row[0];
  }
}

TEST(Series, PlaneWall_StartsAtOne) {
  const PlaneWall wall(1.0, 4000);
  for (const double x : {0.0, 0.5, 1.0})
    EXPECT_NEAR(wall.theta(1e-6, x), x < 1 ? 1.0 : 1.0 - 2e-3 / std::sqrt(std::numbers::pi), 1e-4);
}

TEST(Series, PlaneWall_FullSeriesAtBiotOne) {
  const PlaneWall wall(1.0);
  const double rows[][4] = {// Fo, centre, surface, mean
                            {0.01, 1.0, 0.89645698, 0.9907051},
                            {0.05, 0.99975096, 0.79037676, 0.95730998},
                            {0.2, 0.95064178, 0.64339078, 0.85159546},
                            {1.0, 0.5338594, 0.34817685, 0.47039725}};
  for (const auto& row : rows) {
    EXPECT_NEAR(wall.theta(row[0], 0), row[1], 1e-6);
    EXPECT_NEAR(wall.theta(row[0], 1), row[2], 2e-6);
    EXPECT_NEAR(wall.mean(row[0]), row[3], 1e-6);
  }
}

TEST(Series, UnevenSlab_WithEvenFacesIsThePlaneWall) {
  const double biot = 0.7; // on the half thickness
  const PlaneWall wall(biot);
  const UnevenSlab slab(2 * biot, 2 * biot);
  for (const double fourier : {0.05, 0.3, 1.0})
    for (const double x : {0.0, 0.4, 1.0})
      EXPECT_NEAR(slab.theta(fourier / 4, 0.5 + 0.5 * x), wall.theta(fourier, x), 1e-8);
}

TEST(Series, UnevenSlab_FilmOnOneFaceNucleateOnTheOther) {
  // W 3 mm, k 25, rho c 4.68e6, h 300 and 2500, 800 to 60 degC.
  const UnevenSlab slab(300 * 0.003 / 25, 2500 * 0.003 / 25);
  const auto T = [&](double t, double s) { return 60 + 740 * slab.theta(25 / 4.68e6 * t / 9e-6, s); };
  EXPECT_NEAR(T(0.25, 0), 782.63876, 1e-4);
  EXPECT_NEAR(T(0.25, 1), 711.86673, 1e-4);
  EXPECT_NEAR(T(2, 0.5), 577.41772, 1e-4);
}

TEST(Series, HalfSpace_AsPrinted) {
  // CJ fig. 12 / ID fig. 5.8 are drawn from this; figures to eight digits from the formula by another
  // program.
  EXPECT_NEAR(half_space(0, 0.1), 1 - 0.10354302, 1e-8);
  EXPECT_NEAR(half_space(0, 1), 1 - 0.57241642, 1e-8);
  EXPECT_NEAR(half_space(0.5, 0.5), 1 - 0.1464977, 1e-7);
  EXPECT_NEAR(half_space(1, 2), 1 - 0.091448364, 1e-8);
}

TEST(Series, Wedge_OfNinetyDegreesIsAProductOfErrorFunctions) {
  for (const double u : {0.5, 1.0, 2.0, 4.0}) { // r / (2 sqrt(alpha t))
    const double side = std::erf(u / std::sqrt(2.0));
    EXPECT_NEAR(wedge_bisector(0.5 * std::numbers::pi, u * u), side * side, 1e-9) << u;
    EXPECT_NEAR(wedge_bisector(std::numbers::pi, u * u), std::erf(u), 1e-9) << u;
  }
}

TEST(Series, TrapezoidFin_BetweenItsLimits) {
  // Against the straight fin (nearly even thickness): theta = 1 / cosh mL, q = k t m tanh mL.
  const TrapezoidFin straight(30, 100, 1.01e-3, 0.99e-3, 20e-3);
  const double m = std::sqrt(2 * 100 / (30 * 1e-3));
  EXPECT_NEAR(straight.theta(0), 1 / std::cosh(m * 20e-3), 2e-3);
  EXPECT_NEAR(straight.heat(), 30 * 1e-3 * m * std::tanh(m * 20e-3), 1e-2);
  EXPECT_NEAR(straight.theta(20e-3), 1, 1e-12);
  // Against the triangular fin: theta(tip) = 1 / I0(2 m L), m = sqrt(2 h / (k t)).
  const TrapezoidFin sharp(30, 100, 3e-3, 1e-9, 18e-3);
  EXPECT_NEAR(sharp.theta(0), 0.53750487, 1e-4);
}

TEST(Series, BehindShield_KeepsEnergy) {
  // Sum of both equations: C_f T_f' + C_b T_b' = U_o (T_inf - T_f), by Simpson's rule over 60 s.
  const auto at = [](double t) { return behind_shield(200, 7254, 120, 300, 20, 800, t); };
  EXPECT_NEAR(at(0).first, 20, 1e-9);
  EXPECT_NEAR(at(0).second, 20, 1e-9);
  EXPECT_NEAR(at(60).first, 519.99946, 1e-4);
  EXPECT_NEAR(at(60).second, 410.17417, 1e-4);
  double integral = 0;
  constexpr int n = 6000;
  for (int i = 0; i <= n; ++i)
    integral += (i == 0 || i == n ? 1 : i % 2 == 1 ? 4 : 2) * 120 * (800 - at(60.0 * i / n).first);
  integral *= 60.0 / n / 3;
  EXPECT_NEAR(integral, 200 * (at(60).first - 20) + 7254 * (at(60).second - 20), 1e-3);
}

TEST(Series, RadiationTime_OfASmallStep) {
  // A small step from T0: t = C dT / (eps sigma (Ts^4 - T0^4)).
  const double Ts = 1073.15, T0 = 600, dT = 1e-3;
  EXPECT_NEAR(radiation_time(7000, 0.7, Ts, T0, T0 + dT),
              7000 * dT / (0.7 * sigma * (std::pow(Ts, 4) - std::pow(T0, 4))), 1e-8);
}

} // namespace
