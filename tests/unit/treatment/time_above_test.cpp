// Time above a level against curves whose crossing is known exactly.
#include "treatment/time_above.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

namespace {

using tq::treatment::TimeAbove;
using Curve = std::function<double(double)>;

/// What is counted above `level` over steps that end at `times`; `jump`: told before the step that begins
/// there.
double counted(const Curve& T, double level, const std::vector<double>& times, double jump = -1) {
  TimeAbove above;
  above.begin(level);
  std::vector<double> seconds{0};
  for (std::size_t k = 1; k < times.size(); ++k) {
    if (times[k - 1] == jump)
      above.jumped();
    above.step(times[k - 1], times[k], {T(times[k - 1])}, {T(times[k])}, seconds);
  }
  return seconds[0];
}

// Newton's law of heating: the level is passed at tau ln(span / (end - level)).
constexpr double end_degC = 920, span_K = 900, tau_s = 250;
double heated(double t) { return end_degC - span_K * std::exp(-t / tau_s); }
double passes(double level) { return tau_s * std::log(span_K / (end_degC - level)); }

TEST(Treatment_TimeAbove, ASlowRiseInStepsOfMinutes_IsCountedAsWellAsACubicCan) {
  const std::vector<double> coarse{1000, 1080, 1160, 1240, 1320, 1470, 1600, 2000};
  const std::vector<double> fine{1000, 1040, 1080, 1120, 1180, 1250, 1320, 1400, 1470, 1600, 2000};
  for (const std::vector<double>& times : {coarse, fine})
    for (const double level : {915.2, 915.8, 916.4, 917.0}) {
      const double at = passes(level);
      std::size_t end = 3;
      while (times[end] < at)
        ++end;
      // remainder of the interpolation through four points, as a time: largest fourth derivative / 4! times
      // the product of the distances, over the slope
      double off = span_K / std::pow(tau_s, 4) * std::exp(-times[end - 3] / tau_s) / 24;
      for (std::size_t k = end - 3; k <= end; ++k)
        off *= std::abs(at - times[k]);
      off /= span_K / tau_s * std::exp(-at / tau_s);
      EXPECT_NEAR(counted(heated, level, times), 2000 - at, off + 1e-5) << level;
      EXPECT_LT(off, 2) << "else the steps are too long to show anything";
    }
}

TEST(Treatment_TimeAbove, ACurveOfThirdDegree_IsCountedExactly) {
  const Curve cubic = [](double t) { return 800 + 1e-6 * std::pow(t - 100, 3); };
  // above 801 from 200 s on
  EXPECT_NEAR(counted(cubic, 801, {0, 60, 120, 180, 230, 300}), 100, 1e-5);
  const Curve falling = [&](double t) { return -cubic(t); };
  EXPECT_NEAR(counted(falling, -801, {0, 60, 120, 180, 230, 300}), 200, 1e-5);
}

TEST(Treatment_TimeAbove, AfterAJump_WhatWasBeforeDoesNotCount) {
  const Curve kinked = [](double t) { return t < 100 ? 800 - 0.5 * (100 - t) : 800 + 0.01 * (t - 100); };
  const std::vector<double> times{0, 50, 100, 200};
  EXPECT_NEAR(counted(kinked, 800.5, times, 100), 50, 1e-5);
  EXPECT_GT(std::abs(counted(kinked, 800.5, times) - 50), 1) << "otherwise the kink is taken for a curve";
}

TEST(Treatment_TimeAbove, StepsTooShortToTell_AreNotExtrapolated) {
  // an error of 1 mK in values 0.1 s apart is a slope of 10 mK/s, more than that of the furnace
  const Curve noisy = [](double t) { return 900 + 0.005 * t + (t == 99.9 ? 1e-3 : 0.0); };
  EXPECT_NEAR(counted(noisy, 900.75, {0, 50, 99.9, 100, 200}), 50, 1e-5);
}

TEST(Treatment_TimeAbove, WithoutALevel_NothingIsCounted) {
  TimeAbove above;
  std::vector<double> seconds{0};
  above.step(0, 10, {900}, {900}, seconds);
  EXPECT_EQ(seconds[0], 0);
  EXPECT_FALSE(above.counts());
}

} // namespace
