// The same semi-discrete systems by SUNDIALS CVODE and by our stepper, both at tight tolerances.
#include "cvode_run.hpp"
#include "plain_bar.hpp"

#include "records/read_steel.hpp"
#include "section/profile.hpp"
#include "steel/transforming_material.hpp"
#include "surroundings/wrap.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <iterator>
#include <random>
#include <string>

namespace {

using namespace tq;
using namespace tq::test;

constexpr double agreement_K = 0.02;

std::vector<double> uneven_temperatures(std::size_t n) {
  std::mt19937 random(7); // its sequence is laid down by the standard
  std::vector<double> T(n);
  for (double& t : T)
    t = 70.5 + std::floor(static_cast<double>(random()) / 4294967296.0 * 700); // off the corners of h(T)
  return T;
}

TEST(PlainBar, RatesTimesCapacity_AreTheHeatBalanceOfTheSolver) {
  for (const bool half : {false, true}) {
    const TaperedBar bar(20, 4, half);
    PlainBar plain(bar);
    const std::vector<double> T = uneven_temperatures(bar.nodes());
    std::vector<double> rows(bar.nodes()), rate(bar.nodes()), expected(bar.nodes());
    plain.from_grid_order(T, rows.data());
    plain.rates(rows.data(), rate.data());
    plain.to_grid_order(rate.data(), expected);
    OurBar ours(bar);
    const conduction::State x = ours.state(T);
    conduction::State dxdt;
    ours.op(x, dxdt, 0);
    double greatest = 0;
    for (std::size_t n = 0; n < bar.nodes(); ++n)
      greatest = std::max(greatest, std::abs(dxdt[static_cast<Eigen::Index>(n)]));
    for (std::size_t n = 0; n < bar.nodes(); ++n)
      EXPECT_NEAR(dxdt[static_cast<Eigen::Index>(n)], (TaperedBar::c0 + TaperedBar::c1 * T[n]) * expected[n],
                  1e-11 * greatest);
  }
}

TEST(PlainBar, Jacobian_IsTheSlopeOfTheRates) {
  const TaperedBar bar(12, 4, false);
  PlainBar plain(bar);
  const std::size_t n = plain.nodes();
  std::vector<double> T = uneven_temperatures(n), above(n), below(n), matrix(n * n, 0.0);
  plain.jacobian(T.data(), [&](std::size_t row, std::size_t column, double value) {
    ASSERT_LE(row > column ? row - column : column - row, plain.half_band());
    matrix[row * n + column] += value;
  });
  double greatest = 0;
  for (double a : matrix)
    greatest = std::max(greatest, std::abs(a));
  for (std::size_t column = 0; column < n; ++column) {
    const double at = T[column], step = 1e-3;
    T[column] = at + step;
    plain.rates(T.data(), above.data());
    T[column] = at - step;
    plain.rates(T.data(), below.data());
    T[column] = at;
    for (std::size_t row = 0; row < n; ++row)
      EXPECT_NEAR(matrix[row * n + column], (above[row] - below[row]) / (2 * step), 1e-7 * greatest);
  }
}

class Grids : public testing::TestWithParam<std::tuple<int, int, bool>> {};

TEST_P(Grids, OursAndCvode_AgreeTo20Millikelvin) {
  const auto [along, across, half] = GetParam();
  const TaperedBar bar(along, across, half);
  CvodeSettings tight;
  tight.relative = 1e-8;
  tight.most_order = 5;
  const OurRun ours = run_ours(bar, 2e-4);
  const CvodeRun theirs = run_cvode(bar, tight);
  EXPECT_LT(greatest_difference(ours.points, theirs.points), agreement_K);
}
INSTANTIATE_TEST_SUITE_P(TaperedBar, Grids,
                         testing::Values(std::tuple{60, 8, false}, std::tuple{60, 8, true},
                                         std::tuple{120, 16, true}));

/// A one-sided grind with a false edge: nothing about it is symmetric.
conduction::Mesh crooked_mesh() {
  section::GrindSpec spec;
  spec.grind = section::Grind::one_sided;
  spec.width = 0.024;
  spec.spine = 0.003;
  spec.edge = 0.0006;
  spec.bevel_height = 0.014;
  spec.false_edge_width = 0.005;
  spec.false_edge_thickness = 0.0018;
  section::GridOptions options;
  options.along = 12;
  options.across = 4;
  options.edge_clustering = 0;
  return conduction::make_mesh(section::make_grid(section::profile_from_grind(spec), options));
}

std::vector<double> until(conduction::DenseRosenbrockW& stepper, conduction::HeatOperator& op, double stop) {
  while (stepper.current_time() < stop)
    stepper.do_step_until(std::ref(op), stop);
  op.refresh(stepper.current_state());
  return op.temperature();
}

double greatest_difference(const std::vector<double>& a, const std::vector<double>& b) {
  double worst = 0;
  for (std::size_t n = 0; n < a.size(); ++n)
    worst = std::max(worst, std::abs(a[n] - b[n]));
  return worst;
}

TEST(Foil, OnACrookedSectionInASmallBath_OursAndCvodeAgree) {
  const conduction::Mesh mesh = crooked_mesh();
  conduction::InertMaterial material({{0, 1000}, {26, 30}}, {{0, 400, 1000}, {460, 620, 640}});
  conduction::HeatOperator op(mesh, 7800, material);
  conduction::FoilCover foil;
  foil.layers = 2;
  foil.mass_kg_m2 = 7900 * 50e-6;
  foil.c0 = 480;
  foil.c1 = 0.2;
  foil.along_W_K = 20 * 50e-6;
  foil.exchange_steel = 0.2;
  foil.exchange_layers = 0.15;
  surroundings::Gap gap;
  for (int f = 0; f < conduction::faces; ++f) {
    gap.width_m = 50e-6 * (1 + f);
    foil.gap_conductance[f] = std::make_shared<const conduction::UniformTable>(
        -100, 1300, 10, [&](double T) { return surroundings::gap_conductance(gap, T); });
  }
  op.set_foil(foil);
  conduction::Surround surround;
  surround.temperature = [](double t) { return 40 + 0.5 * t; };
  surround.bath_capacity_J_mK = 900; // warms up by some 100 K
  for (int f = 0; f < conduction::faces; ++f) {
    surround.face[f].htc_constant_W_m2K = 150 + 40 * f;
    surround.face[f].emissivity = 0.3;
  }
  op.set_surround(surround);
  op.start_bath(0);
  const std::vector<double> enthalpy(op.body_nodes(), material.enthalpy(820));
  const conduction::State start = op.make_state(enthalpy.data(), nullptr, 760, 0);

  const std::vector<double> times{0.05, 0.5, 3, 10, 40};
  op.set_tolerance(1e-3);
  conduction::DenseRosenbrockW stepper;
  stepper.initialize(start, 0, 1e-4);
  std::vector<std::vector<double>> body, layers;
  std::vector<double> bath;
  for (double stop : times) {
    body.push_back(until(stepper, op, stop));
    layers.push_back(op.foil_temperature());
    bath.push_back(op.environment(stop, stepper.current_state()));
  }
  EXPECT_GT(bath.back(), 100);
  std::vector<double> absolute(static_cast<std::size_t>(op.state_size()), 0.02); // J/kg: 4e-5 K
  absolute[op.heat_out_index()] = 0.1;                                           // J/m of 4e4
  integrate_operator(op, start, 1e-8, absolute, times, [&](std::size_t k, const conduction::State& x) {
    op.refresh(x);
    EXPECT_LT(greatest_difference(op.temperature(), body[k]), agreement_K) << "at " << times[k] << " s";
    EXPECT_LT(greatest_difference(op.foil_temperature(), layers[k]), agreement_K)
        << "at " << times[k] << " s";
    EXPECT_NEAR(op.environment(times[k], x), bath[k], agreement_K);
  });
}

std::string text_of(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  return std::string(std::istreambuf_iterator<char>(in), {});
}

records::SteelRecord shipped_steel(const std::string& key) {
  const std::string folder = TQ_SOURCE_DIR "/materials/";
  const records::Phases phases = records::read_phases(text_of(folder + "phases.toml"), "phases.toml");
  return records::read_steel(text_of(folder + "steels/" + key + ".toml"), key, phases);
}

/// A steel of which thin places turn to martensite and thick ones to pearlite and bainite while it is cooled
/// from austenite.
struct Quench {
  conduction::Mesh mesh = crooked_mesh();
  std::size_t nodes = mesh.area.size();
  steel::TransformingMaterial material;
  conduction::HeatOperator op;
  conduction::State start;

