#include "surroundings/furnace.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace tq::surroundings;

TEST(HotFurnace, Droop_DecaysToFivePercentAtRecovery) {
  const auto furnace = FurnaceTemperature::hot(800.0, 0.0, 30.0, 300.0);
  EXPECT_DOUBLE_EQ(furnace(0.0), 770.0);
  EXPECT_NEAR(furnace(300.0), 800.0 - 0.05 * 30.0, 1e-9);
  EXPECT_NEAR(furnace(600.0), 800.0 - 0.0025 * 30.0, 1e-9);
  EXPECT_NEAR(furnace(1e6), 800.0, 1e-9);
  EXPECT_DOUBLE_EQ(furnace.display_ready_s(), 300.0);
  EXPECT_TRUE(furnace.breakpoints().empty());
}

TEST(HotFurnace, Offset_ShiftsTheTrueTemperature) {
  const auto furnace = FurnaceTemperature::hot(815.0, 35.0, 10.0, 240.0);
  EXPECT_DOUBLE_EQ(furnace.final_degC(), 850.0);
  EXPECT_DOUBLE_EQ(furnace(0.0), 840.0);
}

TEST(HotFurnace, NoDroop_StandsStillAndIsReadyAtOnce) {
  for (const auto& furnace :
       {FurnaceTemperature::hot(800.0, 0.0, 0.0, 300.0), FurnaceTemperature::hot(800.0, 0.0, 30.0, 0.0)}) {
    EXPECT_DOUBLE_EQ(furnace(0.0), 800.0);
    EXPECT_DOUBLE_EQ(furnace(100.0), 800.0);
    EXPECT_DOUBLE_EQ(furnace.display_ready_s(), 0.0);
  }
}

TEST(HotFurnace, BeforeTheDoorCloses_ReadsAsAtTheDoor) {
  const auto furnace = FurnaceTemperature::hot(800.0, 0.0, 30.0, 300.0);
  EXPECT_DOUBLE_EQ(furnace(-5.0), 770.0);
}

// 20 -> 650 at 0.25 K/s (2520 s), hold 600 s, -> 800 at 0.125 K/s (1200 s), hold 900 s.
TEST(ColdFurnace, RampsAndHolds_BreakWhereTheProgrammeBreaks) {
  const auto furnace = FurnaceTemperature::cold(20.0, 0.0, {{650.0, 0.25, 600.0}, {800.0, 0.125, 900.0}});
  ASSERT_EQ(furnace.breakpoints().size(), 3u);
  EXPECT_DOUBLE_EQ(furnace.breakpoints()[0], 2520.0);
  EXPECT_DOUBLE_EQ(furnace.breakpoints()[1], 3120.0);
  EXPECT_DOUBLE_EQ(furnace.breakpoints()[2], 4320.0);
  EXPECT_DOUBLE_EQ(furnace.display_ready_s(), 4320.0);
  EXPECT_DOUBLE_EQ(furnace(0.0), 20.0);
  EXPECT_DOUBLE_EQ(furnace(1260.0), 335.0);
  EXPECT_DOUBLE_EQ(furnace(2520.0), 650.0);
  EXPECT_DOUBLE_EQ(furnace(3000.0), 650.0);
  EXPECT_DOUBLE_EQ(furnace(3720.0), 725.0);
  EXPECT_DOUBLE_EQ(furnace(4320.0), 800.0);
  EXPECT_DOUBLE_EQ(furnace(1e6), 800.0); // the last target holds for ever
  EXPECT_DOUBLE_EQ(furnace.final_degC(), 800.0);
}

TEST(ColdFurnace, StepWithoutRate_JumpsAndHoldsFromThere) {
  const auto furnace = FurnaceTemperature::cold(20.0, 0.0, {{650.0, 0.0, 600.0}, {800.0, 0.0, 0.0}});
  EXPECT_DOUBLE_EQ(furnace(0.0), 650.0);
  EXPECT_NEAR(furnace(600.0 - 1e-6), 650.0, 1e-9);
  EXPECT_DOUBLE_EQ(furnace(600.0), 800.0);
  ASSERT_EQ(furnace.breakpoints().size(), 1u);
  EXPECT_DOUBLE_EQ(furnace.breakpoints()[0], 600.0);
}

TEST(ColdFurnace, Offset_LeavesTheStartAndMovesTheTargets) {
  const auto furnace = FurnaceTemperature::cold(20.0, 10.0, {{800.0, 0.5, 60.0}});
  EXPECT_DOUBLE_EQ(furnace(0.0), 20.0);
  EXPECT_DOUBLE_EQ(furnace.final_degC(), 810.0);
  EXPECT_DOUBLE_EQ(furnace.display_ready_s(), 1580.0);
}

TEST(ColdFurnace, DescendingStep_UsesTheRatesSize) {
  const auto furnace = FurnaceTemperature::cold(20.0, 0.0, {{850.0, 0.0, 600.0}, {800.0, -0.1, 0.0}});
  EXPECT_DOUBLE_EQ(furnace(850.0), 825.0);
  EXPECT_DOUBLE_EQ(furnace(1100.0), 800.0);
  // its hottest level is that of hardening; what comes behind it is cooling, run to its end
  EXPECT_DOUBLE_EQ(furnace.final_degC(), 850.0);
  EXPECT_DOUBLE_EQ(furnace.display_ready_s(), 0.0);
}

TEST(ColdFurnace, SameTargetTwice_IsReadyAtTheFirst) {
  const auto furnace = FurnaceTemperature::cold(20.0, 0.0, {{800.0, 1.0, 600.0}, {800.0, 1.0, 600.0}});
  EXPECT_DOUBLE_EQ(furnace.display_ready_s(), 780.0);
  EXPECT_EQ(furnace.breakpoints().size(), 1u);
}

TEST(ColdFurnace, NoProgramme_StaysAtItsStart) {
  const auto furnace = FurnaceTemperature::cold(20.0, 10.0, {});
  EXPECT_DOUBLE_EQ(furnace(100.0), 20.0);
  EXPECT_DOUBLE_EQ(furnace.final_degC(), 20.0);
}

TEST(Oven, Swing_IsASineAboutTheSetPoint) {
  EXPECT_NEAR(oven_temperature(205.0, 15.0, 600.0, 150.0), 220.0, 1e-9);
  EXPECT_NEAR(oven_temperature(205.0, 15.0, 600.0, 450.0), 190.0, 1e-9);
  EXPECT_NEAR(oven_temperature(205.0, 15.0, 600.0, 600.0), 205.0, 1e-9);
  EXPECT_DOUBLE_EQ(oven_temperature(205.0, 0.0, 600.0, 150.0), 205.0);
  EXPECT_DOUBLE_EQ(oven_temperature(205.0, 15.0, 0.0, 150.0), 205.0);
}

} // namespace
