// The method's coefficients against its order conditions, and the stepper against exact solutions with a
// Jacobian that is wrong on purpose. Conditions: Hairer & Wanner 1996, Solving Ordinary Differential
// Equations II, IV.7 (W-methods).
#include "conduction/rosenbrock_w.hpp"

#include <Eigen/Dense>
#include <boost/numeric/odeint/integrate/integrate_adaptive.hpp>
#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace tq::conduction;

constexpr int s = RosenbrockTableau::stages;

TEST(Tableau, Ros34pw2_MeetsOrderThreeForAnyMatrix) {
  const auto& t = ros34pw2;
  std::array<double, s> a{}, g{};
  for (int i = 0; i < s; ++i)
    for (int j = 0; j < s; ++j) {
      a[i] += t.alpha[i][j];
      g[i] += t.gammas[i][j];
    }
  double b1 = 0, ba = 0, bg = 0, ba2 = 0, baa = 0, bag = 0, bga = 0, bgg = 0, e1 = 0, ea = 0, eg = 0;
  for (int i = 0; i < s; ++i) {
    b1 += t.b[i];
    ba += t.b[i] * a[i];
    bg += t.b[i] * g[i];
    ba2 += t.b[i] * a[i] * a[i];
    e1 += t.b_embedded[i];
    ea += t.b_embedded[i] * a[i];
    eg += t.b_embedded[i] * g[i];
    for (int j = 0; j < s; ++j) {
      baa += t.b[i] * t.alpha[i][j] * a[j];
      bag += t.b[i] * t.alpha[i][j] * g[j];
      bga += t.b[i] * t.gammas[i][j] * a[j];
      bgg += t.b[i] * t.gammas[i][j] * g[j];
    }
  }
  const double tol = 2e-15; // round-off of sums of terms of order one
  EXPECT_NEAR(b1, 1, tol);
  EXPECT_NEAR(ba, 0.5, tol);
  EXPECT_NEAR(bg, 0, tol);
  EXPECT_NEAR(ba2, 1.0 / 3, tol);
  EXPECT_NEAR(baa, 1.0 / 6, tol);
  EXPECT_NEAR(bag, 0, tol);
  EXPECT_NEAR(bga, 0, tol);
  EXPECT_NEAR(bgg, 0, tol);
  EXPECT_NEAR(e1, 1, tol);
  EXPECT_NEAR(ea, 0.5, tol);
  EXPECT_NEAR(eg, 0, tol);
}

/// A nonlinear system with a known solution and a Jacobian scaled by a wrong factor:
/// y1' = -y1^2 + y2, y2' = -2 y2 cos t ... chosen so that y1 = 1/(1+t) + sin t exactly.
struct Kinetics {
  double wrong = 1; ///< factor on the Jacobian
  double stiffness = 1;
  double tolerance = 1;
  Eigen::Matrix2d J = Eigen::Matrix2d::Zero();
  Eigen::PartialPivLU<Eigen::Matrix2d> lu;
  long calls = 0;

  static double y1(double t) { return 1 / (1 + t) + std::sin(t); }
  static double y2(double t) { return std::cos(t) + 0.5 * std::sin(2 * t); }
  void operator()(const State& x, State& f, double t) {
    f.resize(2);
    ++calls;
    const double d1 = -1 / ((1 + t) * (1 + t)) + std::cos(t), d2 = -std::sin(t) + std::cos(2 * t);
    f[0] = d1 - stiffness * (x[0] - y1(t)) * (1 + x[1] * x[1]) + (x[1] - y2(t));
    f[1] = d2 - (x[1] - y2(t)) * x[0];
  }
  void linearise(const State& x, double t) {
    J << -stiffness * (1 + x[1] * x[1]), 1 - 2 * stiffness * (x[0] - y1(t)) * x[1], -(x[1] - y2(t)), -x[0];
    J *= wrong;
  }
  void factorise(double gdt) { lu.compute(Eigen::Matrix2d::Identity() - gdt * J); }
  void solve(State& b) { b = lu.solve(b).eval(); }
  double error_norm(const State& e, const State&) const { return e.lpNorm<Eigen::Infinity>() / tolerance; }
};

double fixed_step_error(double dt, double wrong, double stiffness) {
  Kinetics system;
  system.wrong = wrong;
  system.stiffness = stiffness;
  RosenbrockW stepper;
  State x(2), out, error;
  x << Kinetics::y1(0) + 0.1,
      Kinetics::y2(0) - 0.1; // off the exact curve: errors travel through the nonlinear terms
  State fine = x;
  const int steps = static_cast<int>(std::lround(1 / dt));
  for (int i = 0; i < steps; ++i) {
    stepper.do_step(std::ref(system), x, i * dt, out, dt, error);
    x = out;
  }
  const int fine_steps = 4096;
  Kinetics exact;
  exact.stiffness = stiffness;
  for (int i = 0; i < fine_steps; ++i) {
    stepper.do_step(std::ref(exact), fine, i / double(fine_steps), out, 1 / double(fine_steps), error);
    fine = out;
  }
  return (x - fine).lpNorm<Eigen::Infinity>();
}

class WrongJacobian : public testing::TestWithParam<double> {};

