#include "steel/reading.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace tq::steel {
namespace {

section::Profile ground(section::Grind grind, double spine, double edge, double bevel_height = 0) {
  section::GrindSpec spec;
  spec.grind = grind;
  spec.width = 30e-3;
  spec.spine = spine;
  spec.edge = edge;
  spec.bevel_height = bevel_height;
  return section::profile_from_grind(spec);
}

// Definition of the scale and the 10 x rule (from memory): 0.8 mm at 60 HRC, 1.0 mm at 50.
TEST(Reading, LeastThickness_IsTenTimesTheDepth) {
  EXPECT_NEAR(rockwell_depth(60), 0.08e-3, 1e-12);
  EXPECT_NEAR(least_thickness_for_rockwell(60), 0.8e-3, 1e-12);
  EXPECT_NEAR(least_thickness_for_rockwell(50), 1.0e-3, 1e-12);
}

// Common practice, no source.
TEST(Reading, File_FollowsTheHardness) {
  EXPECT_EQ(file_feel(64), FileFeel::skates);
  EXPECT_EQ(file_feel(60), FileFeel::skates);
  EXPECT_EQ(file_feel(58.5), FileFeel::just_skates);
  EXPECT_EQ(file_feel(50), FileFeel::bites);
  EXPECT_STREQ(file_feel_name(FileFeel::just_skates), "just skates");
}

// By hand: a flat grind from 3.2 to 0.6 mm over 30 mm is 0.8 mm thick at 27.69 mm, and its faces stand 5
// degrees apart, so that nowhere is it parallel.
TEST(Reading, FlatGrind_IsThickButNotParallel) {
  const RockwellPlaces p = rockwell_places(ground(section::Grind::flat, 3.2e-3, 0.6e-3), 60);
  EXPECT_NEAR(p.thick_enough.from_m, rockwell_rim_m, 1e-9);
  EXPECT_NEAR(p.thick_enough.to_m, 27.69e-3, 0.03e-3);
  EXPECT_FALSE(p.valid.exists());
}

TEST(Reading, Bevel_HoldsOnTheFlatAboveIt) {
  const RockwellPlaces p = rockwell_places(ground(section::Grind::bevel, 3e-3, 0.4e-3, 12e-3), 62);
  ASSERT_TRUE(p.valid.exists());
  EXPECT_NEAR(p.valid.from_m, rockwell_rim_m, 1e-9);
  EXPECT_NEAR(p.valid.to_m, 18e-3, 0.05e-3);
  EXPECT_GT(p.thick_enough.to_m, p.valid.to_m);
}

TEST(Reading, ThinStock_HasNoPlaceAtAll) {
  const RockwellPlaces p = rockwell_places(ground(section::Grind::flat, 0.7e-3, 0.65e-3), 60);
  EXPECT_FALSE(p.thick_enough.exists());
  EXPECT_FALSE(p.valid.exists());
  EXPECT_TRUE(std::isnan(p.valid.from_m));
}

TEST(Reading, GentleTaper_HoldsDownToTheThickness) {
  const RockwellPlaces p = rockwell_places(ground(section::Grind::flat, 1.5e-3, 0.5e-3), 60); // 1.9 degrees
  ASSERT_TRUE(p.valid.exists());
  EXPECT_NEAR(p.valid.to_m, 21e-3, 0.03e-3);
}

} // namespace
} // namespace tq::steel
