// Plates and coats as covers, the tank between blades, gases in the packet, neighbours in the muffle: each
// against a closed form or a limit.
#include "surroundings/air.hpp"
#include "surroundings/furnace.hpp"
#include "surroundings/gas.hpp"
#include "surroundings/plates.hpp"
#include "surroundings/tank.hpp"
#include "surroundings/wrap.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace tq::surroundings;

TEST(Plates, LieOnAFullFlank_AndOnTheFlatOfABevel) {
  const std::vector<double> x{0, 5e-3, 10e-3, 15e-3, 20e-3};
  for (double gap : gap_under_plate(x, {1.6e-3, 1.3e-3, 1.0e-3, 0.7e-3, 0.4e-3}))
    EXPECT_NEAR(gap, 0, 1e-15);
  const auto bevel = gap_under_plate(x, {1e-3, 1e-3, 1e-3, 0.6e-3, 0.2e-3});
  EXPECT_NEAR(bevel[1], 0, 1e-15);
  EXPECT_NEAR(bevel[2], 0, 1e-15);
  EXPECT_NEAR(bevel[3], 0.4e-3, 1e-15);
  EXPECT_NEAR(bevel[4], 0.8e-3, 1e-15);
}

TEST(Plates, Slices_HoldTheHeatAndTheResistanceOfThePlate) {
  tq::records::SolidRecord metal;
  metal.density_kg_m3 = 2700;
  metal.specific_heat_J_kgK = 900;
  metal.conductivity_W_mK = 180;
  tq::conduction::Cover slices;
  add_plate(slices, 0, metal, 25e-3, 1500, {0.0, 1e-3}, 20);
  double mass = 0, resistance = 0;
  for (const auto& slice : slices) {
    mass += slice.mass_kg_m2;
    resistance += 1 / slice.conductance[0]->value(100);
  }
  resistance += 0.5 * slices.back().mass_kg_m2 / 2700 / 180; // from the middle of the last slice
  EXPECT_NEAR(mass, 2700 * 25e-3, 1e-9);
  EXPECT_NEAR(resistance, 1 / 1500.0 + 25e-3 / 180, 1e-12);
  // under the wedge of 1 mm its air comes in series
  const double touching = 1 / slices[0].conductance[0]->value(100);
  EXPECT_NEAR(touching / slices[0].factor[0][1], touching + 1e-3 / air_conductivity(300), 1e-12);
}

TEST(Coat, Layers_HoldItsHeatAndItsResistance) {
  tq::records::SolidRecord clay;
  clay.density_kg_m3 = 1700;
  clay.conductivity_W_mK = 0.8;
  std::array<std::vector<double>, tq::conduction::faces> thickness;
  thickness[0] = {2e-3, 1e-6};
  const auto layers = coat(clay, thickness);
  double mass = 0, resistance = 0;
  for (const auto& layer : layers) {
    mass += layer.mass_kg_m2 * layer.thickness[0][0];
    resistance += 1 / (layer.conductance[0]->value(100) * layer.factor[0][0]);
    EXPECT_EQ(layer.thickness[0][1], 0); // too thin to be one
  }
  EXPECT_NEAR(mass, 1700 * 2e-3, 1e-12);
  EXPECT_NEAR(resistance, 2e-3 / 0.8, 1e-12);
}

TEST(Tank, BladesInARow_AddUpWithoutLossAndVanishWithTime) {
  Tank tank;
  tank.fresh_degC = tank.room_degC = 20;
  tank.capacity_J_K = 8e-3 * 845 * 2020;
  tank.heat_J = 0.2 * 543e3; // 0.2 kg of steel, EN 1993-1-2 between 60 and 800 degC
  tank.blade_degC = 1e9;     // so hot that the warmer bath does not matter
  const double rise = tank.heat_J / tank.capacity_J_K;
  EXPECT_NEAR(rise, 8, 0.5); // rule of the shop: 7 K in 8 L, 15 K in 4 L for such a blade
  EXPECT_EQ(bath_before_blade(tank, 1), 20);
  EXPECT_NEAR(bath_before_blade(tank, 4), 20 + 3 * rise, 1e-3);
  EXPECT_EQ(blades_below(tank, 20 + 3.5 * rise, 100), 3);
  tank.loss_W_K = tank_loss_W_K(8e-3);
  tank.interval_s = 100 * 3600;
  EXPECT_NEAR(bath_before_blade(tank, 4), 20, 1e-3);
  tank.interval_s = 1800;
  const double half = std::exp(-tank.loss_W_K * 1800 / tank.capacity_J_K);
  EXPECT_NEAR(bath_before_blade(tank, 2), 20 + rise * half, 1e-6);
}

