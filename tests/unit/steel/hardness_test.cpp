#include "steel/hardness.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace tq::steel {
namespace {

// ASTM E140 Table 1 (non-austenitic steels), rows read in three public reproductions.
TEST(Hardness, E140Rows_AreExact) {
  EXPECT_DOUBLE_EQ(hv_from_hrc(60), 697);
  EXPECT_DOUBLE_EQ(hv_from_hrc(64), 800);
  EXPECT_DOUBLE_EQ(hv_from_hrc(45), 446);
  EXPECT_DOUBLE_EQ(hv_from_hrc(20), 238);
  EXPECT_DOUBLE_EQ(hv_from_hrc(68), 940);
}

TEST(Hardness, E140Inverse_IsLinearBetweenRows) {
  EXPECT_NEAR(hrc_from_hv(832), 65, 1e-12);
  EXPECT_NEAR(hrc_from_hv(513), 50, 1e-12);
  EXPECT_NEAR(hrc_from_hv(708.5), 60.5, 1e-12);
}

TEST(Hardness, ConversionThereAndBack_IsIdentityAndRises) {
  double before = -1e9;
  for (double hrc = 5; hrc <= 75; hrc += 0.01) {
    const double hv = hv_from_hrc(hrc);
    EXPECT_NEAR(hrc_from_hv(hv), hrc, 1e-9);
    EXPECT_GT(hv, before);
    before = hv;
  }
}

TEST(Hardness, OutsideTheTable_GoesOnStraightAndIsNotValid) {
  EXPECT_NEAR(hv_from_hrc(70), 940 + 2 * 40, 1e-9);
  EXPECT_NEAR(hv_from_hrc(18), 238 - 2 * 5, 1e-9);
  EXPECT_NEAR(hrc_from_hv(980), 69, 1e-12);
  EXPECT_TRUE(valid_hrc(20));
  EXPECT_TRUE(valid_hrc(68));
  EXPECT_FALSE(valid_hrc(19.9));
  EXPECT_FALSE(valid_hrc(68.1));
}

// From memory: quadratic HV = 150 + 1667 C - 926 C^2; cross-check with the ASTM A255 polynomial for 100 %
// martensite (from memory), which it follows to 1.5 HRC from 0.5 to 0.65 %C.
TEST(Hardness, FreshMartensite_FollowsCarbonAndFlattens) {
  EXPECT_NEAR(martensite_hv(0.4), 669, 1);
  EXPECT_NEAR(martensite_hv(0.6), 817, 1);
  EXPECT_NEAR(martensite_hv(0.8), 891, 1);
  EXPECT_NEAR(martensite_hv(0.9), 900, 1);
  for (double c : {0.5, 0.55, 0.6, 0.65}) {
    const double a255 = 35.395 + c * (6.990 + c * (312.330 + c * (-821.744 + c * (1015.479 - c * 538.346))));
    EXPECT_NEAR(hrc_from_hv(martensite_hv(c)), a255, 1.5) << c;
  }
  double before = 0;
  for (double c = 0; c <= 1.6; c += 0.001) {
    EXPECT_GE(martensite_hv(c), before);
    before = martensite_hv(c);
  }
  EXPECT_DOUBLE_EQ(martensite_hv(1.4), martensite_hv(1.0));
  EXPECT_DOUBLE_EQ(martensite_hv(-0.1), 150);
}

TEST(Hardness, Mixture_IsTheShareWeightedSum) {
  const records::ConstituentHardness h{390, 560, 200, 1050, 250};
  EXPECT_DOUBLE_EQ(mixture_hv({1, 0, 0, 0, 0, 0}, 850, h), 850);
  EXPECT_DOUBLE_EQ(mixture_hv({0, 1, 0, 0, 0, 0}, 850, h), 250);
  EXPECT_DOUBLE_EQ(mixture_hv({0, 0, 1, 0, 0, 0}, 850, h), 560);
  EXPECT_DOUBLE_EQ(mixture_hv({0, 0, 0, 1, 0, 0}, 850, h), 390);
  EXPECT_DOUBLE_EQ(mixture_hv({0, 0, 0, 0, 1, 0}, 850, h), 200);
  EXPECT_DOUBLE_EQ(mixture_hv({0, 0, 0, 0, 0, 1}, 850, h), 1050);
  // 10 % retained austenite costs about 60 HV, 1.5-2 HRC near 65 HRC
  const double with_austenite = mixture_hv({0.9, 0.1, 0, 0, 0, 0}, 860, h);
  EXPECT_NEAR(860 - with_austenite, 61, 1e-9);
  EXPECT_NEAR(hrc_from_hv(860) - hrc_from_hv(with_austenite), 1.75, 0.35);
}

} // namespace
} // namespace tq::steel
