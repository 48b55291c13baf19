// Observed order in space on tapered sections, and a tapered quench against independent programs.
#include "bench.hpp"
#include "treatment/case.hpp"

#include <gtest/gtest.h>

#include <cstdio>

namespace {

using namespace tq;
using namespace tq::verification;

/// Manufactured steady state with k = k0 + k1 T: the integral of k over T, w = W cos(a x) cosh(a y), y from
/// flank B, is harmonic for any k. Flank B (y = 0) and the spine face (x = 0) let no heat through; the edge
/// face loses a tan(a width) w, so h(T) = a tan(a width) (k0 + k1 T / 2) against 0 degC; flank A gets the
/// heat it needs from surroundings that are as much hotter in each column as the exact flux says.
double manufactured_error(int along, int across, double clustering) {
  const double width = 30e-3, spine = 2e-3, edge = 0.25e-3, k0 = 24, k1 = 0.004, a = 1.2 / width;
  const double W = k0 * 700 + 0.5 * k1 * 700 * 700, s = (spine - edge) / width, root = std::sqrt(1 + s * s);
  section::GrindSpec spec;
  spec.grind = section::Grind::one_sided;
  spec.width = width;
  spec.spine = spine;
  spec.edge = edge;
  const auto temperature = [&](double w) { return 2 * w / (k0 + std::sqrt(k0 * k0 + 2 * k1 * w)); };
  const auto exact = [&](double x, double y) {
    return temperature(W * std::cos(a * x) * std::cosh(a * (y + 0.5 * spine)));
  };
  Bench bench(section::profile_from_grind(spec),
              {.along = along, .across = across, .edge_clustering = clustering},
              linear(0, k0, 1000, k0 + 1000 * k1), constant(100), 1000, 400);
  const auto flux = [&](double x) { // out of flank A
    const double y = spine - s * x;
    return W * a * (s * std::sin(a * x) * std::cosh(a * y) - std::cos(a * x) * std::sinh(a * y)) / root;
  };
  // surroundings of the last column serve the edge face as well: 0 degC must suit both
  const double h = flux(width) / exact(width, edge - 0.5 * spine);
  bench.everywhere(0, 0);
  bench.surround.face[flank_a].htc_constant_W_m2K = h;
  const double tangent = a * std::tan(a * width);
  bench.surround.face[edge_face].htc = std::make_shared<conduction::UniformTable>(
      0, 1000, 1000, [&](double T) { return tangent * (k0 + 0.5 * k1 * T); });
  for (const double x : bench.grid().x)
    bench.surround.extra_K.push_back(exact(x, spine - s * x - 0.5 * spine) - flux(x) / h);
  bench.surround.extra_K.back() = 0;
  bench.set_start(exact);
  bench.tolerance_K = 1e-4;
  bench.run_to(300); // many times rho c t / h = 2 s
  double worst = 0;
  for (int j = 0; j < bench.ny(); ++j)
    for (int i = 0; i < bench.nx(); ++i)
      worst = std::max(worst, std::abs(bench.node(i, j) - exact(bench.grid().x[static_cast<std::size_t>(i)],
                                                                bench.grid().y(i, j))));
  return worst;
}

TEST(Order, ManufacturedSteadyStateOnATaper) {
  for (const double clustering : {0.0, 1.0}) {
    std::vector<double> errors;
    for (const int n : {1, 2, 4, 8})
      errors.push_back(manufactured_error(60 * n, 4 * n, clustering));
    report_order(clustering > 0 ? "manufactured steady state, k(T), taper, clustered grid"
                                : "manufactured steady state, k(T), taper, even grid",
                 errors);
  }
}

/// Crooked quadrilateral with k(T), c(T) and radiation, cooled for 1 s; differences from the finest grid but
/// one are taken on the nodes of the coarsest.
TEST(Order, TransientOnACrookedTaper) {
  const section::Profile profile =
      section::profile_from_points({0, 0, 24e-3, 24e-3}, {1.6e-3, -1.2e-3, -0.3e-3, 0.2e-3});
  ASSERT_FALSE(profile.symmetric());
  for (const double clustering : {0.0, 1.0}) {
    std::vector<std::vector<double>> T;
    constexpr int coarse_along = 40, coarse_across = 8;
    for (const int n : {1, 2, 4, 8}) {
      Bench bench(profile,
                  {.along = coarse_along * n, .across = coarse_across * n, .edge_clustering = clustering},
                  linear(0, 24, 1000, 28), linear(0, 480, 1000, 730), 7800, 800);
      bench.everywhere(1500, 60);
      for (auto& face : bench.surround.face)
        face.emissivity = 0.8;
      bench.tolerance_K = 1e-3;
      bench.run_to(1.0);
      ASSERT_EQ(bench.nx(), coarse_along * n + 1);
      T.emplace_back();
      for (int j = 0; j <= coarse_across; ++j)
        for (int i = 0; i <= coarse_along; ++i)
          T.back().push_back(bench.node(i * n, j * n));
    }
    std::vector<double> errors;
    for (std::size_t m = 0; m + 1 < T.size(); ++m) {
      double sum = 0;
      for (std::size_t n = 0; n < T[m].size(); ++n)
        sum += (T[m][n] - T[m + 1][n]) * (T[m][n] - T[m + 1][n]);
      errors.push_back(std::sqrt(sum / static_cast<double>(T[m].size())));
    }
    report_order(clustering > 0
                     ? "transient, crooked taper, k(T), c(T), radiation, clustered grid (rms of halving)"
                     : "transient, crooked taper, k(T), c(T), radiation, even grid (rms of halving)",
                 errors);
  }
}

/// Symmetric taper 4.0 to 0.5 mm over 30 mm, film, nucleate and convective boiling in one h(T). Four programs
/// written apart agree on these temperatures to 0.03 K: finite volumes stepped by SUNDIALS CVODE and by
/// SciPy, quadratic finite elements in FreeFEM and in CalculiX.
TEST(Quench, TaperAgainstFourPrograms) {
  const std::vector<double> times{0.25, 0.5, 1, 2, 3, 5, 8, 12, 20, 30};
  const double expected[7][10] = {
      {722.26, 579.09, 359.70, 272.65, 231.89, 187.81, 149.49, 120.05, 90.95, 75.07},    // edge, centre
      {720.21, 572.95, 358.17, 272.14, 231.55, 187.61, 149.35, 119.96, 90.91, 75.05},    // edge, corner
      {771.46, 733.49, 557.29, 339.21, 279.97, 220.08, 173.82, 137.45, 100.41, 79.76},   // 25 mm, centre
      {788.72, 773.67, 738.04, 589.01, 412.88, 303.10, 235.94, 186.46, 130.02, 94.98},   // 15 mm, centre
      {781.72, 765.92, 728.66, 559.55, 401.66, 300.04, 234.38, 185.61, 129.59, 94.78},   // 15 mm, flank
      {779.90, 762.28, 725.26, 568.01, 429.08, 322.72, 256.88, 205.74, 145.65, 103.74},  // spine, centre
      {765.73, 745.88, 705.54, 513.17, 405.45, 314.65, 252.87, 203.51, 144.43, 103.14}}; // spine, corner
  const double heat[10] = {5336.7,   11702.6,  28767.8,  73312.2,  123064.9,
                           160123.4, 179698.6, 193791.9, 209251.9, 219084.2}; // J/m of the whole section
  const records::Table h{{60, 200, 300, 400, 500, 550, 600, 700, 800},
                         {300, 350, 600, 1500, 2800, 3000, 2400, 800, 400},
                         records::Interpolation::linear};
  // the grid of a case that gives none, at tolerances from the default's down
  const treatment::SolverSettings usual;
  const int usual_across = treatment::usual_across(4e-3, false);
  struct Setting {
    int along, across;
    double tolerance_K, allowed_K;
  };
  for (const Setting& s :
       {Setting{usual.along, usual_across, usual.tolerance_K, 0.3},
        Setting{usual.along, usual_across, 0.07, 0.3}, Setting{usual.along, usual_across, 0.05, 0.3},
        Setting{usual.along, usual_across, 0.02, 0.3}, Setting{usual.along, 6, 0.1, 0.5},
        Setting{160, 32, 0.1, 0.5}, Setting{160, 32, 0.02, 0.5}, Setting{480, 64, 0.02, 0.1}}) {
    const bool defaults =
        s.along == usual.along && s.across == usual_across && s.tolerance_K == usual.tolerance_K;
    char name[112];
    std::snprintf(name, sizeof name,
                  "%squenched taper, %d x %d intervals, tolerance %.2f K: 7 points x 10 times",
                  defaults ? "defaults: " : "", s.along, s.across, s.tolerance_K);
    Comparison removed("the same: heat removed", "J/m of 2.2e5", 160 * s.allowed_K,
                       "four independent programs");
    Comparison table(name, "K", s.allowed_K, "four independent programs");
    Bench bench(taper(30e-3, 4e-3, 0.5e-3), {.along = s.along, .across = s.across}, linear(0, 24, 1000, 28),
                linear(0, 480, 1000, 730), 7800, 800);
    bench.everywhere(0, 60);
    const auto lookup = std::make_shared<conduction::UniformTable>(60, 800, 10, h);
    for (auto& face : bench.surround.face)
      face.htc = lookup;
    bench.tolerance_K = s.tolerance_K;
    bench.first_step_s = 1e-3;
    for (std::size_t n = 0; n < times.size(); ++n) {
      bench.run_to(times[n]);
      const int mid = bench.centre(), top = bench.surface(), last = bench.nx() - 1;
      const double computed[7] = {bench.node(last, mid),   bench.node(last, top),   bench.along(25e-3, mid),
                                  bench.along(15e-3, mid), bench.along(15e-3, top), bench.node(0, mid),
                                  bench.node(0, top)};
      for (std::size_t p = 0; p < 7; ++p)
        table.add(computed[p], expected[p][n]);
      removed.add(2 * bench.heat_out(), heat[n]);
    }
  }
}

} // namespace
