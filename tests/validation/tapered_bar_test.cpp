// The shipped case cases/tapered_bar_quench.toml against a reference on which four independent solvers agree
// to 0.03 K: SUNDIALS CVODE and SciPy on two finite-volume codes, FreeFEM (P2 elements) and CalculiX
// (quadratic elements).
#include "../support/file_records.hpp"
#include "treatment/run.hpp"
#include "treatment/trace.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace tq;

struct Point {
  const char* name;
  double degC[10];
  double t800_500_s;
};
constexpr double times_s[10] = {0.25, 0.5, 1, 2, 3, 5, 8, 12, 20, 30};
constexpr Point reference[] = {
    {"edge_centre",
     {722.258, 579.086, 359.698, 272.655, 231.889, 187.813, 149.486, 120.048, 90.95, 75.07},
     0.58939},
    {"edge_corner",
     {720.213, 572.948, 358.174, 272.138, 231.549, 187.608, 149.347, 119.958, 90.905, 75.048},
     0.58213},
    {"x25_centre",
     {771.462, 733.488, 557.293, 339.208, 279.97, 220.078, 173.824, 137.451, 100.409, 79.756},
     1.12642},
    {"x15_centre",
     {788.716, 773.67, 738.036, 589.009, 412.877, 303.099, 235.937, 186.46, 130.017, 94.979},
     2.37635},
    {"x15_surface",
     {781.72, 765.918, 728.661, 559.55, 401.664, 300.042, 234.384, 185.607, 129.586, 94.775},
     2.25216},
    {"x0_centre",
     {779.903, 762.28, 725.257, 568.014, 429.078, 322.717, 256.877, 205.739, 145.647, 103.741},
     2.35325},
    {"x0_corner",
     {765.732, 745.88, 705.544, 513.166, 405.455, 314.65, 252.872, 203.509, 144.433, 103.145},
     2.07051},
};
constexpr double heat_out_J_m[10] = {5336.7, 11702.6, 28767.8, 73312.2, 123065,
                                     160123, 179699,  193792,  209252,  219084};

treatment::Case shipped() {
  const auto text = test::read_file(TQ_SOURCE_DIR "/cases/tapered_bar_quench.toml");
  return treatment::read_case(*text, "tapered_bar_quench.toml", test::FileRecords(TQ_SOURCE_DIR "/cases"));
}

TEST(TaperedBar, ShippedCase_IsWithinHalfAKelvinEverywhere) {
  const treatment::Run run = treatment::run_station(shipped(), 0);
  ASSERT_EQ(run.probes.size(), std::size(reference));
  for (std::size_t p = 0; p < run.probes.size(); ++p) {
    ASSERT_EQ(run.probes[p].name, reference[p].name);
    const auto& T = run.probes[p].temperature;
    for (int k = 0; k < 10; ++k)
      EXPECT_NEAR(treatment::trace_value(run.time_s, T, times_s[k]), reference[p].degC[k], 0.5)
          << reference[p].name << " at " << times_s[k] << " s";
    const double t =
        treatment::last_fall(run.time_s, T, 500, 0, 30) - treatment::last_fall(run.time_s, T, 800, 0, 30);
    EXPECT_NEAR(t, reference[p].t800_500_s, 0.01) << reference[p].name; // 0.5 K at about 50 K/s
  }
  for (int k = 0; k < 10; ++k) {
    const double heat = treatment::trace_value(run.time_s, run.heat_out_J_m, times_s[k]);
    EXPECT_NEAR(heat / heat_out_J_m[k], 1, 1e-3) << "heat out at " << times_s[k] << " s";
  }
  EXPECT_LT(run.energy_residual, 1e-12);
}

TEST(TaperedBar, WholeSection_GivesTheSameAsTheHalf) {
  treatment::Case c = shipped();
  c.solver.along = 60;
  c.solver.across = 8;
  const treatment::Run half = treatment::run_station(c, 0);
  c.solver.use_symmetry = false;
  const treatment::Run whole = treatment::run_station(c, 0);
  ASSERT_TRUE(half.grid.half);
  ASSERT_FALSE(whole.grid.half);
  for (std::size_t p = 0; p < half.probes.size(); ++p)
    for (double t : times_s)
      EXPECT_NEAR(treatment::trace_value(half.time_s, half.probes[p].temperature, t),
                  treatment::trace_value(whole.time_s, whole.probes[p].temperature, t),
                  1e-4) // round-off, grown at the corners of h(T)
          << half.probes[p].name << " at " << t << " s";
}

} // namespace
