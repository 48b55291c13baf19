// Shares of the variance on functions whose shares are known in closed form.
#include "answers/sampling.hpp"
#include "answers/variance_shares.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <limits>
#include <numbers>
#include <numeric>

using namespace tq::answers;

namespace {

std::vector<double> shares_of(std::size_t n, const std::vector<Distribution>& inputs,
                              const std::function<double(const double*)>& f, std::uint64_t seed = 1) {
  const std::size_t d = inputs.size();
  const auto points = sobol_points(n, d, seed);
  std::vector<double> values(points.size()), y;
  for (std::size_t i = 0; i < points.size(); ++i)
    values[i] = inputs[i % d].quantile(points[i]);
  for (std::size_t p = 0; p < n; ++p)
    y.push_back(f(&values[p * d]));
  return VarianceShares(n, d, points, values)(y);
}

double sum(const std::vector<double>& v) { return std::accumulate(v.begin(), v.end(), 0.0); }

} // namespace

// Ishigami & Homma 1990, sin x1 + 7 sin^2 x2 + 0.1 x3^4 sin x1 on (-pi, pi)^3: first-order shares 0.3139,
// 0.4424 and 0, the rest (0.2437) from x1 and x3 together (Sobol & Levitan 1999, Comput. Phys. Commun. 117,
// 52-61).
TEST(VarianceShares, Ishigami_FirstOrder) {
  const std::vector<Distribution> inputs(3, Distribution::uniform(-std::numbers::pi, std::numbers::pi));
  const auto f = [](const double* x) {
    return std::sin(x[0]) + 7 * std::pow(std::sin(x[1]), 2) + 0.1 * std::pow(x[2], 4) * std::sin(x[0]);
  };
  const auto many = shares_of(4096, inputs, f);
  EXPECT_NEAR(many[0], 0.3139, 0.01);
  EXPECT_NEAR(many[1], 0.4424, 0.01);
  EXPECT_NEAR(many[2], 0, 0.01);
  EXPECT_LE(sum(many), 1);
  // standard error of a correlation of 256 pairs: 1/16 of what the fit leaves over (0.24), twice
  const auto few = shares_of(256, inputs, f);
  EXPECT_NEAR(few[0], 0.3139, 0.05);
  EXPECT_NEAR(few[1], 0.4424, 0.05);
  EXPECT_NEAR(few[2], 0, 0.05);
  EXPECT_LE(sum(few), 1);
}

// A sum of independent terms: each share is the term's variance over the sum of them, whatever the
// distributions. Normal with 90 % within 1: variance 1 / 1.6449^2; uniform over 2: 1/3; triangular (-1, 0,
// 1): 1/6.
TEST(VarianceShares, LinearFunction_MixedDistributions) {
  const std::vector<Distribution> inputs{Distribution::normal(0, 1), Distribution::uniform(-1, 1),
                                         Distribution::triangular(-1, 0, 1), Distribution::normal(5, 0.3)};
  const double v[] = {9 / (normal_half_90 * normal_half_90), 4.0 / 3, 1.0 / 6, 0};
  const double total = v[0] + v[1] + v[2];
  const auto shares =
      shares_of(256, inputs, [](const double* x) { return 3 * x[0] - 2 * x[1] + x[2] + 0 * x[3]; });
  for (std::size_t i = 0; i < 4; ++i)
    EXPECT_NEAR(shares[i], v[i] / total, 0.01) << i;
  EXPECT_LE(sum(shares), 1 + 1e-12);
  EXPECT_NEAR(sum(shares), 1, 1e-6) << "nothing is left over in a sum";
}

// Product of two independent inputs of mean 0: all variance comes from the two together.
TEST(VarianceShares, PureInteraction_NobodyIsBlamed) {
  const std::vector<Distribution> inputs(8, Distribution::normal(0, 1));
  const auto shares = shares_of(256, inputs, [](const double* x) { return x[0] * x[1]; });
  EXPECT_LE(sum(shares), 0.1);
}

// Twenty-five inputs that do nothing must not be blamed for the noise of one that is not in the list.
TEST(VarianceShares, NoiseIsNotExplained) {
  const std::vector<Distribution> inputs(26, Distribution::normal(0, 1));
  const auto shares = shares_of(256, inputs, [](const double* x) {
    return x[0] + 2 * std::sin(1e4 * x[25]); // no polynomial follows this
  });
  const double own = 1 / (normal_half_90 * normal_half_90);
  EXPECT_NEAR(shares[0], own / (own + 2), 0.08);
  for (std::size_t i = 1; i < 26; ++i)
    EXPECT_LT(shares[i], 0.08) << i;
}

TEST(VarianceShares, NothingSpreads_NothingToShare) {
  const std::vector<Distribution> inputs(2, Distribution::normal(0, 1));
  for (const double share : shares_of(64, inputs, [](const double*) { return 3.7; }))
    EXPECT_EQ(share, 0);
}

TEST(VarianceShares, Ranks_TiesAndNaN) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto r = ranks({3, 1, nan, 1});
  EXPECT_DOUBLE_EQ(r[0], 0.625);
  EXPECT_DOUBLE_EQ(r[1], 0.25);
  EXPECT_DOUBLE_EQ(r[3], 0.25);
  EXPECT_DOUBLE_EQ(r[2], 0.875);
}
