// Latent heat given as a peak of the specific heat, against a front at which it is released at once.
#include "bench.hpp"
#include "series.hpp"

#include <gtest/gtest.h>

#include <cstdio>
#include <numbers>

namespace {

using namespace tq;
using namespace tq::verification;

constexpr double rho = 7800, c = 600, k = 25, alpha = k / (rho * c);

/// Neumann's solution for equal properties of both phases: half space at T0 whose surface is put to Ts,
/// latent heat L released at Tm.
struct Neumann {
  double T0, Tm, Ts, L, front = 0;
  Neumann(double T0_, double Tm_, double Ts_, double L_) : T0(T0_), Tm(Tm_), Ts(Ts_), L(L_) {
    front = bisect(
        [&](double x) {
          return std::exp(-x * x) * (1 / std::erf(x) - (T0 - Tm) / ((Tm - Ts) * std::erfc(x))) -
                 x * std::sqrt(std::numbers::pi) * L / (c * (Tm - Ts));
        },
        1e-6, 3);
  }
  double operator()(double depth, double t) const {
    const double s = depth / (2 * std::sqrt(alpha * t));
    return s < front ? Ts + (Tm - Ts) * std::erf(s) / std::erf(front)
                     : T0 - (T0 - Tm) * std::erfc(s) / std::erfc(front);
  }
};

TEST(Stefan, ErrorAgainstTheWidthTheHeatIsSpreadOver) {
  const double T0 = 700, Tm = 650, Ts = 600, L = 80e3; // J/kg, as of austenite to pearlite
  const Neumann exact(T0, Tm, Ts, L);
  double before = 1e9;
  for (const double width : {32.0, 16.0, 8.0, 4.0, 2.0}) {
    char name[96];
    std::snprintf(name, sizeof name, "Stefan problem, latent heat spread over %g K (100 K)", width);
    Comparison table(name, "K", 0.2 * width, "CJ 11.2, Neumann; a fifth of the width");
    const double a = Tm - 0.5 * width, b = Tm + 0.5 * width, peak = c + L / width, step = 1e-3 * width;
    const records::Table heat{{a - step, a, b, b + step}, {c, peak, peak, c}, records::Interpolation::linear};
    Bench bench(plate(20e-3, 24e-3), {.along = 8, .across = 384}, constant(k), heat, rho, T0);
    bench.everywhere(1e8, Ts);
    bench.surround.face[spine_face].htc_constant_W_m2K = 0;
    bench.surround.face[edge_face].htc_constant_W_m2K = 0;
    bench.tolerance_K = 0.01;
    bench.first_step_s = 1e-7;
    double worst = 0;
    for (const double t : {0.5, 1.0, 2.0}) {
      bench.run_to(t);
      for (int j = 0; j < bench.ny(); ++j) {
        const double depth = 12e-3 - bench.grid().y(2, j), T = exact(depth, t);
        if (depth > 8e-3)
          continue; // the other flank is not infinitely far
        table.add(bench.node(2, j), T);
        worst = std::max(worst, std::abs(bench.node(2, j) - T));
      }
    }
    EXPECT_LT(worst, before);
    before = worst;
  }
}

} // namespace
