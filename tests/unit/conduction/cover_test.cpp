// Covers that differ from place to place, slices of a plate pressed on, and a second neighbour: each against
// the limit in which it must turn into something known.
#include "conduction/heat_operator.hpp"
#include "section/grid.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>

namespace {

using namespace tq;
using namespace tq::conduction;

constexpr double k_W_mK = 25, c_J_kgK = 600, rho_kg_m3 = 7800;

std::shared_ptr<const UniformTable> constant(double value) {
  return std::make_shared<const UniformTable>(0, 1000, 1000, [value](double) { return value; });
}

section::Profile plate(double width, double thickness) {
  section::GrindSpec spec;
  spec.width = width;
  spec.spine = spec.edge = thickness;
  return section::profile_from_grind(spec);
}

section::Profile taper() {
  section::GrindSpec spec;
  spec.width = 25e-3;
  spec.spine = 3e-3;
  spec.edge = 0.6e-3;
  return section::profile_from_grind(spec);
}

struct Bench {
  InertMaterial material{{{20}, {k_W_mK}}, {{20}, {c_J_kgK}}};
  section::Grid grid;
  HeatOperator op;

  explicit Bench(const section::Profile& profile, section::GridOptions options = {24, 8, 1.0, true})
      : grid(section::make_grid(profile, options)), op(make_mesh(grid), rho_kg_m3, material) {}

