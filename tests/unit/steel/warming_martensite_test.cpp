// Martensite below Ms while its node warms: it stays, and the temperature follows the enthalpy without a
// jump.
#include "shipped.hpp"
#include "steel/transformation.hpp"
#include "steel/transforming_material.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace {

using namespace tq;
using steel::TransformingMaterial;
using steel::TransformMode;

/// One node of O1, austenitised at 800 degC, that is given and loses heat in even portions.
class Node {
 public:
  Node() : material_(shipped::steels().at("O1"), records::StartState::spheroidised, 1) {
    material_.austenitise(800);
    material_.begin(TransformMode::cooling, clock_);
    u_ = material_.enthalpy(0, 800);
    evaluate();
  }
  /// Takes so many steps of `portion` [J/kg] each; greatest change of temperature in one [K].
  double step(double portion, int times) {
    double greatest = 0;
    for (int n = 0; n < times; ++n) {
      const double before = T_;
      u_ += portion;
      evaluate();
      const double mean = 0.5 * (before + T_);
      material_.commit(clock_, &T_, &mean, 1, 1e-3);
      evaluate();
      greatest = std::max(greatest, std::abs(T_ - before));
    }
    return greatest;
  }
  void to(double T, double portion) {
    while ((portion < 0) == (T_ > T))
      step(portion, 1);
  }
  double T() const { return T_; }
  double martensite() const { return material_.martensite()[0]; }
  double ms() const { return material_.ms()[0]; }
  /// Martensite that a kelvin of the Koistinen-Marburger curve stands for.
  double per_kelvin() const {
    return steel::martensite_rate(shipped::steels().at("O1"), material_.carbon()[0]) *
           material_.austenite()[0];
  }
  double capacity() {
    double c = 0, heat[2];
    material_.capacity(&u_, clock_, &T_, 1, &c, heat);
    return c;
  }

 private:
  void evaluate() {
    double k = 0, rate[2];
    material_.evaluate(&u_, clock_, 1, &T_, &k, rate);
  }
  TransformingMaterial material_;
  double u_ = 0, T_ = 800, clock_[2] = {0, 0};
};

TEST(WarmingMartensite, StaysAndTemperatureDoesNotJump) {
  Node node;
  node.to(160, -200);
  const double grown = node.martensite(), coldest = node.T();
  ASSERT_GT(grown, 0.2);
  // 20 J/kg are at most 0.04 K at the 500 J/(kg K) of what no longer transforms
  const double greatest = node.step(20, 400);
  EXPECT_LT(greatest, 20 / 500.0 * 1.05);
  EXPECT_GT(node.T(), coldest + 10);
  // what half a kelvin of the curve stands for goes back, and one step more
  EXPECT_NEAR(node.martensite(), grown, 0.6 * node.per_kelvin());
}

TEST(WarmingMartensite, LargeStepBack_LosesNoMoreThanThePlay) {
  Node node;
  node.to(160, -200);
  const double grown = node.martensite();
  node.step(8000, 1);
  EXPECT_NEAR(node.martensite(), grown, 2.05 * node.per_kelvin());
}

TEST(WarmingMartensite, Swings_DoNotWearItAway) {
  Node node;
  node.to(160, -200);
  const double grown = node.martensite(), coldest = node.T();
  for (int swing = 0; swing < 50; ++swing) {
    node.step(100, 30);
    node.step(-100, 30);
  }
  EXPECT_NEAR(node.T(), coldest, 2);
  EXPECT_NEAR(node.martensite(), grown, 2.05 * node.per_kelvin());
}

TEST(WarmingMartensite, CapacityIsThatOfWarming_OnceItHasLeftTheCurve) {
  Node node;
  node.to(160, -200);
  EXPECT_GT(node.capacity(), 900);
  while (node.capacity() > 900)
    node.step(5, 1);
  for (int n = 0; n < 50; ++n) {
    node.step(5, 1);
    EXPECT_LT(node.capacity(), 600) << n;
  }
}

// The first traces of martensite may go back to nothing; the node forms it all the same when it cools on.
TEST(WarmingMartensite, TurnedBackAtItsStart_FormsOnCooling) {
  const double full = [] {
    Node node;
    node.to(100, -200);
    return node.martensite();
  }();
  for (const double turn : {1.0, 2.0, 3.0, 3.9}) {
    Node node;
    const double ms = node.ms();
    node.to(ms + 4 - turn, -20);
    node.to(ms + 30, 20);
    EXPECT_GE(node.martensite(), 0) << turn;
    node.to(100, -200);
    EXPECT_NEAR(node.martensite(), full, 1e-3) << turn;
  }
}

} // namespace
