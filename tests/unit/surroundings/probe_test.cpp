#include "surroundings/probe.hpp"

#include "records/read_probe.hpp"
#include "surroundings/bayes.hpp"
#include "surroundings/probe_figures.hpp"
#include "surroundings/probe_inverse.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <limits>
#include <sstream>

namespace {

using namespace tq::surroundings;
using namespace tq::records;

ProbeRecord shipped(const std::string& key) {
  const std::string path = std::string(TQ_SOURCE_DIR) + "/materials/probes/" + key + ".toml";
  std::ifstream in(path);
  std::stringstream text;
  text << in.rdbuf();
  return read_probe(text.str(), path);
}

Probe alloy_600(double lag_s = 0) {
  const ProbeRecord record = shipped("alloy_600");
  Probe probe = make_probe(record, *record.body);
  probe.sensor_lag_s = lag_s;
  return probe;
}

Probe constant(BodyShape shape, double half_m, double k, double rho, double c, double start_degC) {
  Probe probe;
  probe.shape = shape;
  probe.half_thickness_m = half_m;
  probe.start_degC = start_degC;
  probe.density_kg_m3 = rho;
  probe.conductivity_W_mK = {0, 100, 100, [k](double) { return k; }};
  probe.specific_heat_J_kgK = {0, 100, 100, [c](double) { return c; }};
  return probe;
}

SurfaceHtc steady(double h) {
  return [h](double) { return h; };
}

} // namespace

// Infinite cylinder by its series (Carslaw & Jaeger 7.7, Incropera table 5.1): R 6.25 mm, k 22, rho 8350, c
// 520, 850 to 60 degC.
TEST(ProbeSolver, Cylinder_AsTheSeries) {
  ProbeSolver solver(constant(BodyShape::cylinder, 6.25e-3, 22, 8350, 520, 850));
  const ProbeTrace mild = solver.run(steady(500), 60, {12});
  EXPECT_NEAR(mild.sensor_at(2), 820.48, 0.3);
  EXPECT_NEAR(mild.sensor_at(5), 744.20, 0.3);
  EXPECT_NEAR(mild.sensor_at(10), 632.72, 0.3);
  const ProbeTrace sharp = solver.run(steady(2000), 60, {12});
  EXPECT_NEAR(sharp.sensor_at(2), 747.14, 0.6); // 1 K per 12 ms here
  EXPECT_NEAR(sharp.sensor_at(5), 529.09, 0.6);
  EXPECT_NEAR(sharp.sensor_at(10), 306.90, 0.6);
}

// Plane wall by its series (Carslaw & Jaeger 3.11): 4 mm, k 25, rho 7800, c 600, h 1500, 800 to 60 degC.
TEST(ProbeSolver, Plate_AsTheSeries) {
  ProbeSolver solver(constant(BodyShape::plate, 2e-3, 25, 7800, 600, 800));
  const ProbeTrace trace = solver.run(steady(1500), 60, {6});
  EXPECT_NEAR(trace.sensor_at(0.5), 758.26, 0.5);
  EXPECT_NEAR(trace.sensor_at(1), 706.52, 0.5);
  EXPECT_NEAR(trace.sensor_at(2), 614.22, 0.5);
  EXPECT_NEAR(trace.sensor_at(5), 409.12, 0.5);
}

// A sphere of small Biot number (0.006) is lumped: exp(-3 h t / (rho c R)), to Bi/5 of it.
TEST(ProbeSolver, SmallSphere_IsLumped) {
  ProbeSolver solver(constant(BodyShape::sphere, 1e-3, 100, 8900, 450, 885));
  const ProbeTrace trace = solver.run(steady(600), 30, {3});
  const double tau = 8900 * 450 * 1e-3 / (3 * 600.0);
  EXPECT_NEAR(trace.sensor_at(2), 30 + 855 * std::exp(-2 / tau), 1.5);
}

TEST(ProbeSolver, SensorLag_DelaysASteadyFallByItself) {
  // A body of large conductivity under a small constant loss falls almost steadily.
  Probe probe = constant(BodyShape::plate, 2e-3, 1000, 7800, 600, 800);
  probe.sensor_lag_s = 0.3;
  ProbeSolver solver(probe);
  Probe prompt = probe;
  prompt.sensor_lag_s = 0;
  const ProbeTrace late = solver.run(steady(20), 20, {5}),
                   true_one = ProbeSolver(prompt).run(steady(20), 20, {5});
  EXPECT_NEAR(late.sensor_at(4), true_one.sensor_at(4 - 0.3), 0.02);
}

