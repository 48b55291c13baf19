#include "answers/cautions.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

namespace {

using namespace tq::answers;
using tq::records::CoolantKind;
using tq::treatment::Case;
using tq::treatment::Part;

Case whole_job() {
  tq::treatment::ShortCase c;
  c.stages = {Part::furnace, Part::transfer, Part::bath, Part::cool, Part::temper};
  c.wrap.layers = 1;
  c.bath.coolant.flash_degC = 180.0;
  c.temper.count = 2;
  c.steps = tq::treatment::usual_steps(c);
  return c;
}

int count(const std::vector<Caution>& cautions, const std::string& beside) {
  return static_cast<int>(std::count_if(cautions.begin(), cautions.end(),
                                        [&](const Caution& caution) { return caution.beside == beside; }));
}

bool says(const std::vector<Caution>& cautions, const std::string& beside, const std::string& words) {
  return std::any_of(cautions.begin(), cautions.end(), [&](const Caution& caution) {
    return caution.beside == beside && caution.text.find(words) != std::string::npos;
  });
}

TEST(Cautions, WholeJob_HasEveryPlaceAndEndsWithTheCodes) {
  const auto cautions = cautions_for(whole_job());
  for (const char* beside : {"furnace", "foil", "transfer", "oil", "as quenched", "temper"})
    EXPECT_GT(count(cautions, beside), 0) << beside;
  EXPECT_EQ(cautions.back().beside, "all");
  EXPECT_NE(cautions.back().text.find("codes"), std::string::npos);
  EXPECT_NE(cautions.back().text.find("licensed"), std::string::npos);
  EXPECT_NE(cautions.back().text.find("coupon"), std::string::npos);
}

TEST(Cautions, Oil_NamesTheLowestOfItsLimits) {
  Case hot = whole_job();
  hot.bath().temperature_degC = 140;
  EXPECT_TRUE(says(cautions_for(hot), "oil", "152 degC")); // 180 - 28
  hot.bath().coolant.smoke_degC = 150;
  EXPECT_TRUE(says(cautions_for(hot), "oil", "150 degC (302 degF): there it smokes"));
  hot.bath().temperature_degC = 50;
  EXPECT_TRUE(
      says(cautions_for(hot), "oil", "70 degC (158 degF): there it is 20 K (36 degF) above the fresh bath"));
  hot.bath().coolant.recommended_from_degC = 40;
  hot.bath().coolant.recommended_to_degC = 65;
  EXPECT_TRUE(says(cautions_for(hot), "oil", "65 degC (149 degF): there its usual window ends"));
  const auto cautions = cautions_for(whole_job());
  EXPECT_TRUE(says(cautions, "oil", "28 K (50 degF)"));
  EXPECT_TRUE(says(cautions, "oil", "29 CFR 1910.126"));
  EXPECT_TRUE(says(cautions, "oil", "never water"));
  EXPECT_TRUE(says(cautions, "oil", "class B"));
}

TEST(Cautions, OilWithoutFlashPoint_AsksForIt) {
  Case c = whole_job();
  c.bath().coolant.flash_degC.reset();
  EXPECT_TRUE(says(cautions_for(c), "oil", "not stated"));
}

TEST(Cautions, Water_HasNoOilLines) {
  Case c = whole_job();
  c.bath().coolant.kind = CoolantKind::water;
  const auto cautions = cautions_for(c);
  EXPECT_EQ(count(cautions, "oil"), 0);
  EXPECT_TRUE(says(cautions, "transfer", "brine"));
  EXPECT_FALSE(says(cautions, "temper", "oil"));
}

TEST(Cautions, StillAir_HasNeitherOilNorWater) {
  Case c = whole_job();
  c.bath().coolant.kind = CoolantKind::air;
  const auto cautions = cautions_for(c);
  EXPECT_EQ(count(cautions, "oil"), 0);
  EXPECT_FALSE(says(cautions, "transfer", "brine"));
}

TEST(Cautions, BareBlade_HasNoFoilLines) {
  Case c = whole_job();
  c.wrap.layers = 0;
  EXPECT_EQ(count(cautions_for(c), "foil"), 0);
}

TEST(Cautions, FoilKeptOn_AddsTheFlare) {
  Case c = whole_job();
  EXPECT_FALSE(says(cautions_for(c), "foil", "flare"));
  c.wrap.on_in_oil = true;
  EXPECT_TRUE(says(cautions_for(c), "foil", "flare"));
}

TEST(Cautions, Cold_GrowsWithDepth) {
  Case c = whole_job();
  EXPECT_EQ(count(cautions_for(c), "cold"), 0);
  c.cool_to(-20.0);
  EXPECT_EQ(count(cautions_for(c), "cold"), 1);
  c.cool_to(-78.0);
  EXPECT_TRUE(says(cautions_for(c), "cold", "Dry ice"));
}

TEST(Cautions, TemperAlone_SpeaksOfTheTemperOnly) {
  Case c = whole_job();
  std::erase_if(c.steps, [](const auto& step) { return part_of(step) != Part::temper; });
  const auto cautions = cautions_for(c);
  EXPECT_EQ(count(cautions, "temper"), 1);
  EXPECT_TRUE(says(cautions, "workshop", "Never again food"));
  EXPECT_EQ(cautions.size(), 3u);
}

TEST(Cautions, InertSteel_IsNotBrittle) {
  Case c = whole_job();
  c.steel.inert = true;
  EXPECT_EQ(count(cautions_for(c), "as quenched"), 0);
}

TEST(Cautions, EachIsOneLine) {
  Case c = whole_job();
  c.cool_to(-196.0);
  c.wrap.on_in_oil = true;
  for (const Caution& caution : cautions_for(c)) {
    EXPECT_FALSE(caution.text.empty());
    EXPECT_EQ(caution.text.find('\n'), std::string::npos) << caution.text;
    EXPECT_LT(caution.text.size(), 220u) << caution.text;
  }
}

} // namespace
