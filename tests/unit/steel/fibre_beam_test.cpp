// The bar of fibres against closed forms.
#include "steel/fibre_beam.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace {

using tq::steel::FibreBeam;
using tq::steel::FibreStep;

constexpr double unyielding_Pa = 1e15;
/// The section is balanced to 10 Pa; the stresses below are of the order 100 MPa.
constexpr double balance = 1e-6;

/// Points and weights of Gauss-Legendre with two points on `pieces` parts of [from, to].
void add_gauss(double from, double to, int pieces, std::vector<double>& at, std::vector<double>& weight) {
  const double h = (to - from) / pieces;
  for (int k = 0; k < pieces; ++k)
    for (const double side : {-1.0, 1.0}) {
      at.push_back(from + (k + 0.5 + side * 0.5 / std::sqrt(3.0)) * h);
      weight.push_back(0.5 * h);
    }
}

FibreBeam strip(const std::vector<double>& y, const std::vector<double>& area) {
  FibreBeam beam(std::vector<double>(y.size(), 0.0), y, area);
  beam.start(std::vector<FibreStep>(y.size(), {0, 200e9, unyielding_Pa, 0}));
  return beam;
}

// Timoshenko 1925, Analysis of bi-metal thermostats, J. Opt. Soc. Am. 11, 233-255, eq. 4.
TEST(Steel_FibreBeam, BimetalStrip_BendsAsTimoshenkoSays) {
  const double t1 = 1e-3, t2 = 2e-3, E1 = 210e9, E2 = 130e9, mismatch = 1e-3;
  std::vector<double> y, area;
  add_gauss(0, t1, 1, y, area);
  add_gauss(t1, t1 + t2, 1, y, area);
  FibreBeam beam = strip(y, area);
  std::vector<FibreStep> fibres;
  for (const double at : y)
    fibres.push_back({at < t1 ? 0 : mismatch, at < t1 ? E1 : E2, unyielding_Pa, 0});
  beam.step(fibres);
  const double m = t1 / t2, n = E1 / E2, h = t1 + t2;
  const double curvature =
      6 * mismatch * (1 + m) * (1 + m) / (h * (3 * (1 + m) * (1 + m) + (1 + m * n) * (m * m + 1 / (m * n))));
  EXPECT_NEAR(beam.strain().per_y, curvature, balance * curvature);
}

// A free elastic bar whose temperature is linear over the section bends and stays free of stress
// (Boley & Weiner 1960, Theory of Thermal Stresses, 9.2).
TEST(Steel_FibreBeam, LinearFreeStrain_BendsWithoutStress) {
  const std::vector<double> x = {0, 1e-3, 5e-3, 5e-3, 2e-3}, y = {0, 2e-3, 0, 1e-3, -1e-3},
                            area = {1, 2, 1, 3, 2};
  FibreBeam beam(x, y, area);
  beam.start(std::vector<FibreStep>(x.size(), {0, 200e9, 100e6, 0}));
  std::vector<FibreStep> fibres;
  for (std::size_t k = 0; k < x.size(); ++k)
    fibres.push_back({1e-3 + 0.3 * x[k] - 0.7 * y[k], 200e9, 100e6, 0});
  beam.step(fibres);
  EXPECT_NEAR(beam.strain().per_x, 0.3, balance);
  EXPECT_NEAR(beam.strain().per_y, -0.7, balance);
  for (const double s : beam.stress())
    EXPECT_NEAR(s, 0, 100); // 10 Pa of force over fibres of a ninth of the area
}

// A parabola of free strain e (1 - (y/c)^2) over a free elastic strip leaves E e ((y/c)^2 - 1/3)
// (Timoshenko & Goodier 1951, Theory of Elasticity, art. 136).
TEST(Steel_FibreBeam, ParabolicFreeStrain_LeavesTheKnownStress) {
  constexpr double c = 2e-3, e = 5e-4, E = 200e9;
  std::vector<double> y, area;
  add_gauss(-c, c, 40, y, area);
  FibreBeam beam = strip(y, area);
  std::vector<FibreStep> fibres;
  for (const double at : y)
    fibres.push_back({e * (1 - at * at / (c * c)), E, unyielding_Pa, 0});
  beam.step(fibres);
  for (std::size_t k = 0; k < y.size(); ++k)
    EXPECT_NEAR(beam.stress()[k], E * e * (y[k] * y[k] / (c * c) - 1.0 / 3), 20); // Pa
}

// Core and rims of equal area; the core is hotter by a free strain e, yields at Y while the rims stay
// elastic, and cools again: it is left in tension by E e / 2 - Y. (Bars in parallel, elastic and perfectly
// plastic.)
TEST(Steel_FibreBeam, CoreThatYieldedHot_IsLeftInTension) {
  constexpr double E = 200e9, Y = 200e6, e = 3e-3;
  FibreBeam beam({0, 0, 0}, {-1e-3, 0, 1e-3}, {1, 2, 1});
  const auto fibres = [&](double core) {
    return std::vector<FibreStep>{{0, E, unyielding_Pa, 0}, {core, E, Y, 0}, {0, E, unyielding_Pa, 0}};
  };
  beam.start(fibres(0));
  beam.step(fibres(e));
  // the hardening of a thousandth of E adds at most that of the plastic strain of 1e-3
  const double hardening = FibreBeam::hardening * E * 1e-3;
  EXPECT_NEAR(beam.stress()[1], -Y, hardening);
  beam.step(fibres(0));
  EXPECT_NEAR(beam.stress()[1], E * e / 2 - Y, 2 * hardening);
  EXPECT_NEAR(beam.stress()[0], -beam.stress()[1], 40);
  EXPECT_NEAR(beam.strain().per_y, 0, balance);
}

// Bars in parallel again, elastic; the core transforms under its stress and gives way by p per stress:
// -e / (2/E + p).
TEST(Steel_FibreBeam, TransformationPlasticity_RelievesTheStress) {
  constexpr double E = 200e9, e = 1e-3, p = 5e-12;
  FibreBeam beam({0, 0, 0}, {-1e-3, 0, 1e-3}, {1, 2, 1});
  const auto fibres = [&](double core, double relief) {
    return std::vector<FibreStep>{
        {0, E, unyielding_Pa, 0}, {core, E, unyielding_Pa, relief}, {0, E, unyielding_Pa, 0}};
  };
  beam.start(fibres(0, 0));
  beam.step(fibres(e, p));
  EXPECT_NEAR(beam.stress()[1], -e / (2 / E + p), 40);
  // the strain stays when the cause has gone
  beam.step(fibres(0, 0));
  EXPECT_NEAR(beam.stress()[1], 0.5 * E * p * e / (2 / E + p), 40);
}

TEST(Steel_FibreBeam, NoNumber_IsNoBalance) {
  FibreBeam beam({0, 0}, {0, 1}, {1, 1});
  EXPECT_THROW(beam.step({{NAN, 1e9, 1e6, 0}, {0, 1e9, 1e6, 0}}), tq::steel::BeamError);
  EXPECT_THROW(beam.step({{0, 1e9, 1e6, 0}}), std::invalid_argument);
  EXPECT_THROW(FibreBeam({}, {}, {}), std::invalid_argument);
}

} // namespace
