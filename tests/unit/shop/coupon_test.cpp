#include "shop/coupon.hpp"

#include <gtest/gtest.h>

#include <cmath>

using namespace tq;

TEST(Coupon, NoCoupon_LeavesTheCurveAsItIs) {
  const shop::CurveCorrection c = shop::correct_curve({}, 205, 1.5);
  EXPECT_EQ(c.shift_HRC, 0);
  EXPECT_EQ(c.band_HRC, 1.5);
}

// By hand: with variance s2 of the curve and n2 of the reading, which together make the band, the best linear
// shift at the coupon's own setting is s2 / (s2 + n2) of what it was off, and what is left of the curve's
// variance s2 n2 / (s2 + n2); the reading's own error is there as before.
TEST(Coupon, OneCouponAtItsOwnSetting_IsShrunkByTheReadingsError) {
  const double sd = 1.5 / 1.6448536269514722, n2 = std::pow(shop::coupon_reading_HRC, 2), s2 = sd * sd - n2;
  const shop::CurveCorrection c = shop::correct_curve({{205, -1.0}}, 205, 1.5);
  EXPECT_NEAR(c.shift_HRC, -s2 / (s2 + n2), 1e-12);
  EXPECT_NEAR(c.band_HRC, 1.6448536269514722 * std::sqrt(s2 * n2 / (s2 + n2) + n2), 1e-12);
}

TEST(Coupon, FartherOff_CorrectsLessButNeverLessThanWhatIsTheSameEverywhere) {
  double before = 1e9;
  for (const double T : {205.0, 240.0, 300.0, 600.0}) {
    const double shift = shop::correct_curve({{205, 1.0}}, T, 1.5).shift_HRC;
    EXPECT_LT(shift, before);
    before = shift;
  }
  const double here = shop::correct_curve({{205, 1.0}}, 205, 1.5).shift_HRC;
  EXPECT_NEAR(before, shop::same_everywhere * here, 1e-6);
}

TEST(Coupon, ThreeThatAgree_AreBelievedMoreThanOneAndNarrowTheBand) {
  const shop::CurveCorrection one = shop::correct_curve({{205, 1.0}}, 220, 1.5),
                              three = shop::correct_curve({{195, 1.0}, {205, 1.0}, {235, 1.0}}, 220, 1.5);
  EXPECT_GT(three.shift_HRC, one.shift_HRC);
  EXPECT_LT(three.shift_HRC, 1.0);
  EXPECT_LT(three.band_HRC, one.band_HRC);
  EXPECT_LT(one.band_HRC, 1.5);
}
