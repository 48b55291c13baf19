// Bow and crack flags against what symmetry, mechanics and common practice demand.
#include "../../support/file_records.hpp"
#include "../../support/turned_over.hpp"
#include "answers/risks.hpp"
#include "section/profile.hpp"
#include "treatment/case_reader.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

namespace {

using namespace tq;
using answers::CrackLevel;
using answers::Risks;
using answers::Verdict;

treatment::Case slicer(const std::string& station, const std::string& bath = "",
                       const std::string& blade = "", const std::string& rest = "") {
  return treatment::read_case(
      "format = 1\n[blade]\nsteel = \"O1\"\nlength = \"240 mm\"\n" + blade +
          "[[blade.station]]\nwidth = \"40 mm\"\nspine = \"2 mm\"\nedge = \"0.5 mm\"\n" + station +
          "[furnace]\nsetpoint = \"800 degC\"\ntimer = \"30 min\"\n[bath]\n" + bath + rest,
      "case", test::FileRecords());
}

const std::string one_sided = "grind = \"one-sided\"\nbevel_height = \"20 mm\"\n";

Risks risks_of(const treatment::Case& c) {
  std::vector<treatment::Run> runs;
  return answers::risks(c, answers::answer(c, runs));
}

const answers::CrackFlag* flag(const Risks& r, const std::string& key) {
  const auto at = std::find_if(r.crack.flags.begin(), r.crack.flags.end(),
                               [&](const answers::CrackFlag& f) { return f.key == key; });
  return at == r.crack.flags.end() ? nullptr : &*at;
}

TEST(Bow, SymmetricBlade_ComesOutStraight) {
  const Risks r = risks_of(slicer("grind = \"flat\"\n"));
  ASSERT_EQ(r.stations.size(), 1U);
  EXPECT_EQ(r.stations.front().bow_m, 0);       // by symmetry, exactly
  EXPECT_LT(r.stations.front().high_m, 0.3e-3); // common practice for an even quench: under 0.3 mm
  EXPECT_FALSE(r.stations.front().side_certain);
  EXPECT_EQ(r.bow.verdict, Verdict::pass);
}

// A wedge ground on one flank over its whole width is a symmetric wedge, tilted: what bows it is its edge and
// spine alone, and that bow lies in its own plane.
TEST(Bow, WedgeOverTheWholeWidth_IsASymmetricOneTilted) {
  const Risks r = risks_of(slicer("grind = \"one-sided\"\n"));
  EXPECT_LT(r.stations.front().bow_m, 0.05e-3); // the tilt is 1 in 53, the two flanks cool alike
}

// common practice: a single-bevel slicer of this size comes out with 1 to 4 mm
TEST(Bow, SingleBevel_BowsByMillimetres) {
  const Risks r = risks_of(slicer(one_sided));
  const answers::BowAnswer& b = r.stations.front();
  EXPECT_GT(b.bow_m, 1e-3);
  EXPECT_LT(b.bow_m, 4e-3);
  EXPECT_LT(b.low_m, b.bow_m);
  EXPECT_GT(b.high_m, b.bow_m);
  EXPECT_FALSE(b.advice.empty());
  EXPECT_NE(r.straightening_caution.find("glass"), std::string::npos);
  EXPECT_NE(r.bow.reason.text().find("not alike"), std::string::npos);
}

TEST(Bow, BladeTurnedOver_BowsToTheOtherFlankByAsMuch) {
  treatment::Case c = slicer(one_sided);
  const Risks one = risks_of(c);
  c.blade.stations.front().profile = tq::test::turned_over(c.blade.stations.front().profile);
  const Risks other = risks_of(c);
  EXPECT_NE(one.stations.front().convex_on_a, other.stations.front().convex_on_a);
  // grid and steps are mirrored only to round-off of the step control
  EXPECT_NEAR(one.stations.front().bow_m, other.stations.front().bow_m, 0.01 * one.stations.front().bow_m);
}

TEST(Bow, Length_CountsSquared) {
  treatment::Case c = slicer(one_sided, "volume = \"large\"\n"); // the blade warms no bath
  const double whole = risks_of(c).stations.front().bow_m;
  c.blade.length_m /= 2;
  EXPECT_NEAR(risks_of(c).stations.front().bow_m, whole / 4, 1e-9);
}

TEST(Bow, FlankThatIsLate_BowsASymmetricBlade) {
  const Risks even = risks_of(slicer("grind = \"flat\"\n"));
  const Risks late = risks_of(slicer("grind = \"flat\"\n", "flank_cooling = 0.5\nflank_delay = \"1 s\"\n"));
  EXPECT_GT(late.stations.front().bow_m, even.stations.front().bow_m + 1e-6);
  const Risks turned = risks_of(slicer("grind = \"flat\"\n", "flank_cooling = 2\nflank_delay = \"-1 s\"\n"));
  EXPECT_NE(turned.stations.front().convex_on_a, late.stations.front().convex_on_a);
  EXPECT_NE(late.bow.reason.text().find("one flank"), std::string::npos);
}

TEST(Bow, Executor_ChangesNoBit) {
  class Backwards : public answers::Executor {
   public:
    void for_each_index(std::size_t n, const Work& work, const GoOn&) override {
      for (std::size_t k = n; k-- > 0;)
        work(k);
    }
  } backwards;
  const treatment::Case c = slicer(one_sided);
  std::vector<treatment::Run> runs;
  const answers::Answers a = answers::answer(c, runs);
  EXPECT_EQ(answers::risks(c, a).stations.front().bow_m,
            answers::risks(c, a, &backwards).stations.front().bow_m);
}

TEST(Bow, PlatesAndOtherStages_AreNotAsked) {
  treatment::Case c = slicer(one_sided);
  c.steps.resize(1); // the furnace
  EXPECT_EQ(answers::no_bow_because(c), "the case has no quench");
  c = slicer(one_sided);
  c.bath().plates.emplace();
  EXPECT_EQ(answers::no_bow_because(c), "plates hold the blade flat while it hardens");
}

// No step can follow this tolerance; what is lost is the bow alone.
TEST(Bow, SolverThatGivesUp_IsNotAskedWithItsReason) {
  treatment::Case c = slicer(one_sided);
  std::vector<treatment::Run> runs;
  const answers::Answers a = answers::answer(c, runs);
  c.strains.modulus_austenite_Pa.y.assign(c.strains.modulus_austenite_Pa.y.size(), std::nan(""));
  const Risks r = answers::risks(c, a);
  EXPECT_EQ(r.bow.verdict, Verdict::not_asked);
  EXPECT_NE(r.bow.reason.text().find("no balance"), std::string::npos);
  EXPECT_NE(r.crack.crack.verdict, Verdict::not_asked);
}

TEST(Crack, SharpShoulderAcrossScratchedLeftOvernight_IsHigh) {
  treatment::Case c =
      slicer(one_sided, "", "notch_depth = \"5 mm\"\nnotch_radius = \"0.1 mm\"\nscratches = \"across\"\n",
             "[temper]\noven = \"200 degC\"\ndelay = \"12 h\"\n");
  const Risks r = risks_of(c);
  EXPECT_EQ(r.crack.crack.verdict, Verdict::fail);
  EXPECT_NEAR(r.crack.notch_factor, 1 + 2 * std::sqrt(50.0), 1e-9); // Inglis 1913
  ASSERT_NE(flag(r, "notch"), nullptr);
  EXPECT_EQ(flag(r, "notch")->level, CrackLevel::high);
  EXPECT_EQ(flag(r, "delay")->level, CrackLevel::high); // common practice: 4 h at the most
  EXPECT_EQ(flag(r, "scratches")->level, CrackLevel::raised);
  EXPECT_TRUE(r.crack.not_stated.empty());
}

TEST(Crack, RoundShoulderLengthwiseTemperedSoon_Passes) {
  treatment::Case c =
      slicer(one_sided, "", "notch_depth = \"3 mm\"\nnotch_radius = \"2 mm\"\nscratches = \"lengthwise\"\n",
             "[temper]\noven = \"200 degC\"\ndelay = \"20 min\"\n");
  const Risks r = risks_of(c);
  EXPECT_EQ(r.crack.crack.verdict, Verdict::pass) << r.crack.crack.reason.text();
  EXPECT_TRUE(r.crack.not_stated.empty());
}

// common practice: water cracks most thin blades of high carbon; a few seconds of it and then oil less
TEST(Crack, Water_IsHighAndThenOilRaised) {
  treatment::Case c = slicer("grind = \"flat\"\n", "coolant = \"water\"\n");
  EXPECT_EQ(flag(risks_of(c), "bath")->level, CrackLevel::high);
  c.steps.insert(c.steps.begin() + static_cast<std::ptrdiff_t>(*c.hardening().bath) + 1,
                 {"second bath", slicer("grind = \"flat\"\n").bath(), false, false});
  c.bath().time_s = 2;
  EXPECT_EQ(flag(risks_of(c), "bath")->level, CrackLevel::raised);
}

} // namespace
