// The line solves against the direct band solve of the same matrix, and the layout of the state. Closed-form
// checks of the heat balance stand in tests/verification.
#include "conduction/band_matrix.hpp"
#include "conduction/heat_operator.hpp"
#include "section/grid.hpp"

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace {

using namespace tq;
using namespace tq::conduction;

section::Profile crooked_taper() {
  section::Profile p;
  p.x = {0, 0.010, 0.025};
  p.top = {0.0020, 0.0018, 0.0004};
  p.bottom = {-0.0012, -0.0009, -0.0001};
  p.kinks = {0.010};
  return section::make_profile(p);
}

struct Bench {
  records::Table k{{0, 1000}, {24, 30}}, c{{0, 1000}, {480, 730}};
  InertMaterial material{k, c};
  section::Grid grid = section::make_grid(crooked_taper(), {24, 6, 1.0, false});
  HeatOperator op{make_mesh(grid), 7800, material};

  explicit Bench(bool foil) {
    if (foil) {
      FoilCover cover;
      cover.layers = 2;
      cover.mass_kg_m2 = 0.4;
      cover.along_W_K = 2e-3; // 0.1 mm of stainless
      cover.exchange_steel = cover.exchange_layers = 0.2;
      for (int f = 0; f < faces; ++f)
        cover.gap_conductance[static_cast<std::size_t>(f)] = std::make_shared<const UniformTable>(
            0, 1000, 10, [f](double T) { return 200.0 * (f + 1) + 0.1 * T; });
      op.set_foil(cover);
    }
    Surround s;
    s.temperature = [](double) { return 60.0; };
    for (auto& face : s.face) {
      face.htc = std::make_shared<const UniformTable>(
          0, 1000, 1, [](double T) { return 400 + 2600 * std::exp(-std::pow((T - 550) / 120, 2)); });
      face.emissivity = 0.3;
    }
    op.set_surround(s);
  }
  State start(double T) {
    return op.make_state(std::vector<double>(op.body_nodes(), material.enthalpy(T)).data(), nullptr, T, 0);
  }
  State run(LinearSolver solver, double tolerance, double until) {
    op.set_linear_solver(solver);
    op.set_tolerance(tolerance);
    DenseRosenbrockW stepper;
    stepper.initialize(start(800), 0, 1e-3);
    while (stepper.current_time() < until)
      stepper.do_step_until(std::ref(op), until);
    op.refresh(stepper.current_state());
    return stepper.current_state();
  }
};

TEST(BandMatrix, SolvesLikeADenseSolver) {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> part(-1, 1);
  constexpr int n = 23, width = 4;
  Eigen::MatrixXd dense = Eigen::MatrixXd::Zero(n, n);
  BandMatrix band(n, width);
  for (int i = 0; i < n; ++i)
    for (int j = std::max(0, i - width); j <= std::min(n - 1, i + width); ++j) {
      const double value = i == j ? 10.0 : part(random);
      dense(i, j) = value;
      band.add(static_cast<std::size_t>(i), static_cast<std::size_t>(j), value);
    }
  Eigen::VectorXd b = Eigen::VectorXd::Random(n), x = Eigen::VectorXd::Zero(n + width);
  x.head(n) = b;
  band.factorise();
  band.solve(x.data());
  EXPECT_EQ(x.tail(width).lpNorm<Eigen::Infinity>(), 0);
  EXPECT_LT((x.head(n) - dense.partialPivLu().solve(b)).lpNorm<Eigen::Infinity>(),
            1e-14); // round-off at condition about 2
}

class Foil : public testing::TestWithParam<bool> {};

TEST_P(Foil, LinesAndBand_AgreeWithinTheStepTolerance) {
  Bench lines(GetParam()), band(GetParam());
  lines.run(LinearSolver::lines, 1e-3, 2);
  band.run(LinearSolver::band, 1e-3, 2);
  double worst = 0;
  for (std::size_t n = 0; n < lines.op.body_nodes(); ++n)
    worst = std::max(worst, std::abs(lines.op.temperature()[n] - band.op.temperature()[n]));
  // some hundred steps of 1e-3 K each, errors grow where boiling sets in
  EXPECT_LT(worst, 0.05);
}

TEST_P(Foil, BothSolvers_KeepTheEnergyToRoundOff) {
  for (LinearSolver solver : {LinearSolver::lines, LinearSolver::band}) {
    Bench bench(GetParam());
    const double before = bench.op.energy(bench.start(800));
    const State end = bench.run(solver, 0.1, 2);
    const double heat = end[static_cast<Eigen::Index>(bench.op.heat_out_index())];
    EXPECT_GT(heat, 0);
    EXPECT_NEAR((bench.op.energy(end) - before) / heat, 0, 1e-12);
  }
}

TEST_P(Foil, ASolve_RestsOnTheLinearisation_WhateverAStageSawSince) {
  // a stage far off, of which nothing is a number, must not spoil the attempts after it
  for (LinearSolver solver : {LinearSolver::lines, LinearSolver::band}) {
    Bench bench(GetParam());
    bench.op.set_linear_solver(solver);
    const State x = bench.start(300), nothing = State::Constant(x.size(), std::nan(""));
    State slope, first, again, ignored;
    bench.op(x, slope, 0);
    bench.op.linearise(x, 0);
    bench.op.factorise(0.1);
    first = slope;
    bench.op.solve(first);
    bench.op(nothing, ignored, 0.1);
    again = nothing;
    bench.op.solve(again);
    bench.op.factorise(0.1);
    again = slope;
    bench.op.solve(again);
    EXPECT_TRUE(first.allFinite());
    EXPECT_EQ(first, again);
  }
}

TEST_P(Foil, OneBandStep_IsTheExactSolveOfItsMatrix) {
  // the columns of (I - g J), by finite differences of the right-hand side, undo solve()
  Bench bench(GetParam());
  bench.op.set_linear_solver(LinearSolver::band);
  State x = bench.start(300), f, f_moved;
  for (Eigen::Index i = 0; i < x.size() - 1; ++i)
    x[i] += 2000 * std::sin(0.7 * static_cast<double>(i));
  bench.op(x, f, 0);
  bench.op.linearise(x, 0);
  const double g = 1e-3;
  bench.op.factorise(g);
  State b = State::Zero(x.size());
  for (Eigen::Index i = 0; i < x.size() - 1; ++i)
    b[i] = std::cos(1.3 * static_cast<double>(i));
  State w = b;
  bench.op.solve(w);
  // directional derivative of f along w
  const double eps = 1.0;
  bench.op(x + eps * w, f_moved, 0);
  State f_back;
  bench.op(x - eps * w, f_back, 0);
  const State back = w - g * (f_moved - f_back) / (2 * eps);
  // the matrix leaves out k'(T) and the slope of the gap's conductance: a few parts in a thousand of g J w
  const double scale = (w - b).head(x.size() - 1).lpNorm<Eigen::Infinity>();
  EXPECT_LT((back - b).head(x.size() - 1).lpNorm<Eigen::Infinity>(), 0.02 * scale);
}

TEST_P(Foil, AnHourInOneStep_LevelsOutWhatIsFastBothWays) {
  // by the product of lines such a pattern would stand still: fast along and across at once
  Bench bench(GetParam());
  State x = bench.start(60), out, error;
  for (Eigen::Index i = 0; i < x.size() - 1; ++i)
    x[i] += (i % 2 ? 1 : -1) * 2500 * (1 + 0.3 * std::sin(0.7 * static_cast<double>(i))); // some 5 K
  RosenbrockW stepper;
  stepper.do_step(std::ref(bench.op), x, 0.0, out, 3600.0, error);
  bench.op.refresh(out);
  for (double T : bench.op.temperature())
    EXPECT_NEAR(T, 60, 0.1); // R(inf) = 0; a hundredth is left by the curves of k(T), c(T) and h(T) over 5 K
}

INSTANTIATE_TEST_SUITE_P(BareAndWrapped, Foil, testing::Values(false, true));

TEST(HeatOperator, UniformAtItsSurroundings_RateIsZero) {
  Bench bench(true);
  State x = bench.start(60), f;
  bench.op(x, f, 0);
  EXPECT_LT(f.lpNorm<Eigen::Infinity>(), 1e-6); // against 1e5 J/kg/s in a quench
}

} // namespace
