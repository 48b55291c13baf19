// The surface's answer from recorded temperatures; the figures of each law are tested in tests/unit/steel.
#include "../../support/file_records.hpp"
#include "answers/surface.hpp"
#include "steel/temper_colour.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

namespace {

using namespace tq;
using namespace tq::answers;

treatment::Case shipped() {
  const std::string path = TQ_SOURCE_DIR "/cases/drop_point_o1.toml";
  return treatment::read_case(test::read_file(path).value(), "drop_point_o1.toml",
                              test::FileRecords(TQ_SOURCE_DIR "/cases"));
}

/// A run that heats at once, soaks 20 min at 800 degC, waits `air_s` in air, is quenched and tempered 1 h.
treatment::Run made(double temper_degC, double air_s = 2) {
  using treatment::Part;
  treatment::Run run;
  const double out = 1200, bath = out + air_s, cold = bath + 60, end = cold + 3600;
  run.hardening = shipped().hardening();
  const auto add_span = [&](Part part, double from, double to, int cycle) {
    treatment::StepSpan span;
    span.step = *run.hardening.first(part);
    span.part = part;
    span.from_s = from;
    span.to_s = to;
    span.cycle = cycle;
    run.spans.push_back(span);
  };
  add_span(Part::furnace, 0, out, 0);
  add_span(Part::transfer, out, bath, 0);
  add_span(Part::bath, bath, cold, 0);
  add_span(Part::temper, cold, end, 1);
  run.zones.resize(treatment::zone_count);
  const auto add = [&](double t, double T) {
    run.time_s.push_back(t);
    for (auto& zone : run.zones)
      zone.temperature.push_back(T);
  };
  add(0, 800);
  add(out, 800);
  add(bath, 780);
  add(bath + 5, 60);
  add(cold, 40);
  add(cold + 1, temper_degC);
  add(end, temper_degC);
  return run;
}

StationAnswer hardness(double quenched, double tempered) {
  StationAnswer s;
  for (auto& z : s.zones) {
    z.as_quenched_HRC = quenched;
    z.tempered_HRC = tempered;
  }
  return s;
}

SurfaceAnswer surface(const treatment::Case& c, const treatment::Run& run, const StationAnswer& s) {
  return surface_answer(c, c.blade.stations.front().profile, run, s);
}

TEST(Surface, Foil_SavesTheSkin) {
  treatment::Case c = shipped();
  ASSERT_GT(c.wrap.layers, 0);
  const SurfaceAnswer wrapped = surface(c, made(205), hardness(64.5, 61));
  c.wrap.layers = 0;
  const SurfaceAnswer bare = surface(c, made(205), hardness(64.5, 61));
  EXPECT_LT(wrapped.soft_depth_m, 2e-6); // two seconds in air
  EXPECT_EQ(wrapped.file_as_quenched, "skates");
  EXPECT_EQ(wrapped.edge_governed_by, "floor");
  EXPECT_LT(wrapped.scale_m, 2e-6);
  EXPECT_GT(bare.soft_depth_m, 0.02e-3); // rule figure for 30 min: 0.02-0.05 mm (arithmetic, no measurement)
  EXPECT_LT(bare.soft_depth_m, 0.05e-3);
  EXPECT_GT(bare.affected_depth_m, 0.10e-3); // between the rule figures for 10 and 30 min
  EXPECT_LT(bare.affected_depth_m, 0.17e-3);
  EXPECT_NE(bare.file_as_quenched.find("bites on the soft skin"), std::string::npos);
  EXPECT_EQ(bare.edge_governed_by, "skin");
  EXPECT_GE(bare.least_edge_m, 0.5e-3); // trade: 0.5-1.3 mm before hardening (common practice)
  EXPECT_LE(bare.least_edge_m, 1.3e-3);
  EXPECT_DOUBLE_EQ(bare.grind_per_side_m, bare.affected_depth_m);
}

TEST(Surface, FoilOffAtTheDoor_CountsAsBareFromThere) {
  const treatment::Case c = shipped();
  ASSERT_FALSE(c.carried_in_foil());
  const SurfaceAnswer quick = surface(c, made(205, 1), hardness(64.5, 61));
  const SurfaceAnswer slow = surface(c, made(205, 30), hardness(64.5, 61));
  EXPECT_GT(slow.scale_m, quick.scale_m);
  EXPECT_GE(slow.affected_depth_m, quick.affected_depth_m);
}

// ASTM 9-10 after the usual soak of O1 (from memory).
TEST(Surface, UsualSoak_HasAFineGrain) {
  const SurfaceAnswer s = surface(shipped(), made(205), hardness(64.5, 61));
  EXPECT_GT(s.grain_number, 8.5);
  EXPECT_LT(s.grain_number, 10.5);
}

TEST(Surface, Reading_FollowsTheHardnessAfterTempering) {
  const SurfaceAnswer s = surface(shipped(), made(205), hardness(64.5, 60));
  EXPECT_NEAR(s.rockwell_thickness_m, 0.8e-3, 1e-9); // definition of the scale, 10 x rule
  EXPECT_EQ(surface(shipped(), made(205), hardness(50, 50)).file_as_quenched, "bites");
}

TEST(Surface, Colour_IsThatOfTheOvenWithItsDoubt) {
  const SurfaceAnswer s = surface(shipped(), made(235), hardness(64.5, 60));
  EXPECT_EQ(s.temper_colour, "straw");                           // tables in circulation: 225-238 degC
  EXPECT_EQ(s.temper_colour_doubt, "faint straw to dark straw"); // tables: 199-221 and 240-249 degC
  EXPECT_EQ(s.temper_colour_srgb.size(), 7u);
  treatment::Run hot_edge = made(235);
  for (double& T : hot_edge.zones[treatment::zone_edge].temperature)
    T += T < 300 ? 40 : 0;
  EXPECT_EQ(surface(shipped(), hot_edge, hardness(64.5, 60)).temper_colour_edge,
            "purple"); // tables: 270-282 degC
}

TEST(Surface, NothingToSay_IsEmpty) {
  treatment::Case c = shipped();
  treatment::Run run = made(205);
  run.spans = {run.spans[2]}; // the bath alone
  const SurfaceAnswer s = surface(c, run, hardness(64, NAN));
  EXPECT_TRUE(std::isnan(s.affected_depth_m));
  EXPECT_TRUE(std::isnan(s.grain_number));
  EXPECT_TRUE(s.temper_colour.empty());
  EXPECT_EQ(s.file_as_quenched, "skates");
  c.steel.inert = true;
  EXPECT_TRUE(surface(c, run, hardness(64, 60)).file_as_quenched.empty());
}

} // namespace