  Quench() : material(shipped_steel("1084"), {}, nodes), op(mesh, 7800, material) {
    conduction::Surround surround;
    surround.temperature = [](double) { return 60; };
    const auto htc = std::make_shared<const conduction::UniformTable>(
        60, 900, 1, [](double T) { return 150 + 1100 * std::exp(-std::pow((T - 560) / 90, 2)); });
    for (auto& face : surround.face)
      face.htc = htc;
    op.set_surround(surround);
    constexpr double hot = 800;
    material.austenitise(hot);
    std::vector<double> clocks(2 * nodes), enthalpy(nodes);
    material.begin(steel::TransformMode::cooling, clocks.data());
    for (std::size_t n = 0; n < nodes; ++n)
      enthalpy[n] = material.enthalpy(n, hot);
    start = op.make_state(enthalpy.data(), clocks.data(), hot, 0);
  }

  /// Takes the shares over at the end of a step of dt [s]; `before`: the temperatures at its start.
  void commit(const conduction::State& state, const std::vector<double>& before, double dt) {
    op.refresh(state);
    std::vector<double> mean = op.temperature();
    for (std::size_t n = 0; n < nodes; ++n)
      mean[n] = 0.5 * (mean[n] + before[n]);
    material.commit(state.data() + op.clock_offset(), op.temperature().data(), mean.data(), nodes, dt);
  }

