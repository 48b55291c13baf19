// A short version of the trials of oil_trials.cpp, and the published precision figures of ASTM D6200.
#include "trials.hpp"

#include <gtest/gtest.h>

#include <cmath>

using namespace tq::surroundings;
using namespace tq::test;

namespace {

constexpr std::size_t trials = 10;

// Bounds on ten trials are wider than those on a hundred: the share inside has a standard deviation of some
// 10 % in one trial, so 3 % in the mean of ten; three of them about 85 to 95 %.
constexpr double least_inside = 0.76, most_inside = 1.0;

} // namespace

TEST(OilTrials, MeasuredCurves_GiveBackTheTruthAndAnHonestBand) {
  const auto probe = standard_probe();
  double inside = 0;
  for (std::size_t n = 0; n < trials; ++n) {
    const TrialOutcome t = trace_trial(probe, n, {});
    EXPECT_LT(t.rms_error, 0.10) << n << " " << t.oil;
    inside += t.share_inside / trials;
  }
  EXPECT_GE(inside, least_inside);
  EXPECT_LE(inside, most_inside);
}

TEST(OilTrials, SixPrintedFigures_ComeBackAndTheTruthLiesInTheBand) {
  const auto probe = standard_probe();
  double inside = 0, half_width = 0;
  for (std::size_t n = 0; n < trials; ++n) {
    const TrialOutcome t = sheet_trial(probe, n, {});
    EXPECT_TRUE(t.figures_back) << n << " " << t.oil;
    inside += t.share_inside / trials;
    half_width += t.mean_half_width / trials;
  }
  EXPECT_GE(inside, least_inside);
  EXPECT_LE(inside, most_inside);
  // Six numbers cannot tell more: the height of the peak trades with its width by some 20 %.
  EXPECT_GT(half_width, 0.12);
}

// MacKenzie 2017 (Mater. Perform. Charact., "An evaluation of ASTM D6200"): middle of the least and greatest
// value of a single operator, and 2 sigma of a single operator, of one reference oil.
TEST(OilFromSheet, PrecisionOilOfD6200_ComesBackInsideItsTwoSigma) {
  SheetReadings given;
  given.max_rate_K_s = {97.3, 0.05};
  given.max_rate_degC = {619, 0.5};
  given.rate_300_K_s = {6.1, 0.05};
  given.to_600_s = {6.6, 0.05};
  given.to_400_s = {10.9, 0.05};
  given.to_200_s = {45.0, 0.05};
  const RecoveredHtc found = recover_from_sheet(standard_probe(), {}, 60, given);
  EXPECT_NEAR(found.figures.max_rate_K_s, 97.3, 2.1);
  EXPECT_NEAR(found.figures.max_rate_degC, 619, 12.7);
  EXPECT_NEAR(found.figures.rate_300_K_s, 6.1, 0.087 * 6.1);
  EXPECT_NEAR(found.figures.to_600_s, 6.6, 0.4);
  EXPECT_NEAR(found.figures.to_400_s, 10.9, 0.5);
  EXPECT_NEAR(found.figures.to_200_s, 45.0, 1.3);
  // and in fact within what is printed
  EXPECT_NEAR(found.figures.max_rate_K_s, 97.3, 0.05);
  EXPECT_NEAR(found.figures.max_rate_degC, 619, 0.5);
  EXPECT_NEAR(found.figures.rate_300_K_s, 6.1, 0.05);
  EXPECT_NEAR(found.figures.to_600_s, 6.6, 0.05);
  EXPECT_NEAR(found.figures.to_400_s, 10.9, 0.05);
  EXPECT_NEAR(found.figures.to_200_s, 45.0, 0.05);
}

TEST(OilFromSheet, OneFigureAlone_LeavesAWiderBandThanSix) {
  SheetReadings one, two;
  one.to_400_s = {10.9, 0.05};
  two = one;
  two.max_rate_K_s = {97.3, 0.05};
  two.max_rate_degC = {619, 0.5};
  two.rate_300_K_s = {6.1, 0.05};
  two.to_600_s = {6.6, 0.05};
  two.to_200_s = {45.0, 0.05};
  const auto width = [](const RecoveredHtc& found) {
    double sum = 0;
    for (std::size_t i = 0; i < found.surface_degC.size(); ++i)
      if (found.surface_degC[i] >= 300 && found.surface_degC[i] <= 700)
        sum += std::log(found.high_W_m2K[i] / found.low_W_m2K[i]);
    return sum;
  };
  const RecoveredHtc alone = recover_from_sheet(standard_probe(), {}, 60, one);
  EXPECT_NEAR(alone.figures.to_400_s, 10.9, 0.05);
  EXPECT_GT(width(alone), 1.3 * width(recover_from_sheet(standard_probe(), {}, 60, two)));
}

TEST(OilFromSheet, NothingGiven_IsRefused) {
  EXPECT_THROW(recover_from_sheet(standard_probe(), {}, 60, {}), std::invalid_argument);
}

TEST(OilFromTrace, TooFewReadings_IsRefused) {
  TraceReadings few;
  few.time_s = {0, 1, 2};
  few.sensor_degC = {850, 800, 700};
  EXPECT_THROW(recover_from_trace(standard_probe(), 60, few), std::invalid_argument);
}

TEST(OilFromSheet, SameSeed_SameBand) {
  SheetReadings given;
  given.to_600_s = {9.0, 0.05};
  RecoverySettings settings;
  settings.steps = 400;
  settings.keep = 50;
  const auto a = recover_from_sheet(standard_probe(), {}, 60, given, settings);
  const auto b = recover_from_sheet(standard_probe(), {}, 60, given, settings);
  EXPECT_EQ(a.low_W_m2K, b.low_W_m2K);
  EXPECT_EQ(a.htc_W_m2K, b.htc_W_m2K);
}