TEST_P(WrongJacobian, OrderInTime_IsThree) {
  double previous = fixed_step_error(1.0 / 16, GetParam(), 1);
  for (int n : {32, 64, 128}) {
    const double error = fixed_step_error(1.0 / n, GetParam(), 1);
    const double order = std::log2(previous / error);
    EXPECT_GT(order, 2.7) << "at 1/" << n;
    EXPECT_LT(order, 3.5) << "at 1/" << n; // leading terms may cancel in part on the coarsest pair
    previous = error;
  }
}
INSTANTIATE_TEST_SUITE_P(Factors, WrongJacobian, testing::Values(1.0, 0.5, 0.0, 1.5));

TEST(RosenbrockW, StiffMode_DisappearsInOneStep) {
  // Prothero & Robinson 1974: y' = -lambda (y - cos t) - sin t, exact cos t; R(inf) = 0 removes the start
  // error
  struct Stiff {
    double lambda = 1e8, gdt = 0;
    void operator()(const State& x, State& f, double t) {
      f.resize(1);
      f[0] = -lambda * (x[0] - std::cos(t)) - std::sin(t);
    }
    void linearise(const State&, double) {}
    void factorise(double value) { gdt = value; }
    void solve(State& b) { b[0] /= 1 + gdt * lambda; }
    double error_norm(const State& e, const State&) const { return std::abs(e[0]); }
  } system;
  RosenbrockW stepper;
  State x(1), out, error;
  x << 2;
  stepper.do_step(std::ref(system), x, 0.0, out, 0.1, error);
  EXPECT_NEAR(out[0], std::cos(0.1), 1e-2); // what is left is the order reduction of the smooth part, O(dt^2)
}

TEST(ControlledRosenbrockW, RunsUnderOdeintsOwnDriver) {
  Kinetics system;
  system.tolerance = 1e-6;
  State x(2);
  x << Kinetics::y1(0), Kinetics::y2(0);
  const auto steps = boost::numeric::odeint::integrate_adaptive(ControlledRosenbrockW{}, std::ref(system), x,
                                                                0.0, 2.0, 0.01);
  EXPECT_GT(steps, 10u);
  EXPECT_LT(steps, 400u);
  EXPECT_NEAR(x[0], Kinetics::y1(2), 2e-5); // global error of some steps at 1e-6 each
  EXPECT_NEAR(x[1], Kinetics::y2(2), 2e-5);
}

TEST(DenseRosenbrockW, LandsOnTheLimitAndInterpolatesToItsOrder) {
  Kinetics system;
  system.tolerance = 1e-7;
  DenseRosenbrockW stepper;
  State x(2), at;
  x << Kinetics::y1(0), Kinetics::y2(0);
  stepper.initialize(x, 0, 1e-3);
  double worst = 0;
  while (stepper.current_time() < 1.0) {
    const auto [from, to] = stepper.do_step_until(std::ref(system), 1.0);
    for (double w : {0.25, 0.5, 0.75}) {
      const double t = from + w * (to - from);
      stepper.calc_state(t, at);
      worst = std::max(worst, std::abs(at[0] - Kinetics::y1(t)));
    }
  }
  EXPECT_EQ(stepper.current_time(), 1.0);
  EXPECT_LT(worst, 2e-5); // parabola through steps of about 0.02: h^3 y'''/ 15
}

TEST(DenseRosenbrockW, ConstantState_TakesFewStepsAndEnds) {
  // a hold: stock drivers have looped for ever on flat solutions
  struct Flat {
    void operator()(const State& x, State& f, double) { f = State::Zero(x.size()); }
    void linearise(const State&, double) {}
    void factorise(double) {}
    void solve(State&) {}
    double error_norm(const State& e, const State&) const { return e.lpNorm<Eigen::Infinity>(); }
  } flat;
  DenseRosenbrockW stepper;
  stepper.initialize(State::Ones(3), 12345.678, 1e-3);
  const double end = 12345.678 + 7200;
  while (stepper.current_time() < end)
    stepper.do_step_until(std::ref(flat), end);
  EXPECT_EQ(stepper.current_time(), end);
  EXPECT_LT(stepper.steps(), 20);
  EXPECT_EQ(stepper.current_state(), State::Ones(3));
}

TEST(DenseRosenbrockW, ShortPulseBetweenLimits_CountsInFull) {
  // half a second of rate 2 after a long rest, as a stage of its own: the step lands on both its ends
  struct Pulse {
    double rate = 0;
    void operator()(const State& x, State& f, double) { f = State::Constant(x.size(), rate); }
    void linearise(const State&, double) {}
    void factorise(double) {}
    void solve(State&) {}
    double error_norm(const State& e, const State&) const { return e.lpNorm<Eigen::Infinity>() / 1e-3; }
  } pulse;
  DenseRosenbrockW stepper;
  stepper.initialize(State::Zero(1), 0, 1);
  for (const auto& [stop, rate] : {std::pair{100.0, 0.0}, {100.5, 2.0}, {200.0, 0.0}}) {
    pulse.rate = rate;
    stepper.reset();
    while (stepper.current_time() < stop)
      stepper.do_step_until(std::ref(pulse), stop);
    EXPECT_EQ(stepper.current_time(), stop);
  }
  EXPECT_NEAR(stepper.current_state()[0], 1.0, 1e-12);
}

} // namespace