  /// Temperatures at `times` by our stepper; `taking_over`: with commit() after every step, as the program
  /// does.
  std::vector<std::vector<double>> ours(const std::vector<double>& times, double tolerance_K,
                                        bool taking_over) {
    op.set_tolerance(tolerance_K);
    conduction::DenseRosenbrockW stepper;
    stepper.initialize(start, 0, 1e-4);
    std::vector<std::vector<double>> out;
    for (double stop : times) {
      while (stepper.current_time() < stop) {
        op.refresh(stepper.current_state());
        const std::vector<double> before = op.temperature();
        const auto [from, to] = stepper.do_step_until(std::ref(op), stop);
        if (taking_over)
          commit(stepper.current_state(), before, to - from);
      }
      op.refresh(stepper.current_state());
      out.push_back(op.temperature());
    }
    return out;
  }

  std::vector<double> absolute_tolerances() const {
    std::vector<double> absolute(static_cast<std::size_t>(op.state_size()), 0.02); // J/kg
    std::fill(absolute.begin() + static_cast<std::ptrdiff_t>(op.clock_offset()),
              absolute.begin() + static_cast<std::ptrdiff_t>(op.clock_offset() + op.clock_count()), 1e-8);
    absolute[op.heat_out_index()] = 0.1;
    return absolute;
  }
};

const std::vector<double> quench_times{0.5, 2, 5, 10, 20, 40, 120};

// Without taking shares over: the same system of equations for both, in which the split between pearlite and
// bainite, in proportion over one step, is made once for the whole of the quench.
TEST(Steel, TransformingOnACrookedSection_OursAndCvodeAgree) {
  Quench ours, theirs;
  const auto T = ours.ours(quench_times, 1e-3, false);
  integrate_operator(theirs.op, theirs.start, 1e-7, theirs.absolute_tolerances(), quench_times,
                     [&](std::size_t k, const conduction::State& x) {
                       theirs.op.refresh(x);
                       EXPECT_LT(greatest_difference(theirs.op.temperature(), T[k]), agreement_K)
                           << "at " << quench_times[k] << " s";
                     });
}

// As the program does it, against CVODE with the shares taken over so often that it matters no more. (A
// split made once for the whole of the quench, as in the test above, lies kelvins away.)
TEST(Steel, SharesTakenOverAfterEveryStep_ChangeLittle) {
  Quench fine, usual, theirs;
  const auto at_fine = fine.ours(quench_times, 1e-3, true), at_usual = usual.ours(quench_times, 0.1, true);
  double pearlite = 0, martensite = 0;
  for (std::size_t n = 0; n < fine.nodes; ++n) {
    pearlite = std::max(pearlite, fine.material.pearlite()[n] + fine.material.bainite()[n]);
    martensite = std::max(martensite, fine.material.martensite()[n]);
  }
  EXPECT_GT(pearlite, 0.2);
  EXPECT_GT(martensite, 0.5);
  conduction::State now = theirs.start;
  double time = 0, worst_fine = 0, worst_usual = 0;
  for (std::size_t k = 0; k < quench_times.size(); ++k) {
    const double apart_s = time < 40 ? 0.1 : 5; // all that turns to pearlite has turned
    const auto pieces = static_cast<int>(std::lround((quench_times[k] - time) / apart_s));
    for (int piece = 0; piece < pieces; ++piece) {
      theirs.op.refresh(now);
      const std::vector<double> before = theirs.op.temperature();
      integrate_operator(theirs.op, now, 1e-6, theirs.absolute_tolerances(), {apart_s},
                         [&](std::size_t, const conduction::State& x) { now = x; });
      theirs.commit(now, before, apart_s);
    }
    time = quench_times[k];
    theirs.op.refresh(now);
    worst_fine = std::max(worst_fine, greatest_difference(theirs.op.temperature(), at_fine[k]));
    worst_usual = std::max(worst_usual, greatest_difference(theirs.op.temperature(), at_usual[k]));
  }
  EXPECT_LT(worst_fine, 0.15);
  EXPECT_LT(worst_usual, 0.3); // three times the tolerance of a step
}

} // namespace
