// The sample and its distributions against what defines them.
#include "answers/sampling.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

using namespace tq::answers;

// Abramowitz & Stegun 1964, table 26.5 (percentage points of the normal distribution).
TEST(Sampling, NormalQuantile_MeetsTheTable) {
  EXPECT_NEAR(normal_quantile(0.5), 0.0, 1e-15);
  EXPECT_NEAR(normal_quantile(0.95), 1.6448536, 5e-8);
  EXPECT_NEAR(normal_quantile(0.975), 1.9599640, 5e-8);
  EXPECT_NEAR(normal_quantile(0.005), -2.5758293, 5e-8);
}

TEST(Sampling, Quantiles_OfEachShape) {
  EXPECT_NEAR(Distribution::normal(20, 6).quantile(0.95), 26, 1e-12);
  EXPECT_NEAR(Distribution::normal(20, 6).quantile(0.05), 14, 1e-12);
  EXPECT_NEAR(Distribution::lognormal(0.3, 3).quantile(0.95), 0.9, 1e-12);
  EXPECT_NEAR(Distribution::lognormal(0.3, 3).quantile(0.05), 0.1, 1e-12);
  EXPECT_DOUBLE_EQ(Distribution::uniform(2, 4).quantile(0.25), 2.5);
  // closed form: below the mode F = (x - a)^2 / ((b - a) (m - a)), above it 1 - (b - x)^2 / ((b - a) (b - m))
  const Distribution triangle = Distribution::triangular(0, 1, 4);
  EXPECT_NEAR(triangle.quantile(0.25), 1, 1e-12);
  EXPECT_NEAR(triangle.quantile(1.0 / 16), 0.5, 1e-12);
  EXPECT_NEAR(triangle.quantile(1 - 1.0 / 12), 3, 1e-12);
  EXPECT_EQ(Distribution().quantile(0.3), 0);
}

// A (0, m, s)-net in each dimension, and a (0, m, 2)-net in the first two (Sobol 1967): 2^m points have one
// in every elementary interval, scrambled or not (Owen 1995).
TEST(Sampling, Sobol_FillsEveryElementaryInterval) {
  constexpr std::size_t n = 256, dimensions = 40;
  const auto points = sobol_points(n, dimensions, 7);
  for (std::size_t d = 0; d < dimensions; ++d) {
    std::set<int> cells;
    for (std::size_t i = 0; i < n; ++i) {
      const double u = points[i * dimensions + d];
      ASSERT_GT(u, 0);
      ASSERT_LT(u, 1);
      cells.insert(static_cast<int>(u * n));
    }
    EXPECT_EQ(cells.size(), n) << "dimension " << d;
  }
  for (int rows = 1; rows <= 256; rows *= 2) {
    std::set<int> cells;
    for (std::size_t i = 0; i < n; ++i)
      cells.insert(static_cast<int>(points[i * dimensions] * rows) * 1000 +
                   static_cast<int>(points[i * dimensions + 1] * (256 / rows)));
    EXPECT_EQ(cells.size(), n) << rows << " rows";
  }
}

TEST(Sampling, Sobol_SeedDecides) {
  EXPECT_EQ(sobol_points(64, 8, 3), sobol_points(64, 8, 3));
  EXPECT_NE(sobol_points(64, 8, 3), sobol_points(64, 8, 4));
  EXPECT_TRUE(sobol_points(0, 8, 3).empty());
}

// Integral of prod (1 + (2 u - 1) / 2) over the cube is 1; a random sample of 4096 is off by
// sqrt(((1 + 1/12)^8 - 1) / 4096) = 0.015, a scrambled net by far less.
TEST(Sampling, Sobol_IntegratesBetterThanChance) {
  constexpr std::size_t n = 4096, dimensions = 8;
  const auto points = sobol_points(n, dimensions, 11);
  double sum = 0;
  for (std::size_t i = 0; i < n; ++i) {
    double product = 1;
    for (std::size_t d = 0; d < dimensions; ++d)
      product *= 1 + 0.5 * (2 * points[i * dimensions + d] - 1);
    sum += product;
  }
  EXPECT_NEAR(sum / n, 1, 0.015 / 8);
}

// Iman & Conover 1982: each dimension keeps its values, and no two of them are correlated any more (by chance
// they would be by 1 / sqrt(128) = 0.09, in the sequence itself some pairs are by 0.4).
TEST(Sampling, SamplePoints_KeepWhatEachDimensionHoldsAndNoTwoGoTogether) {
  constexpr std::size_t n = 128, dimensions = 30;
  const auto plain = sobol_points(n, dimensions, 1), points = sample_points(n, dimensions, 1);
  const auto worst = [](const std::vector<double>& all) {
    double most = 0;
    for (std::size_t a = 0; a < dimensions; ++a)
      for (std::size_t b = 0; b < a; ++b) {
        double product = 0, first = 0, second = 0;
        for (std::size_t i = 0; i < n; ++i) {
          const double x = all[i * dimensions + a] - 0.5, y = all[i * dimensions + b] - 0.5;
          product += x * y;
          first += x * x;
          second += y * y;
        }
        most = std::max(most, std::abs(product / std::sqrt(first * second)));
      }
    return most;
  };
  EXPECT_GT(worst(plain), 0.3);
  EXPECT_LT(worst(points), 0.09);
  for (std::size_t d = 0; d < dimensions; ++d) {
    std::multiset<double> before, after;
    for (std::size_t i = 0; i < n; ++i) {
      before.insert(plain[i * dimensions + d]);
      after.insert(points[i * dimensions + d]);
    }
    EXPECT_EQ(before, after) << "dimension " << d;
  }
  EXPECT_EQ(sample_points(32, dimensions, 1), sobol_points(32, dimensions, 1));
}