TEST(Tank, LeastInterval_KeepsAnEndlessRowJustBelowTheLimit) {
  Tank tank;
  tank.fresh_degC = 55;
  tank.room_degC = 20;
  tank.capacity_J_K = 8e-3 * 845 * 2020;
  tank.loss_W_K = tank_loss_W_K(8e-3);
  tank.heat_J = 0.2 * 543e3;
  tank.blade_degC = 800;
  tank.interval_s = least_interval_s(tank, 75);
  EXPECT_GT(tank.interval_s, 60);
  EXPECT_LE(bath_after_blade(tank, 500), 75 + 1e-9);
  EXPECT_NEAR(bath_after_blade(tank, 500), 75, 1e-3);
  tank.interval_s *= 0.9;
  EXPECT_GT(bath_after_blade(tank, 500), 75);
  EXPECT_TRUE(std::isnan(least_interval_s(tank, 56))); // less than one blade's rise above the fresh bath
  tank.room_degC = 80;                                 // never cools below the limit
  EXPECT_TRUE(std::isnan(least_interval_s(tank, 75)));
}

TEST(Tank, LeastVolumeForARow_EndsAtTheLimit) {
  Tank tank;
  tank.fresh_degC = 55;
  tank.room_degC = 20;
  tank.capacity_J_K = 8e-3 * 845 * 2020;
  tank.loss_W_K = tank_loss_W_K(8e-3);
  tank.heat_J = 0.2 * 543e3;
  tank.blade_degC = 800;
  tank.interval_s = 240;
  const double volume = least_volume_for_row_m3(tank, 8e-3, 75, 6);
  tank.capacity_J_K *= volume / 8e-3;
  tank.loss_W_K = tank_loss_W_K(volume);
  EXPECT_NEAR(bath_after_blade(tank, 6), 75, 1e-3);
}

TEST(Neighbours, ShadedSurface_KeepsItsOwnEmissivityWithoutNeighboursAndNoneBehindThem) {
  EXPECT_DOUBLE_EQ(shaded_emissivity(0.7, 0), 0.7);
  EXPECT_DOUBLE_EQ(shaded_emissivity(0.7, 1), 0);
  EXPECT_DOUBLE_EQ(shaded_emissivity(1, 0.4), 0.6); // black: what it sees of the walls
  // a slot of grey walls looks blacker than the walls are: 0.3 * 0.6 / (1 - 0.7 * 0.4)
  EXPECT_NEAR(shaded_emissivity(0.3, 0.4), 0.25, 1e-12);
}

// 8 L/kg of steel warm by about 38 K: the trade's gallon per pound (8.35 L/kg).
TEST(Tank, LeastVolume_AgreesWithTheGallonPerPound) {
  Tank one_kg;
  one_kg.fresh_degC = 20;
  one_kg.capacity_J_K = 1e-3 * 870 * 2000; // 1 L
  one_kg.heat_J = 543e3;
  one_kg.blade_degC = 800;
  EXPECT_NEAR(least_volume_for_row_m3(one_kg, 1e-3, 20 + 38, 1) * 1e3, 8.35, 0.3);
}

TEST(Gas, Conductivities_MatchTables) {
  // nitrogen: Incropera & DeWitt table A.4; argon: tables of noble gases; both from memory
  EXPECT_NEAR(gas_conductivity(Gas::nitrogen, 726.85), 0.0647, 0.002);
  EXPECT_NEAR(gas_conductivity(Gas::argon, 726.85), 0.0427, 0.0017);
  EXPECT_EQ(gas_conductivity(Gas::air, 500), air_conductivity(500));
}

TEST(Neighbours, ViewFactor_IsThatOfParallelStrips) {
  EXPECT_NEAR(view_between_blades(1, 1), std::sqrt(2.0) - 1, 1e-12); // 0.414, Incropera & DeWitt table 13.1
  EXPECT_NEAR(view_between_blades(1, 1e-6), 1, 1e-5);
  EXPECT_NEAR(view_between_blades(1, 100), 0.005, 1e-4);
}

TEST(Foil, OxidisingEmissivity_GoesFromFreshToOxidised) {
  EXPECT_EQ(oxidising_emissivity(0.3, 0.75, 600, -5), 0.3);
  EXPECT_NEAR(oxidising_emissivity(0.3, 0.75, 600, 600), 0.75 - 0.45 / std::exp(1.0), 1e-12);
  EXPECT_NEAR(oxidising_emissivity(0.3, 0.75, 600, 1e5), 0.75, 1e-12);
}

TEST(Overshoot, PeaksOnceAfterTheDisplayIsReady) {
  auto furnace = FurnaceTemperature::hot(800, 0, 10, 240);
  furnace.overshoot(15, 300);
  const auto plain = FurnaceTemperature::hot(800, 0, 10, 240);
  EXPECT_EQ(furnace(200), plain(200));
  EXPECT_NEAR(furnace(540) - plain(540), 15, 1e-9);
  EXPECT_LT(furnace(700) - plain(700), 15);
  EXPECT_NEAR(furnace(5000), 800, 0.01);
  ASSERT_EQ(furnace.breakpoints().size(), 1u);
  EXPECT_EQ(furnace.breakpoints()[0], 240);
}

} // namespace
