// Plates, bars, half spaces and wedges against series and products of series.
#include "bench.hpp"
#include "series.hpp"

#include <gtest/gtest.h>

namespace {

using namespace tq;
using namespace tq::verification;

constexpr double rho = 7800, c = 600, k = 25, alpha = k / (rho * c);

/// Insulates the end faces, so that a plate is a plane wall.
void insulate_ends(Bench& bench) {
  bench.surround.face[spine_face].htc_constant_W_m2K = 0;
  bench.surround.face[edge_face].htc_constant_W_m2K = 0;
}

void plane_wall(const char* name, double half, double h, double T0, double T_env, double allowed,
                const std::vector<double>& times) {
  const PlaneWall wall(h * half / k);
  Comparison table(name, "K", allowed, "ID eqs 5.39-5.41; CJ 3.11");
  for (const bool symmetry : {true, false}) {
    Bench bench(plate(10e-3, 2 * half), {.along = 8, .across = 24, .use_symmetry = symmetry}, constant(k),
                constant(c), rho, T0);
    bench.everywhere(h, T_env);
    insulate_ends(bench);
    for (const double t : times) {
      bench.run_to(t);
      const double fourier = alpha * t / (half * half);
      table.add(bench.node(3, bench.centre()), T_env + (T0 - T_env) * wall.theta(fourier, 0));
      table.add(bench.node(3, bench.surface()), T_env + (T0 - T_env) * wall.theta(fourier, 1));
      table.add(bench.mean(), T_env + (T0 - T_env) * wall.mean(fourier));
    }
  }
}

TEST(PlaneWall, BiotOne) {
  // half 2 mm, h chosen for Bi = 1, theta x 100 K; Fo 0.05, 0.2, 1
  const double half = 2e-3, h = k / half, unit = half * half / alpha;
  plane_wall("plate, Bi 1 (100 K)", half, h, 100, 0, 0.1, {0.05 * unit, 0.2 * unit, unit});
}

TEST(PlaneWall, SpineInOil) {
  plane_wall("plate 4 mm, h 1500, 800 to 60 degC", 2e-3, 1500, 800, 60, 0.2, {0.5, 1, 2, 5});
}

TEST(PlaneWall, SixMillimetresInWater) {
  plane_wall("plate 6 mm, h 8000, 800 to 20 degC", 3e-3, 8000, 800, 20, 0.8, {0.1, 0.5, 1, 2});
}

TEST(PlaneWall, OrderAcross) {
  const double half = 3e-3, h = 8000;
  const PlaneWall wall(h * half / k);
  std::vector<double> errors;
  for (const int across : {6, 12, 24, 48}) {
    Bench bench(plate(10e-3, 2 * half), {.along = 8, .across = across}, constant(k), constant(c), rho, 800);
    bench.everywhere(h, 20);
    insulate_ends(bench);
    bench.tolerance_K = 1e-4;
    double worst = 0;
    for (const double t : {0.5, 1.0, 2.0}) {
      bench.run_to(t);
      for (int j = 0; j < bench.ny(); ++j) {
        const double exact = 20 + 780 * wall.theta(alpha * t / (half * half), bench.grid().y(3, j) / half);
        worst = std::max(worst, std::abs(bench.node(3, j) - exact));
      }
    }
    errors.push_back(worst);
  }
  report_order("plate 6 mm, lines across doubled", errors);
}

TEST(UnevenSlab, FilmOnOneFlankNucleateOnTheOther) {
  const double W = 3e-3, h1 = 300, h2 = 2500;
  const UnevenSlab slab(h1 * W / k, h2 * W / k);
  Comparison table("plate 3 mm, h 300 on one flank, 2500 on the other", "K", 0.2, "CJ 3.11");
  Bench bench(plate(10e-3, W), {.along = 8, .across = 16, .use_symmetry = false}, constant(k), constant(c),
              rho, 800);
  bench.everywhere(h1, 60);
  insulate_ends(bench);
  bench.surround.face[flank_a].htc_constant_W_m2K = h2;
  for (const double t : {0.25, 0.5, 1.0, 2.0}) {
    bench.run_to(t);
    const double fourier = alpha * t / (W * W);
    table.add(bench.node(4, 0), 60 + 740 * slab.theta(fourier, 0));
    table.add(bench.node(4, bench.centre()), 60 + 740 * slab.theta(fourier, 0.5));
    table.add(bench.node(4, bench.surface()), 60 + 740 * slab.theta(fourier, 1));
  }
}

TEST(Bar, ConvectionAllRound) {
  const double thickness = 6e-3, width = 20e-3, h = 2000;
  const PlaneWall thin(h * 0.5 * thickness / k), wide(h * 0.5 * width / k);
  Comparison table("bar 6 x 20 mm, h 2000", "K", 0.3, "ID 5.8, product of plane walls; CJ 5.6");
  for (const bool symmetry : {true, false}) {
    Bench bench(plate(width, thickness), {.along = 80, .across = 24, .use_symmetry = symmetry}, constant(k),
                constant(c), rho, 800);
    bench.everywhere(h, 60);
    for (const double t : {0.5, 1.0, 3.0}) {
      bench.run_to(t);
      const double fy = alpha * t / (9e-6), fx = alpha * t / 1e-4;
      const auto exact = [&](double x, double y) { return 60 + 740 * wide.theta(fx, x) * thin.theta(fy, y); };
      table.add(bench.along(10e-3, bench.centre()), exact(0, 0));
      table.add(bench.along(10e-3, bench.surface()), exact(0, 1));
      table.add(bench.node(0, bench.centre()), exact(1, 0));
      table.add(bench.node(0, bench.surface()), exact(1, 1));
      table.add(bench.node(bench.nx() - 1, bench.surface()), exact(1, 1));
      table.add(bench.mean(), 60 + 740 * wide.mean(fx) * thin.mean(fy));
    }
  }
}

TEST(HalfSpace, StartOfAQuench) {
  const double h = 3000;
  Comparison table("thick plate, h 3000, first 0.3 s, to 2 mm deep", "K", 0.5, "CJ 2.7; ID eq. 5.63");
  Bench bench(plate(20e-3, 24e-3), {.along = 8, .across = 192}, constant(k), constant(c), rho, 800);
  bench.everywhere(h, 60);
  insulate_ends(bench);
  for (const double t : {0.01, 0.1, 0.3}) {
    bench.run_to(t);
    const double reach = std::sqrt(alpha * t);
    for (int j = 0; j < bench.ny(); ++j) {
      const double depth = 12e-3 - bench.grid().y(2, j);
      if (depth < 2e-3)
        table.add(bench.node(2, j), 60 + 740 * half_space(depth / (2 * reach), h * reach / k));
    }
  }
}

TEST(QuarterSpace, StartOfAQuenchAtACorner) {
  const double h = 3000;
  Comparison table("corner of a thick bar, h 3000, first 0.3 s", "K", 0.3, "product of half spaces, CJ 2.7");
  Bench bench(plate(20e-3, 20e-3), {.along = 160, .across = 160}, constant(k), constant(c), rho, 800);
  bench.everywhere(h, 60);
  for (const double t : {0.1, 0.3}) {
    bench.run_to(t);
    const double reach = std::sqrt(alpha * t);
    const auto S = [&](double depth) { return half_space(depth / (2 * reach), h * reach / k); };
    for (const double x : {0.0, 0.5e-3, 1e-3, 2e-3})
      for (int j = 0; j < bench.ny(); ++j) {
        const double depth = 10e-3 - bench.grid().y(0, j);
        if (depth < 2e-3)
          table.add(bench.along(x, j), 60 + 740 * S(x) * S(depth));
      }
  }
}

TEST(Wedge, FacesSuddenlyCold) {
  // Blunt end of 0.1 mm: along the bisector the apex is long cold by then and does not matter.
  for (const double degrees : {10.0, 20.0, 30.0, 45.0}) {
    const double slope = std::tan(degrees * std::numbers::pi / 360), edge = 0.1e-3, width = 30e-3;
    const double apex = width + 0.5 * edge / slope, t = 0.05;
    const std::string name = "wedge of " + std::to_string(static_cast<int>(degrees)) +
                             " degrees, faces put to 60 degC, bisector at 2 to 14 mm";
    Comparison table(name, "K", 0.5, "CJ 14.14");
    Bench bench(taper(width, edge + 2 * slope * width, edge), {.along = 240, .across = 96}, constant(k),
                constant(c), rho, 800);
    bench.everywhere(1e8, 60);
    bench.surround.face[spine_face].htc_constant_W_m2K = 0;
    bench.first_step_s = 1e-7;
    bench.tolerance_K = 0.01;
    bench.run_to(t);
    for (double r = 2e-3; r <= 14e-3; r += 1e-3)
      table.add(bench.along(apex - r, bench.centre()),
                60 + 740 * wedge_bisector(degrees * std::numbers::pi / 180, r * r / (4 * alpha * t)));
  }
}

} // namespace
