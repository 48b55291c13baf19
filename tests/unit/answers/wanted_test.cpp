// Zones that are to stay soft, and the row of blades: the shipped cases, each in the limit in which it is a
// quench already known.
#include "../../support/file_records.hpp"
#include "answers/answers.hpp"
#include "answers/wanted.hpp"
#include "surroundings/tank.hpp"
#include "treatment/trace.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace {

using namespace tq;
using namespace tq::answers;
using treatment::Wanted;

treatment::Case shipped(const std::string& name) {
  const std::string path = std::string(TQ_SOURCE_DIR) + "/cases/" + name + ".toml";
  treatment::Case c = treatment::read_case(test::read_file(path).value(), name, test::FileRecords());
  c.solver.along = 32;
  c.solver.across = 4;
  return c;
}

Answers answered(const treatment::Case& c) {
  std::vector<treatment::Run> runs;
  return answer(c, runs);
}

TEST(Wanted, ZoneVerdict_TurnsRoundForSoftZones) {
  const treatment::Case c = shipped("edge_only_1084");
  EXPECT_EQ(zone_verdict(c, Wanted::hard, 0.01), Verdict::pass);
  EXPECT_EQ(zone_verdict(c, Wanted::hard, 0.05), Verdict::marginal);
  EXPECT_EQ(zone_verdict(c, Wanted::hard, 0.5), Verdict::fail);
  EXPECT_EQ(zone_verdict(c, Wanted::soft, 0.01), Verdict::fail);
  EXPECT_EQ(zone_verdict(c, Wanted::soft, 0.3), Verdict::marginal);
  EXPECT_EQ(zone_verdict(c, Wanted::soft, 0.9), Verdict::pass);
  EXPECT_EQ(zone_verdict(c, Wanted::either, 0.9), Verdict::not_asked);
  EXPECT_EQ(zone_verdict(c, Wanted::hard, std::nan("")), Verdict::not_asked);
}

TEST(Wanted, ShippedSoftBacks_PassAsWishedAndFailWithoutTheWish) {
  for (const char* name : {"edge_only_1084", "clay_w2_water_then_oil"}) {
    treatment::Case c = shipped(name);
    const Answers wished = answered(c);
    EXPECT_EQ(wished.quench.verdict, Verdict::pass) << name << ": " << wished.quench.reason.text();
    EXPECT_NE(wished.quench.reason.text().find("soft as wished"), std::string::npos)
        << wished.quench.reason.text();
    c.wishes.zones.fill(Wanted::hard);
    EXPECT_EQ(answered(c).quench.verdict, Verdict::fail) << name;
  }
}

TEST(Wanted, BackThatHardensAgainstTheWish_Fails) {
  treatment::Case c = shipped("edge_only_1084");
  c.bath().immersion_m = 0; // all of it in the oil
  const Answers a = answered(c);
  EXPECT_EQ(a.quench.verdict, Verdict::fail);
  EXPECT_NE(a.quench.reason.text().find("though wished soft"), std::string::npos) << a.quench.reason.text();
}

// Lifted while the back is red, the heat of the back runs into the edge: what was not martensite yet turns to
// pearlite, and the reason is the lifting, not the oil.
TEST(Wanted, EdgeLiftedTooEarly_IsBlamedOnTheLifting) {
  treatment::Case c = shipped("edge_only_1084");
  c.steps.erase(c.steps.begin() + static_cast<std::ptrdiff_t>(*c.hardening().bath) + 1,
                c.steps.begin() + static_cast<std::ptrdiff_t>(*c.hardening().second) + 1);
  c.bath().time_s = 6;
  const Answers a = answered(c);
  EXPECT_EQ(a.quench.verdict, Verdict::fail);
  EXPECT_NE(a.quench.reason.text().find("after it was lifted"), std::string::npos) << a.quench.reason.text();
}

TEST(Row, ShippedTwoBlades_ObeyTheHeatBalanceOfTheTank) {
  treatment::Case c = shipped("two_blades_1084");
  c.furnace().timer_s = 12 * 60;
  const StationAnswer second = answered(c).stations.front();
  treatment::Case alone = c;
  alone.bath().blades = 1;
  const StationAnswer first = answered(alone).stations.front();
  EXPECT_NEAR(first.bath_start_degC, 55, 1e-12);
  // the first one's rise, less what the tank lost to the shop in the 4 min between
  const auto& oil = c.bath().coolant;
  const double C = oil.density_kg_m3 * oil.specific_heat_J_kgK * c.bath().volume_m3;
  const double left = std::exp(-surroundings::tank_loss_W_K(c.bath().volume_m3) * 240 / C);
  EXPECT_NEAR(second.bath_start_degC, 20 + (first.bath_end_degC - 20) * left, 0.05);
  // an endless tank: the first alone
  c.bath().volume_m3 = 1e3;
  c.bath().interval_s = 0; // nor time to cool
  const StationAnswer lake = answered(c).stations.front();
  EXPECT_NEAR(lake.bath_start_degC, 55, 1e-3);
  EXPECT_NEAR(lake.zones[treatment::zone_spine].t800_500_s, first.zones[treatment::zone_spine].t800_500_s,
              0.02);
}

TEST(Row, LimitsOfTheTank_StandBesideTheBath) {
  const treatment::Case c = shipped("two_blades_1084");
  const StationAnswer s = answered(c).stations.front();
  EXPECT_DOUBLE_EQ(s.bath_limit_degC, 65); // its usual window ends; 20 K above the fresh oil is 75 degC
  EXPECT_GE(s.blades_in_a_row, 2);
  EXPECT_GT(s.least_interval_s, 240);
  EXPECT_LT(s.least_volume_m3, c.bath().volume_m3);
  treatment::Case small = c;
  small.bath().volume_m3 = 0.5 * s.least_volume_m3;
  const Answers a = answered(small);
  EXPECT_LT(a.stations.front().blades_in_a_row, 2);
  EXPECT_TRUE(std::any_of(a.warnings.begin(), a.warnings.end(), [](const std::string& w) {
    return w.find("blades in a row") != std::string::npos;
  }));
}

TEST(Row, WaterFoundInTheOil_IsWarnedOfAndCautioned) {
  treatment::Case c = shipped("two_blades_1084");
  c.bath().water = 8e-4;
  const Answers a = answered(c);
  const auto tells = [](const std::string& text) { return text.find("ater") != std::string::npos; };
  EXPECT_TRUE(std::any_of(a.warnings.begin(), a.warnings.end(), tells));
  EXPECT_TRUE(std::any_of(a.cautions.begin(), a.cautions.end(), [&](const Caution& caution) {
    return caution.beside == "oil" && caution.text.find("Water was found") != std::string::npos;
  }));
}

} // namespace