  /// Runs from 800 degC; returns |energy now - energy at the start| over the heat out.
  double run(double until, double tolerance = 0.02) {
    op.set_tolerance(tolerance);
    const State x =
        op.make_state(std::vector<double>(op.body_nodes(), material.enthalpy(800)).data(), nullptr, 800, 0);
    const double before = op.energy(x);
    DenseRosenbrockW stepper;
    stepper.initialize(x, 0, 1e-4);
    while (stepper.current_time() < until)
      stepper.do_step_until(std::ref(op), until);
    op.refresh(stepper.current_state());
    const double heat = stepper.current_state()[static_cast<Eigen::Index>(op.heat_out_index())];
    return std::abs(op.energy(stepper.current_state()) - before) / std::max(std::abs(heat), 1.0);
  }
};

FaceExchange boiling() {
  FaceExchange face;
  face.htc = std::make_shared<const UniformTable>(
      0, 1000, 1, [](double T) { return 400 + 2600 * std::exp(-std::pow((T - 550) / 120, 2)); });
  return face;
}

Surround oil() {
  Surround s;
  s.temperature = [](double) { return 60.0; };
  s.face.fill(boiling());
  return s;
}

CoverLayer clay(const HeatOperator& op, const std::function<double(int, std::size_t)>& thickness_mm) {
  CoverLayer layer;
  layer.mass_kg_m2 = 1600e-3; // of 1 mm
  layer.c0 = 1000;
  for (int f = 0; f < faces; ++f) {
    const auto face = static_cast<std::size_t>(f);
    layer.conductance[face] = constant(800);
    for (std::size_t n = 0; n < op.face_nodes(f); ++n) {
      const double mm = thickness_mm(f, n);
      layer.thickness[face].push_back(mm);
      layer.factor[face].push_back(mm > 0 ? 1 / mm : 1);
    }
  }
  return layer;
}

TEST(Cover, WithoutThickness_IsTheBareSectionToTheLastBit) {
  Bench bare(taper()), covered(taper());
  covered.op.set_cover({clay(covered.op, [](int, std::size_t) { return 0.0; })});
  bare.op.set_surround(oil());
  covered.op.set_surround(oil());
  bare.run(2);
  covered.run(2);
  EXPECT_EQ(bare.op.temperature(), covered.op.temperature());
}

// Seen after the boiling only: at first clay cools below the end of the vapour blanket and speeds things up.
TEST(Cover, OnHalfOfTheFlanks_KeepsTheEnergyAndShieldsThatHalf) {
  Bench bench(taper());
  const auto& x = bench.grid.x;
  bench.op.set_cover(
      {clay(bench.op, [&](int f, std::size_t n) { return f == 0 && x[n] < 12e-3 ? 1.0 : 0.0; })});
  bench.op.set_surround(oil());
  EXPECT_LT(bench.run(4), 1e-12);
  Bench bare(taper());
  bare.op.set_surround(oil());
  bare.run(4);
  const auto column = [&](double at) {
    return static_cast<std::size_t>(std::lower_bound(x.begin(), x.end(), at) - x.begin());
  };
  EXPECT_GT(bench.op.temperature()[column(6e-3)], bare.op.temperature()[column(6e-3)] + 100);
  EXPECT_NEAR(bench.op.temperature()[column(20e-3)], bare.op.temperature()[column(20e-3)], 15);
}

TEST(Cover, InUnequalLists_Throws) {
  Bench bench(taper());
  CoverLayer layer = clay(bench.op, [](int, std::size_t) { return 1.0; });
  layer.thickness[0].pop_back();
  EXPECT_THROW(bench.op.set_cover({layer}), std::invalid_argument);
}

// Two half spaces brought together take (e1 T1 + e2 T2) / (e1 + e2) at the joint at once and keep it, e the
// square root of k rho c (Carslaw & Jaeger 1959, section 2.15). Here: a thick steel plate between thick
// plates of aluminium cut into slices, joint without resistance.
TEST(Cover, SlicesOfAPlate_GiveTheJointOfTwoHalfSpaces) {
  constexpr double k2 = 200, c2 = 900, rho2 = 2700, T2 = 20;
  Bench bench(plate(20e-3, 24e-3), {8, 96, 1.0, true});
  Cover slices;
  double slice = 0.2e-3, before = 0;
  for (int l = 0; l < 24; ++l) {
    CoverLayer layer;
    layer.mass_kg_m2 = rho2 * slice;
    layer.c0 = c2;
    layer.start_degC = T2;
    // between the middles of the slices; the first one against the face of the steel
    layer.conductance[0] = constant(k2 / (0.5 * (slice + before)));
    before = slice;
    slice *= 1.18;
    slices.push_back(layer);
  }
  bench.op.set_cover(slices);
  Surround still;
  still.temperature = [](double) { return 20.0; };
  bench.op.set_surround(still);
  const double e1 = std::sqrt(k_W_mK * rho_kg_m3 * c_J_kgK), e2 = std::sqrt(k2 * rho2 * c2);
  const double joint = (e1 * 800 + e2 * T2) / (e1 + e2);
  for (double t : {0.5, 1.0, 2.0}) {
    bench.run(t);
    // second order in the slices of 0.2 mm and steel cells of 0.12 mm against layers of 2 to 4 mm
    EXPECT_NEAR(bench.op.temperature()[bench.grid.nodes() - 5], joint, 0.02 * (800 - joint)) << t;
  }
}

TEST(SecondExchange, WithShareZeroOrOne_IsTheFirstOrTheSecondAlone) {
  FaceExchange air;
  air.htc_constant_W_m2K = 12;
  air.emissivity = 0.35;
  const auto with_share = [&](double share) {
    auto bench = std::make_unique<Bench>(taper());
    Surround s = oil();
    s.second.temperature = [](double) { return 20.0; };
    s.second.face.fill(air);
    for (int f = 0; f < faces; ++f)
      s.second.share[static_cast<std::size_t>(f)].assign(bench->op.face_nodes(f), share);
    bench->op.set_surround(s);
    EXPECT_LT(bench->run(2), 1e-12);
    return bench;
  };
  Bench wet(taper()), dry(taper());
  wet.op.set_surround(oil());
  Surround s;
  s.temperature = [](double) { return 20.0; };
  s.face.fill(air);
  dry.op.set_surround(s);
  wet.run(2);
  dry.run(2);
  EXPECT_EQ(with_share(0)->op.temperature(), wet.op.temperature());
  const auto covered = with_share(1);
  for (std::size_t n = 0; n < dry.op.body_nodes(); ++n)
    ASSERT_NEAR(covered->op.temperature()[n], dry.op.temperature()[n], 1e-9);
}

TEST(SecondExchange, UntilATime_DelaysTheWettingByThatTime) {
  // a well-insulated surface until 1 s, then the oil: as if the quench had begun 1 s later
  Bench delayed(taper()), plain(taper());
  Surround s = oil();
  s.second.temperature = [](double) { return 20.0; };
  s.second.fade_s = 1e-3;
  for (int f = 0; f < faces; ++f)
    s.second.until_s[static_cast<std::size_t>(f)].assign(delayed.op.face_nodes(f), 1.0);
  delayed.op.set_surround(s);
  plain.op.set_surround(oil());
  EXPECT_LT(delayed.run(2), 1e-12);
  plain.run(1);
  for (std::size_t n = 0; n < plain.op.body_nodes(); ++n)
    ASSERT_NEAR(delayed.op.temperature()[n], plain.op.temperature()[n], 0.6); // 0.5 ms at some 500 K/s, steps
}

} // namespace
