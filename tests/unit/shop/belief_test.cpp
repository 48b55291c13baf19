#include "shop/belief.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

using namespace tq;
using shop::Belief;

namespace {

Belief some_belief() {
  Belief b;
  b.blades = 3;
  b.learnt = {0x1234567890abcdefULL, 7};
  b.remarks = {"line 4, petty: learnt", "line 9: nothing"};
  b.at("furnace_reading | furnace | +/- 6 K");
  b.at("foil_gap | foil stainless, gap 0.3 mm | a factor 3 either way");
  Eigen::MatrixXd effect(1, 2);
  effect << 1, 0.5;
  b.observe(effect, Eigen::VectorXd::Constant(1, 0.7), Eigen::MatrixXd::Constant(1, 1, 0.2));
  return b;
}

} // namespace

// One standard normal score read with noise variance r: mean y / (1 + r), variance r / (1 + r).
TEST(Belief, OneReadingOfOneScore_GivesTheMeanAndVarianceByHand) {
  Belief b;
  b.at("a");
  b.observe(Eigen::MatrixXd::Ones(1, 1), Eigen::VectorXd::Constant(1, 2.0),
            Eigen::MatrixXd::Constant(1, 1, 0.25));
  EXPECT_NEAR(b.mean()(0), 1.6, 1e-12);
  EXPECT_NEAR(b.covariance()(0, 0), 0.2, 1e-12);
}

TEST(Belief, ReadingsOneByOne_AreTheSameAsTogether) {
  Belief one, together;
  for (Belief* b : {&one, &together}) {
    b->at("a");
    b->at("b");
  }
  Eigen::MatrixXd effect(2, 2);
  effect << 1, 0.5, -0.3, 2;
  const Eigen::Vector2d y(0.4, -1.1);
  const Eigen::Matrix2d noise = Eigen::Vector2d(0.3, 0.7).asDiagonal();
  together.observe(effect, y, noise);
  for (int i = 0; i < 2; ++i)
    one.observe(effect.row(i), y.segment(i, 1), noise.block(i, i, 1, 1));
  EXPECT_LT((one.mean() - together.mean()).norm(), 1e-12);
  EXPECT_LT((one.covariance() - together.covariance()).norm(), 1e-12);
}

TEST(Belief, ANewScore_IsStandardNormalAndChangesNothingElse) {
  Belief b = some_belief();
  const double mean = b.mean()(0), variance = b.covariance()(0, 0);
  const Eigen::Index k = b.at("oil_h | medium-oil | +/- 40 %");
  EXPECT_EQ(b.mean()(k), 0);
  EXPECT_EQ(b.covariance()(k, k), 1);
  EXPECT_EQ(b.covariance()(k, 0), 0);
  EXPECT_EQ(b.mean()(0), mean);
  EXPECT_EQ(b.covariance()(0, 0), variance);
}

TEST(Belief, AsText_IsReadBackToTheLastDigit) {
  const Belief b = some_belief(), c = shop::read_belief(shop::belief_text(b, "v1"), "v1");
  EXPECT_EQ(c.names(), b.names());
  EXPECT_EQ(c.learnt, b.learnt);
  EXPECT_EQ(c.remarks, b.remarks);
  EXPECT_EQ(c.blades, 3);
  EXPECT_EQ(c.mean(), b.mean());
  EXPECT_EQ(c.covariance(), b.covariance());
}

TEST(Belief, BrokenTextOrAnotherVersion_IsNothingLearnt) {
  const std::string text = shop::belief_text(some_belief(), "v1");
  EXPECT_EQ(shop::read_belief(text, "v2").size(), 0U);
  for (std::size_t n = 0; n + 1 < text.size(); n += 3) // cut anywhere
    EXPECT_EQ(shop::read_belief(std::string_view(text).substr(0, n), "v1").size(), 0U) << n;
  EXPECT_EQ(shop::read_belief("", "v1").size(), 0U);
}