// Made apart from this program with 60 equal cells and steps of 5 ms (backward Euler), same properties:
// largest rate [K/s], its temperature, rate at 300 degC, times to 600, 400, 200 degC [s].
TEST(ProbeFigures, CurvesOfTheClasses_GiveTheFiguresTheyWereFittedTo) {
  const struct {
    const char* name;
    Table h;
    double rate, rate_degC, rate_300, t600, t400, t200, lumped;
  } curves[] = {
      {"R",
       {{60, 356, 412, 488, 699, 900}, {292, 365, 2061, 6893, 770, 770}, Interpolation::log},
       99.056,
       621.2,
       6.089,
       6.625,
       10.886,
       44.906,
       2717},
      {"F",
       {{60, 275, 372, 506, 726, 900}, {286, 357, 1825, 6577, 856, 856}, Interpolation::log},
       106.868,
       640.2,
       8.051,
       5.524,
       8.795,
       35.916,
       2851},
      {"M",
       {{60, 360, 401, 481, 640, 900}, {330, 413, 1873, 4776, 681, 681}, Interpolation::log},
       79.213,
       573.4,
       6.840,
       9.034,
       13.247,
       43.745,
       2315},
      {"S",
       {{60, 275, 324, 478, 616, 900}, {286, 358, 1278, 2100, 500, 500}, Interpolation::log},
       50.434,
       524.6,
       8.967,
       13.015,
       18.005,
       43.944,
       1570},
      {"V",
       {{60, 279, 368, 593, 801, 900}, {299, 374, 1791, 2464, 1215, 1215}, Interpolation::log},
       75.450,
       688.7,
       7.973,
       4.616,
       8.593,
       34.971,
       1884},
  };
  ProbeSolver solver(alloy_600(), 40, 2);
  for (const auto& curve : curves) {
    const SheetFigures f = sheet_figures(solver.run(curve.h, 60, {120, 150}));
    EXPECT_NEAR(f.max_rate_K_s, curve.rate, 0.4) << curve.name;       // first order in time there
    EXPECT_NEAR(f.max_rate_degC, curve.rate_degC, 1.5) << curve.name; // flat top
    EXPECT_NEAR(f.rate_300_K_s, curve.rate_300, 0.03) << curve.name;
    EXPECT_NEAR(f.to_600_s, curve.t600, 0.01) << curve.name;
    EXPECT_NEAR(f.to_400_s, curve.t400, 0.01) << curve.name;
    EXPECT_NEAR(f.to_200_s, curve.t200, 0.05) << curve.name;
    EXPECT_NEAR(lumped_htc(solver.probe(), f.max_rate_degC, f.max_rate_K_s, 60), curve.lumped,
                0.02 * curve.lumped)
        << curve.name;
  }
}

TEST(ProbeFigures, NeverReached_IsNaN) {
  ProbeSolver solver(alloy_600());
  const SheetFigures f = sheet_figures(solver.run(steady(300), 60, {5}));
  EXPECT_TRUE(std::isnan(f.to_200_s));
  EXPECT_TRUE(std::isnan(f.rate_300_K_s));
}

TEST(ProbeRecord, Shipped_AreSound) {
  const ProbeRecord alloy = shipped("alloy_600"), ball = shipped("nickel_ball"),
                    stainless = shipped("austenitic_stainless");
  ASSERT_TRUE(alloy.body.has_value());
  EXPECT_NEAR(alloy.body->thickness_m, 12.5e-3, 1e-9);
  EXPECT_NEAR(alloy.conductivity_W_mK(400), 20.5, 1e-9);
  ASSERT_TRUE(ball.body.has_value());
  // 50 g of nickel
  EXPECT_NEAR(3.14159265 / 6 * std::pow(ball.body->thickness_m, 3) * ball.density_kg_m3, 0.050, 0.002);
  EXPECT_FALSE(stainless.body.has_value());
  for (const ProbeRecord* record : {&alloy, &ball, &stainless})
    for (const Provenance& p : record->provenance)
      EXPECT_FALSE(p.source.empty()) << record->key << " " << p.key;
}

TEST(NoiseOf, EquallyTreatedReadings_ItsStandardDeviation) {
  std::vector<double> readings;
  NormalNumbers normal(3);
  for (int n = 0; n < 4000; ++n)
    readings.push_back(800 - 0.5 * n + 0.6 * normal());
  EXPECT_NEAR(noise_of(readings), 0.6, 0.05); // three standard deviations of a median of 4000
}

// Nothing was known where the search began, so its evidence may beat no other.
TEST(Bayes, ModelThatCannotBeComputedAtTheStart_HasNoEvidence) {
  const Residuals never = [](const Eigen::VectorXd&, Eigen::VectorXd&) { return false; };
  const MostProbable found = most_probable(never, Eigen::VectorXd::Zero(3));
  EXPECT_EQ(found.cost, std::numeric_limits<double>::infinity());
  EXPECT_EQ(found.log_evidence, -std::numeric_limits<double>::infinity());
}
