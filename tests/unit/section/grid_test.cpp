// Grids: lines where they must stand, a smooth change of spacing, symmetry, and many random blades.
#include "../../support/turned_over.hpp"
#include "section/grid.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

namespace {

using namespace tq::section;

constexpr double most_ratio = 1.5;

double greatest_ratio(const std::vector<double>& x) {
  double greatest = 1;
  for (std::size_t i = 2; i < x.size(); ++i) {
    const double a = x[i - 1] - x[i - 2], b = x[i] - x[i - 1];
    greatest = std::max({greatest, a / b, b / a});
  }
  return greatest;
}

double last_interval(const Grid& grid) { return grid.x.back() - grid.x[grid.x.size() - 2]; }

Profile taper(double spine = 4e-3, double edge = 0.5e-3, double width = 30e-3) {
  GrindSpec spec;
  spec.width = width;
  spec.spine = spine;
  spec.edge = edge;
  return profile_from_grind(spec);
}

Profile two_kinks() {
  GrindSpec spec;
  spec.grind = Grind::one_sided;
  spec.width = 30e-3;
  spec.spine = 4e-3;
  spec.edge = 0.4e-3;
  spec.bevel_height = 12.34e-3;
  spec.false_edge_width = 6.78e-3;
  spec.false_edge_thickness = 1e-3;
  return profile_from_grind(spec);
}

/// What every grid must keep.
void check(const Profile& profile, const GridOptions& options, const Grid& grid) {
  ASSERT_EQ(grid.x.size(), static_cast<std::size_t>(grid.nx));
  ASSERT_EQ(grid.eta.size(), static_cast<std::size_t>(grid.ny));
  ASSERT_EQ(grid.top.size(), grid.x.size());
  ASSERT_EQ(grid.bottom.size(), grid.x.size());
  EXPECT_EQ(grid.nodes(), static_cast<std::size_t>(grid.nx * grid.ny));
  EXPECT_GE(grid.nx, options.along + 1);
  EXPECT_EQ(grid.ny, (grid.half ? options.across / 2 : options.across) + 1);
  EXPECT_EQ(grid.half, options.use_symmetry && profile.symmetric());
  EXPECT_EQ(grid.x.front(), 0.0);
  EXPECT_EQ(grid.x.back(), profile.width());
  EXPECT_EQ(grid.eta.front(), 0.0);
  EXPECT_EQ(grid.eta.back(), 1.0);
  EXPECT_TRUE(std::is_sorted(grid.x.begin(), grid.x.end(), std::less_equal<>{}));
  EXPECT_TRUE(std::is_sorted(grid.eta.begin(), grid.eta.end(), std::less_equal<>{}));
  for (const double kink : profile.kinks)
    EXPECT_TRUE(std::binary_search(grid.x.begin(), grid.x.end(), kink)) << kink;
  for (int i = 0; i < grid.nx; ++i) {
    const auto k = static_cast<std::size_t>(i);
    EXPECT_EQ(grid.top[k], profile.top_at(grid.x[k]));
    EXPECT_EQ(grid.bottom[k], grid.half ? 0.0 : profile.bottom_at(grid.x[k]));
    EXPECT_GT(grid.top[k], grid.bottom[k]);
  }
  if (options.edge_clustering > 0) {
    EXPECT_LE(greatest_ratio(grid.x), most_ratio);
    EXPECT_LE(last_interval(grid), 0.5 * profile.thickness_at(profile.width()) * (1 + 1e-12));
  }
}

TEST(Grid, Taper_KeepsTheRules) {
  for (const int along : {4, 20, 40, 60, 120, 480})
    for (const double clustering : {0.0, 0.5, 1.0}) {
      const GridOptions options{.along = along, .edge_clustering = clustering};
      check(taper(), options, make_grid(taper(), options));
    }
}

TEST(Grid, Default_AddsNoLinesToAnOrdinaryBlade) {
  EXPECT_EQ(make_grid(taper()).nx, 111);
  EXPECT_EQ(make_grid(two_kinks()).nx, 111);
}

TEST(Grid, Clustering_IsTowardsBothEnds) {
  const Grid grid = make_grid(taper());
  const double spine = grid.x[1], edge = last_interval(grid);
  double widest = 0;
  for (std::size_t i = 1; i < grid.x.size(); ++i)
    widest = std::max(widest, grid.x[i] - grid.x[i - 1]);
  EXPECT_LT(spine, 0.9 * widest);
  EXPECT_LT(edge, 0.3 * widest);
}

TEST(Grid, NoClustering_IsEven) {
  const Grid grid =
      make_grid(taper(), {.along = 30, .across = 6, .edge_clustering = 0, .use_symmetry = false});
  ASSERT_EQ(grid.nx, 31);
  ASSERT_EQ(grid.ny, 7);
  for (int i = 0; i < grid.nx; ++i)
    EXPECT_NEAR(grid.x[static_cast<std::size_t>(i)], 1e-3 * i, 1e-12);
  for (int j = 0; j < grid.ny; ++j)
    EXPECT_NEAR(grid.eta[static_cast<std::size_t>(j)], j / 6.0, 1e-15);
  EXPECT_NEAR(grid.y(10, 0), -0.5 * (4e-3 - 3.5e-3 / 3), 1e-12);
  EXPECT_NEAR(grid.y(10, 3), 0.0, 1e-15);
}

TEST(Grid, Kinks_StandOnLinesAtEveryFineness) {
  const Profile profile = two_kinks();
  for (const int along : {4, 10, 33, 60, 121})
    for (const double clustering : {0.0, 1.0}) {
      const GridOptions options{.along = along, .edge_clustering = clustering};
      check(profile, options, make_grid(profile, options));
    }
}

TEST(Grid, CloseKinks_GetTheirLinesAndASmoothSpacing) {
  Profile profile{
      {0, 10e-3, 10.3e-3, 30e-3}, {2e-3, 2e-3, 1.8e-3, 0.3e-3}, {-2e-3, -2e-3, -1.8e-3, -0.3e-3}, {}};
  profile.kinks = {10e-3, 10.3e-3};
  const GridOptions options;
  check(profile, options, make_grid(make_profile(profile), options));
}

TEST(Grid, Half_IsTheUpperHalfOfTheWhole) {
  const Profile profile = taper();
  const Grid half = make_grid(profile), whole = make_grid(profile, {.use_symmetry = false});
  EXPECT_TRUE(half.half);
  EXPECT_FALSE(whole.half);
  EXPECT_EQ(half.x, whole.x);
  ASSERT_EQ(whole.ny, 2 * half.ny - 1);
  for (int i = 0; i < half.nx; ++i)
    for (int j = 0; j < half.ny; ++j) {
      EXPECT_NEAR(whole.y(i, half.ny - 1 + j), half.y(i, j), 1e-18);
      EXPECT_NEAR(whole.y(i, half.ny - 1 - j), -half.y(i, j), 1e-18);
    }
}

TEST(Grid, LinesAcross_AreDenserAtBothFlanks) {
  const Grid grid = make_grid(taper(), {.use_symmetry = false});
  for (std::size_t j = 0; j < grid.eta.size(); ++j)
    EXPECT_NEAR(grid.eta[j] + grid.eta[grid.eta.size() - 1 - j], 1.0, 1e-15);
  for (std::size_t j = 2; j <= grid.eta.size() / 2; ++j)
    EXPECT_GT(grid.eta[j] - grid.eta[j - 1], grid.eta[j - 1] - grid.eta[j - 2]);
}

TEST(Grid, TurnedOver_IsMirrored) {
  for (const Profile& profile :
       {two_kinks(), profile_from_points({0, 0, 28e-3, 28e-3}, {2e-3, -2e-3, 1e-3, 1.4e-3})}) {
    const Grid up = make_grid(profile), down = make_grid(tq::test::turned_over(profile));
    EXPECT_EQ(up.x, down.x);
    ASSERT_EQ(up.ny, down.ny);
    for (int i = 0; i < up.nx; ++i)
      for (int j = 0; j < up.ny; ++j)
        EXPECT_NEAR(up.y(i, j), -down.y(i, up.ny - 1 - j), 1e-17);
  }
}

TEST(Grid, Refinement_KeepsTheShape) {
  // Every second line of the finer grid is a line of the coarser one, when no kink shifts the count.
  const Grid coarse = make_grid(taper(), {.along = 60}), fine = make_grid(taper(), {.along = 120});
  ASSERT_EQ(coarse.nx, 61);
  ASSERT_EQ(fine.nx, 121);
  for (std::size_t i = 0; i < coarse.x.size(); ++i)
    EXPECT_NEAR(coarse.x[i], fine.x[2 * i], 1e-10);
}

TEST(Grid, ChangesOfTheBoundary_GetALineAndCloserOnes) {
  GridOptions options;
  options.changes = {18e-3, 35e-3}; // the second lies outside
  const Grid grid = make_grid(taper(), options), plain = make_grid(taper());
  const auto line = std::lower_bound(grid.x.begin(), grid.x.end(), 18e-3);
  ASSERT_EQ(*line, 18e-3);
  EXPECT_LE(greatest_ratio(grid.x), most_ratio);
  const auto usual = std::lower_bound(plain.x.begin(), plain.x.end(), 18e-3);
  EXPECT_LT(line[1] - line[0], 0.6 * (usual[1] - usual[0]));
  EXPECT_LT(line[0] - line[-1], 0.6 * (usual[1] - usual[0]));
}

TEST(Grid, PlacesThatAreRead_StandOnLines_AtTheCostOfNoneMore) {
  for (const int along : {20, 32, 90, 540}) {
    GridOptions options;
    options.along = along;
    options.places = {15e-3, 0.0};
    const Grid grid = make_grid(taper(), options);
    EXPECT_TRUE(std::binary_search(grid.x.begin(), grid.x.end(), 15e-3)) << along;
    EXPECT_LE(grid.nx, make_grid(taper(), {.along = along}).nx + 1); // as the ratio of neighbours asks
    EXPECT_LE(greatest_ratio(grid.x), most_ratio);
  }
}

TEST(Grid, PlaceBesideAKink_SplitsAnInterval) {
  const Profile profile = two_kinks();
  const Grid plain = make_grid(profile);
  const double kink = profile.kinks.back();
  GridOptions options;
  options.places = {kink + 0.1e-3, kink + 1e-9};
  const Grid grid = make_grid(profile, options);
  EXPECT_TRUE(std::binary_search(grid.x.begin(), grid.x.end(), kink + 0.1e-3));
  EXPECT_TRUE(std::binary_search(grid.x.begin(), grid.x.end(), kink));
  EXPECT_EQ(grid.nx, plain.nx + 1); // the place a nanometre off is on the kink's line
}

TEST(Grid, Again_IsTheSame) {
  const Grid a = make_grid(two_kinks()), b = make_grid(two_kinks());
  EXPECT_EQ(a.x, b.x);
  EXPECT_EQ(a.eta, b.eta);
}

TEST(GridRefuses, Options) {
  EXPECT_THROW(make_grid(taper(), {.along = 3}), std::invalid_argument);
  EXPECT_THROW(make_grid(taper(), {.across = 0}), std::invalid_argument);
  EXPECT_THROW(make_grid(taper(), {.across = 5}), std::invalid_argument);
  EXPECT_THROW(make_grid(taper(), {.edge_clustering = -0.1}), std::invalid_argument);
  EXPECT_THROW(make_grid(taper(), {.edge_clustering = std::nan("")}), std::invalid_argument);
}

TEST(Grid, ThousandRandomGrinds_GiveValidGrids) {
  std::mt19937 random(20240611); // the seed of this test
  const auto between = [&](double a, double b) {
    return a + (b - a) * static_cast<double>(random()) / static_cast<double>(std::mt19937::max());
  };
  int made = 0, refused = 0, most_lines = 0;
  double mean_lines = 0;
  while (made < 1000) {
    GrindSpec spec;
    spec.grind = static_cast<Grind>(random() % 5);
    spec.width = std::exp(between(std::log(5e-3), std::log(200e-3)));
    spec.spine = std::exp(between(std::log(0.8e-3), std::log(12e-3)));
    spec.edge = std::exp(between(std::log(0.05e-3), std::log(spec.spine)));
    if (spec.grind != Grind::flat && random() % 2 == 0)
      spec.bevel_height = between(0.05, 1.0) * spec.width;
    if (spec.grind == Grind::hollow)
      spec.wheel_radius = between(25e-3, 300e-3);
    if (spec.grind == Grind::convex)
      spec.convex_bulge = between(0.01, 0.3) * (spec.spine - spec.edge) + 1e-6;
    if (random() % 3 == 0) {
      const double room = spec.bevel_height > 0 ? spec.width - spec.bevel_height : spec.width;
      spec.false_edge_width = between(0.05, 0.9) * room;
      spec.false_edge_thickness = between(0.05e-3, spec.spine);
    }
    Profile profile;
    try {
      profile = profile_from_grind(spec);
    } catch (const ProfileError&) {
      ASSERT_LT(++refused, 3000); // impossible wheels, steep false edges
      continue;
    }
    GridOptions options;
    options.along = 8 + static_cast<int>(random() % 80);
    options.across = 2 * (1 + static_cast<int>(random() % 8));
    const Grid grid = make_grid(profile, options);
    check(profile, options, grid);
    const Grid turned = make_grid(tq::test::turned_over(profile), options);
    EXPECT_EQ(turned.x, grid.x);
    if (HasFailure()) {
      ADD_FAILURE() << "grind " << static_cast<int>(spec.grind) << " width " << spec.width << " spine "
                    << spec.spine << " edge " << spec.edge << " bevel " << spec.bevel_height << " wheel "
                    << spec.wheel_radius << " bulge " << spec.convex_bulge << " false "
                    << spec.false_edge_width << " " << spec.false_edge_thickness << " along " << options.along
                    << " lines " << grid.nx << " ratio " << greatest_ratio(grid.x) << " last/edge "
                    << last_interval(grid) / spec.edge;
      break;
    }
    most_lines = std::max(most_lines, grid.nx);
    mean_lines += grid.nx / 1000.0;
    ++made;
  }
  RecordProperty("refused", refused);
  RecordProperty("most_lines", most_lines);
  std::printf("1000 grids, %d grinds refused; lines along: mean %.1f, most %d\n", refused, mean_lines,
              most_lines);
}

} // namespace
