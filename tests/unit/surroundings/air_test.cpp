#include "surroundings/air.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace tq::surroundings;

double at_kelvin(double T_K) { return T_K - 273.15; }

// Incropera & DeWitt, table A.4 (air at one atmosphere).
TEST(AirConductivity, TabulatedTemperatures_WithinThreePercent) {
  const struct {
    double T_K, k;
  } rows[] = {{300, 0.0263}, {400, 0.0338}, {500, 0.0407},  {600, 0.0469},  {700, 0.0524},
              {800, 0.0573}, {900, 0.0620}, {1000, 0.0667}, {1100, 0.0715}, {1200, 0.0763}};
  for (const auto& row : rows)
    EXPECT_NEAR(air_conductivity(at_kelvin(row.T_K)), row.k, 0.03 * row.k) << row.T_K << " K";
}

// Sea-level value of the US Standard Atmosphere 1976, table 3 (288.15 K).
TEST(AirConductivity, SeaLevel_IsTheStandardsFigure) { EXPECT_NEAR(air_conductivity(15.0), 2.5326e-2, 1e-5); }

TEST(AirConductivity, RisesWithTemperature) {
  for (double T = -190.0; T < 1200.0; T += 10.0)
    EXPECT_GT(air_conductivity(T + 10.0), air_conductivity(T)) << T;
}

// Incropera & DeWitt, example 9.2: a glass fire screen 0.71 m high at 232 degC in a room at 23 degC, by the
// same correlation: Nu = 147, h = 7.0 W/m2K (its table of k and Pr differs by 1-2 % from the formulas here).
TEST(NaturalConvection, FireScreen_AsInTheTextbook) {
  EXPECT_NEAR(natural_convection(232.0, 23.0, 0.71), 7.0, 0.02 * 7.0);
}

// Worked by hand: 30 mm high, 20 degC air, surface 200 degC. Film 383.15 K: nu 24.05e-6, k 0.0325,
// Ra = 9.807 x 180 x 2.7e-5 x 0.70 / (383.15 x 24.05e-6^2) = 1.506e5, Nu = 10.17, h = 11.0.
TEST(NaturalConvection, BladeInRoomAir_AsWorkedByHand) {
  EXPECT_NEAR(natural_convection(200.0, 20.0, 0.030), 11.0, 0.05);
}

TEST(NaturalConvection, HotOrColdSurface_SameByFilm) {
  EXPECT_DOUBLE_EQ(natural_convection(200.0, 20.0, 0.03), natural_convection(20.0, 200.0, 0.03));
}

// Without any difference only conduction is left: Nu = 0.825^2.
TEST(NaturalConvection, NoDifference_LeavesConduction) {
  EXPECT_NEAR(natural_convection(20.0, 20.0, 0.03), 0.825 * 0.825 * air_conductivity(20.0) / 0.03, 1e-9);
}

} // namespace
