// Outlines of sections against plane geometry, and what is refused.
#include "../../support/turned_over.hpp"
#include "section/profile.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <string>

namespace {

using namespace tq::section;

GrindSpec hunter(Grind grind) {
  GrindSpec spec;
  spec.grind = grind;
  spec.width = 30e-3;
  spec.spine = 4e-3;
  spec.edge = 0.6e-3;
  return spec;
}

/// The reason for which something is refused; empty when it is accepted.
std::string reason(const std::function<void()>& build) {
  try {
    build();
  } catch (const ProfileError& error) {
    return error.what();
  }
  return {};
}

std::string grind_reason(const std::function<void(GrindSpec&)>& change, Grind grind = Grind::flat) {
  GrindSpec spec = hunter(grind);
  if (grind == Grind::hollow)
    spec.wheel_radius = 150e-3;
  if (grind == Grind::convex)
    spec.convex_bulge = 0.3e-3;
  change(spec);
  return reason([&] { profile_from_grind(spec); });
}

std::string points_reason(const std::vector<double>& x_mm, const std::vector<double>& y_mm) {
  std::vector<double> x, y;
  for (const double v : x_mm)
    x.push_back(v * 1e-3);
  for (const double v : y_mm)
    y.push_back(v * 1e-3);
  return reason([&] { profile_from_points(x, y); });
}

#define EXPECT_SAYS(text, part)                                                                              \
  do {                                                                                                       \
    const std::string said = (text);                                                                         \
    EXPECT_NE(said.find(part), std::string::npos) << "said: " << said;                                       \
    EXPECT_EQ(said.find('\n'), std::string::npos) << "said: " << said;                                       \
  } while (false)

TEST(Profile, Flat_IsTrapezoid) {
  const Profile p = profile_from_grind(hunter(Grind::flat));
  EXPECT_NEAR(p.area(), 0.5 * (4e-3 + 0.6e-3) * 30e-3, 1e-15);
  EXPECT_DOUBLE_EQ(p.width(), 30e-3);
  EXPECT_NEAR(p.thickness_at(15e-3), 2.3e-3, 1e-15);
  EXPECT_NEAR(p.top_at(30e-3), 0.3e-3, 1e-15);
  EXPECT_NEAR(p.bottom_at(0.0), -2e-3, 1e-15);
  EXPECT_EQ(p.thickest_at(), 0.0);
  EXPECT_TRUE(p.symmetric());
  EXPECT_TRUE(p.kinks.empty());
}

TEST(Profile, ParallelBar_IsRectangle) {
  GrindSpec spec = hunter(Grind::flat);
  spec.edge = spec.spine;
  const Profile p = profile_from_grind(spec);
  EXPECT_NEAR(p.area(), 4e-3 * 30e-3, 1e-15);
  EXPECT_EQ(p.thickest_at(), 0.0);
}

TEST(Profile, Bevel_IsRectangleAndTrapezoid) {
  GrindSpec spec = hunter(Grind::bevel);
  spec.bevel_height = 12e-3;
  const Profile p = profile_from_grind(spec);
  EXPECT_NEAR(p.area(), 4e-3 * 18e-3 + 0.5 * 4.6e-3 * 12e-3, 1e-15);
  ASSERT_EQ(p.kinks.size(), 1U);
  EXPECT_NEAR(p.kinks[0], 18e-3, 1e-15);
  EXPECT_NEAR(p.thickness_at(10e-3), 4e-3, 1e-15);
  EXPECT_NEAR(p.thickness_at(24e-3), 2.3e-3, 1e-15);
}

TEST(Profile, Hollow_IsTrapezoidLessTwoCircularSegments) {
  for (const double bevel : {0.0, 20e-3})
    for (const double radius : {80e-3, 150e-3, 5.0}) {
      GrindSpec spec = hunter(Grind::hollow);
      spec.bevel_height = bevel;
      spec.wheel_radius = radius;
      const double run = bevel == 0 ? spec.width : bevel;
      const double chord = std::hypot(run, 0.5 * (spec.spine - spec.edge));
      const double angle = 2 * std::asin(0.5 * chord / radius);
      const double segment = 0.5 * radius * radius * (angle - std::sin(angle));
      const double expected = spec.spine * (spec.width - run) + 0.5 * 4.6e-3 * run - 2 * segment;
      const double deepest = radius - std::sqrt(radius * radius - 0.25 * chord * chord);
      if (0.5 * (spec.spine + spec.edge) - 2 * deepest < 0.1e-3)
        continue; // too deep for this wheel; tested below
      const Profile p = profile_from_grind(spec);
      EXPECT_NEAR(p.area(), expected, 2e-9) << radius;
      EXPECT_EQ(p.kinks.size(), bevel == 0 ? 0U : 1U);
      EXPECT_TRUE(p.symmetric());
    }
}

TEST(Profile, Hollow_FollowsTheWheelWithinAMicrometre) {
  GrindSpec spec = hunter(Grind::hollow);
  spec.bevel_height = 20e-3;
  spec.wheel_radius = 80e-3;
  const Profile p = profile_from_grind(spec);
  // Centre of the circle through both ends of the bevel, outside the steel.
  const double x0 = 10e-3, y0 = 2e-3, x1 = 30e-3, y1 = 0.3e-3;
  const double chord = std::hypot(x1 - x0, y1 - y0), reach = std::sqrt(80e-3 * 80e-3 - chord * chord / 4);
  const double cx = 0.5 * (x0 + x1) - (y1 - y0) / chord * reach,
               cy = 0.5 * (y0 + y1) + (x1 - x0) / chord * reach;
  for (double x = x0; x <= x1; x += 7e-6)
    EXPECT_LT(std::abs(std::hypot(x - cx, p.top_at(x) - cy) - 80e-3), 1e-7);
  const GrindSpec straight = [] {
    GrindSpec s = hunter(Grind::bevel);
    s.bevel_height = 20e-3;
    return s;
  }();
  EXPECT_LT(p.thickness_at(20e-3), profile_from_grind(straight).thickness_at(20e-3));
}

TEST(Profile, Convex_IsTrapezoidAndTwoParabolicSegments) {
  for (const double bevel : {0.0, 20e-3}) {
    GrindSpec spec = hunter(Grind::convex);
    spec.bevel_height = bevel;
    spec.convex_bulge = 0.4e-3;
    const double run = bevel == 0 ? spec.width : bevel;
    const Profile p = profile_from_grind(spec);
    const double expected =
        spec.spine * (spec.width - run) + 0.5 * 4.6e-3 * run + 2 * (2.0 / 3.0) * 0.4e-3 * run;
    EXPECT_NEAR(p.area(), expected, 2e-9); // polyline within 0.02 um of the curve
    EXPECT_NEAR(p.thickness_at(spec.width - 0.5 * run), 2.3e-3 + 0.8e-3, 1e-9);
  }
}

TEST(Profile, Convex_WholeWidthMayBeThickestBelowTheSpine) {
  GrindSpec spec = hunter(Grind::convex);
  spec.convex_bulge = 1.5e-3;
  const Profile p = profile_from_grind(spec);
  // y = 2 + (0.3 - 2) s + 6 s (1 - s) mm is greatest at s = 4.3 / 12.
  EXPECT_NEAR(p.thickest_at(), 30e-3 * 4.3 / 12.0, 0.1e-3);
}

TEST(Profile, OneSided_HasAFlatFlankB) {
  GrindSpec spec = hunter(Grind::one_sided);
  spec.bevel_height = 10e-3;
  const Profile p = profile_from_grind(spec);
  EXPECT_FALSE(p.symmetric());
  for (const double x : {0.0, 5e-3, 20e-3, 25e-3, 30e-3})
    EXPECT_DOUBLE_EQ(p.bottom_at(x), -2e-3);
  EXPECT_NEAR(p.top_at(20e-3), 2e-3, 1e-15);
  EXPECT_NEAR(p.thickness_at(25e-3), 2.3e-3, 1e-15);
  EXPECT_NEAR(p.thickness_at(30e-3), 0.6e-3, 1e-15);
  EXPECT_NEAR(p.area(), 4e-3 * 20e-3 + 0.5 * 4.6e-3 * 10e-3, 1e-15);
}

TEST(Profile, FalseEdge_TakesTheSpineOff) {
  GrindSpec spec = hunter(Grind::bevel);
  spec.bevel_height = 12e-3;
  spec.false_edge_width = 6e-3;
  spec.false_edge_thickness = 1e-3;
  const Profile p = profile_from_grind(spec);
  EXPECT_NEAR(p.thickness_at(0.0), 1e-3, 1e-15);
  EXPECT_NEAR(p.thickness_at(3e-3), 2.5e-3, 1e-15);
  EXPECT_NEAR(p.thickness_at(6e-3), 4e-3, 1e-15);
  EXPECT_NEAR(p.thickest_at(), 6e-3, 1e-15);
  EXPECT_NEAR(p.area(), 4e-3 * 18e-3 + 0.5 * 4.6e-3 * 12e-3 - 0.5 * 3e-3 * 6e-3, 1e-15);
  ASSERT_EQ(p.kinks.size(), 2U);
  EXPECT_NEAR(p.kinks[0], 6e-3, 1e-15);
  EXPECT_NEAR(p.kinks[1], 18e-3, 1e-15);
}

TEST(Profile, FalseEdge_OnAOneSidedBladeLeavesFlankBFlat) {
  GrindSpec spec = hunter(Grind::one_sided);
  spec.bevel_height = 12e-3;
  spec.false_edge_width = 18e-3; // ends on the bevel line: one kink there, not two
  spec.false_edge_thickness = 1e-3;
  const Profile p = profile_from_grind(spec);
  EXPECT_DOUBLE_EQ(p.bottom_at(0.0), -2e-3);
  EXPECT_NEAR(p.top_at(0.0), -1e-3, 1e-15);
  ASSERT_EQ(p.kinks.size(), 1U);
  EXPECT_NEAR(p.kinks[0], 18e-3, 1e-15);
}

TEST(Profile, Calipers_AreHalvedAboutTheCentrePlane) {
  const Profile p = profile_from_calipers({0, 10e-3, 20e-3, 25e-3}, {3e-3, 2.9e-3, 1.2e-3, 0.4e-3});
  EXPECT_TRUE(p.symmetric());
  EXPECT_NEAR(p.thickness_at(15e-3), 2.05e-3, 1e-15);
  EXPECT_NEAR(p.area(), 1e-6 * (10 * 2.95 + 10 * 2.05 + 5 * 0.8), 1e-14);
  ASSERT_EQ(p.kinks.size(), 1U); // at 10 mm the flank turns by 0.08, at 20 mm by less than 0.01
  EXPECT_NEAR(p.kinks[0], 10e-3, 1e-15);
}

TEST(Profile, Points_AnyStartEitherSense) {
  const std::vector<double> x{0, 0, 12e-3, 28e-3, 28e-3, 14e-3}, y{4e-3, 0, 0, 1.6e-3, 2.2e-3, 4e-3};
  const Profile first = profile_from_points(x, y);
  EXPECT_NEAR(first.width(), 28e-3, 1e-15);
  EXPECT_NEAR(first.thickness_at(12e-3), 4e-3, 1e-12);
  EXPECT_NEAR(first.top_at(0), 2e-3, 1e-12);
  EXPECT_NEAR(first.bottom_at(0), -2e-3, 1e-12);
  ASSERT_EQ(first.kinks.size(), 2U);
  EXPECT_NEAR(first.area(), 4e-3 * 28e-3 - 0.5 * 16e-3 * 1.6e-3 - 0.5 * 14e-3 * 1.8e-3, 1e-12);
  const std::size_t n = x.size();
  for (std::size_t start = 0; start < n; ++start)
    for (const bool backwards : {false, true})
      for (const bool closed : {false, true}) {
        std::vector<double> px, py;
        for (std::size_t k = 0; k < n + (closed ? 1 : 0); ++k) {
          const std::size_t i = (start + (backwards ? n - k % n : k)) % n;
          px.push_back(x[i] + 5e-3);
          py.push_back(y[i] - 7e-3);
        }
        const Profile p = profile_from_points(px, py);
        ASSERT_EQ(p.x.size(), first.x.size());
        for (std::size_t i = 0; i < p.x.size(); ++i) {
          EXPECT_NEAR(p.x[i], first.x[i], 1e-15);
          EXPECT_NEAR(p.top[i], first.top[i], 1e-15);
          EXPECT_NEAR(p.bottom[i], first.bottom[i], 1e-15);
        }
      }
}

TEST(Profile, Points_OnTheEndFacesAndDoubledAreDropped) {
  const Profile p = profile_from_points({0, 0, 0, 0, 30e-3, 30e-3, 30e-3, 0},
                                        {2e-3, 1e-3, -2e-3, -2e-3, -0.3e-3, 0.1e-3, 0.3e-3, 2e-3});
  EXPECT_NEAR(p.area(), 0.5 * 4.6e-3 * 30e-3, 1e-15);
  EXPECT_TRUE(p.symmetric());
  EXPECT_EQ(p.x.size(), 2U);
}

TEST(Profile, PointsOfAGrind_GiveTheGrindBack) {
  GrindSpec spec = hunter(Grind::hollow);
  spec.bevel_height = 20e-3;
  spec.wheel_radius = 120e-3;
  const Profile p = profile_from_grind(spec);
  std::vector<double> x(p.x), y(p.top);
  for (std::size_t i = p.x.size(); i-- > 0;) {
    x.push_back(p.x[i]);
    y.push_back(p.bottom[i]);
  }
  const Profile q = profile_from_points(x, y);
  EXPECT_NEAR(q.area(), p.area(), 1e-12);
  EXPECT_TRUE(q.symmetric());
  ASSERT_EQ(q.kinks.size(), 1U);
  EXPECT_NEAR(q.kinks[0], 10e-3, 1e-12);
}

TEST(Profile, TurnedOver_ExchangesTheFlanks) {
  GrindSpec spec = hunter(Grind::one_sided);
  const Profile p = profile_from_grind(spec), q = tq::test::turned_over(p);
  EXPECT_DOUBLE_EQ(q.top_at(12e-3), -p.bottom_at(12e-3));
  EXPECT_DOUBLE_EQ(q.bottom_at(12e-3), -p.top_at(12e-3));
  EXPECT_DOUBLE_EQ(q.area(), p.area());
  const Profile back = tq::test::turned_over(q);
  EXPECT_EQ(back.top, p.top);
  EXPECT_EQ(back.bottom, p.bottom);
}

TEST(ProfileRefuses, GrindFigures) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(grind_reason([](GrindSpec&) {}), "");
  EXPECT_EQ(grind_reason([](GrindSpec& s) { s.edge = 0; }),
            "thickness at the edge is 0 mm; a blade needs a blunt edge of at least 0.05 mm before hardening");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.edge = -1e-3; }), "at least 0.05 mm");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.edge = 0.049e-3; }), "at least 0.05 mm");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.edge = 4.1e-3; }), "thicker than the spine");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.spine = 26e-3; }), "spine 26 mm");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.spine = 0; }), "0.05 mm to 25 mm");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.width = 1.9e-3; }), "2 mm to 200 mm");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.width = 0.3; }), "width 300 mm");
  EXPECT_SAYS(grind_reason([&](GrindSpec& s) { s.width = nan; }), "width is not a number");
  EXPECT_SAYS(grind_reason([&](GrindSpec& s) { s.edge = nan; }), "edge is not a number");
  EXPECT_SAYS(grind_reason([&](GrindSpec& s) { s.spine = 1 / 0.0; }), "spine is not a number");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.bevel_height = 10e-3; }), "bevel_height");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.bevel_height = 31e-3; }, Grind::bevel),
              "between 0 and the width");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.bevel_height = -1e-3; }, Grind::bevel), "bevel_height");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.bevel_height = 0.4e-3; }, Grind::bevel), "too steep");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.wheel_radius = 0.1; }), "hollow grind only");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.convex_bulge = 1e-3; }), "convex grind only");
}

TEST(ProfileRefuses, Curves) {
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.wheel_radius = 0; }, Grind::hollow), "needs wheel_radius");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.wheel_radius = 14e-3; }, Grind::hollow), "too small to span");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.wheel_radius = 16e-3; }, Grind::hollow), "would cross");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.wheel_radius = 118e-3; }, Grind::hollow), "leave only");
  EXPECT_SAYS(grind_reason(
                  [](GrindSpec& s) {
                    s.spine = 24e-3;
                    s.edge = 0.5e-3;
                    s.width = 30e-3;
                    s.bevel_height = 12e-3;
                    s.wheel_radius = 9e-3;
                  },
                  Grind::hollow),
              "turn back on itself");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.convex_bulge = 0; }, Grind::convex), "needs convex_bulge");
  EXPECT_SAYS(grind_reason(
                  [](GrindSpec& s) {
                    s.bevel_height = 15e-3;
                    s.convex_bulge = 0.5e-3;
                  },
                  Grind::convex),
              "at most 0.425 mm");
  EXPECT_SAYS(grind_reason([](GrindSpec& s) { s.convex_bulge = 14e-3; }, Grind::convex), "at most 25 mm");
  EXPECT_SAYS(grind_reason(
                  [](GrindSpec& s) {
                    s.convex_bulge = 8e-3;
                    s.width = 12e-3;
                  },
                  Grind::convex),
              "too steep");
}

TEST(ProfileRefuses, FalseEdge) {
  const auto with = [](double width, double thickness, double bevel = 10e-3) {
    return grind_reason(
        [&](GrindSpec& s) {
          s.bevel_height = bevel;
          s.false_edge_width = width;
          s.false_edge_thickness = thickness;
        },
        Grind::bevel);
  };
  EXPECT_EQ(with(6e-3, 1e-3), "");
  EXPECT_SAYS(with(6e-3, 0), "false_edge_thickness 0 mm");
  EXPECT_SAYS(with(6e-3, 4e-3), "must be less than the spine");
  EXPECT_SAYS(with(-6e-3, 1e-3), "false_edge_width");
  EXPECT_SAYS(with(21e-3, 1e-3), "past the bevel line");
  EXPECT_SAYS(with(31e-3, 1e-3), "between 0 and the width");
  EXPECT_SAYS(with(0, 1e-3), "needs a false_edge_width");
  EXPECT_SAYS(with(0.5e-3, 0.5e-3), "too steep");
  EXPECT_SAYS(grind_reason(
                  [](GrindSpec& s) {
                    s.wheel_radius = 150e-3;
                    s.false_edge_width = 15e-3;
                    s.false_edge_thickness = 3.9e-3;
                  },
                  Grind::hollow),
              "thicker than its flanks");
}

TEST(ProfileRefuses, Calipers) {
  const auto with = [](std::vector<double> x, std::vector<double> t) {
    return reason([&] { profile_from_calipers(x, t); });
  };
  EXPECT_SAYS(with({0}, {1e-3}), "at least 2");
  EXPECT_SAYS(with({}, {}), "at least 2");
  EXPECT_SAYS(with({0, 10e-3, 20e-3}, {3e-3, 1e-3}), "3 distances but 2 thicknesses");
  EXPECT_SAYS(with({1e-3, 10e-3}, {3e-3, 1e-3}), "start at the spine");
  EXPECT_SAYS(with({0, 10e-3, 10e-3}, {3e-3, 1e-3, 1e-3}), "must increase");
  EXPECT_SAYS(with({0, 20e-3, 10e-3}, {3e-3, 2e-3, 1e-3}), "10 mm follows 20 mm");
  EXPECT_SAYS(with({0, 10e-3}, {3e-3, 0}), "blunt edge of at least 0.05 mm");
  EXPECT_SAYS(with({0, 10e-3, 20e-3}, {3e-3, 0.0, 1e-3}), "at distance 10 mm");
  EXPECT_SAYS(with({0, 10e-3, 20e-3}, {3e-3, -2e-3, 1e-3}), "not a blade's thickness");
  EXPECT_SAYS(with({0, 10e-3, 20e-3}, {3e-3, 30e-3, 1e-3}), "25 mm");
  EXPECT_SAYS(with({0, 10e-3, 210e-3}, {3e-3, 3e-3, 1e-3}), "width 210 mm");
  EXPECT_SAYS(with({0, 10e-3, 10.1e-3, 20e-3}, {5e-3, 5e-3, 4e-3, 1e-3}), "too steep");
  EXPECT_SAYS(with({0, std::nan("")}, {3e-3, 1e-3}), "not a number");
}

TEST(ProfileRefuses, Points) {
  EXPECT_EQ(points_reason({0, 30, 30, 0}, {0, 1, 2, 3}), "");
  EXPECT_SAYS(points_reason({0, 30}, {0, 1}), "at least 3");
  EXPECT_SAYS(points_reason({}, {}), "there are 0");
  EXPECT_SAYS(points_reason({0, 0, 0, 0}, {1, 1, 1, 1}), "there are 1");
  EXPECT_SAYS(points_reason({0, 30, 30}, {0, 1}), "3 x values but 2 y values");
  EXPECT_SAYS(points_reason({0, 15, 30}, {0, 1, 2}), "no area");
  EXPECT_SAYS(points_reason({0, 30, 30, 0}, {0, 2, 1, 3}), "crosses itself");
  EXPECT_SAYS(points_reason({0, 10, 10, 30, 30, 20, 20, 0}, {0, 0, 5, 0, 1, 1, -3, 3}), "crosses itself");
  EXPECT_SAYS(points_reason({0, 30, 0}, {-1.5, 0, 1.5}), "ends in a point at the edge");
  EXPECT_SAYS(points_reason({0, 30, 0}, {-1.5, 0, 1.5}), "at least 0.05 mm apart");
  EXPECT_SAYS(points_reason({30, 0, 30}, {-1.5, 0, 1.5}), "ends in a point at the spine");
  EXPECT_SAYS(points_reason({0, 30, 30, 0}, {-1.5, -0.02, 0.02, 1.5}), "edge is 0.04 mm");
  EXPECT_SAYS(points_reason({0, 30, 30, 0}, {-0.02, -0.02, 0.3, 0.02}), "spine is 0.04 mm");
  EXPECT_SAYS(points_reason({0, 20, 15, 30, 30, 0}, {0, 0, 1, 1, 2, 3}), "steps or turns back");
  EXPECT_SAYS(points_reason({0, 15, 15, 30, 30, 0}, {0, 0, 1, 1, 2, 3}), "steps or turns back at x = 15 mm");
  EXPECT_SAYS(points_reason({0, 15, 15.1, 30, 30, 0}, {0, 0, 1, 1, 2, 3}), "too steep");
  EXPECT_SAYS(points_reason({0, 1, 1, 0}, {0, 0, 1, 1}), "width 1 mm");
  EXPECT_SAYS(points_reason({0, 30, 30, 0}, {0, 0, 30, 30}), "at most 25 mm");
  EXPECT_SAYS(points_reason({0, 15, 30, 30, 15, 0}, {0, 1.48, 0, 3, 1.5, 3}),
              "15 mm from the spine is 0.02 mm");
  EXPECT_SAYS(points_reason({0, std::nan(""), 30, 0}, {0, 0, 30, 30}), "not a number");
}

TEST(ProfileRefuses, RawProfiles) {
  const auto with = [](Profile p) { return reason([&] { make_profile(p); }); };
  const Profile good{{0, 30e-3}, {2e-3, 1e-3}, {-2e-3, -1e-3}, {}};
  EXPECT_EQ(with(good), "");
  EXPECT_SAYS(with({{0}, {1e-3}, {-1e-3}, {}}), "at least 2");
  EXPECT_SAYS(with({{0, 30e-3}, {1e-3}, {-1e-3}, {}}), "both flanks");
  EXPECT_SAYS(with({{1e-3, 30e-3}, {1e-3, 1e-3}, {-1e-3, -1e-3}, {}}), "must start at the spine");
  EXPECT_SAYS(with({{0, 30e-3, 20e-3}, {1e-3, 1e-3, 1e-3}, {0, 0, 0}, {}}), "must increase");
  EXPECT_SAYS(with({{0, 10e-3, 20e-3}, {1e-3, -1e-3, 1e-3}, {0, 0, 0}, {}}), "meet or cross at 10 mm");
  EXPECT_SAYS(with({{0, 30e-3}, {2e-3, 1e-3}, {-2e-3, -1e-3}, {31e-3}}), "kinks");
  EXPECT_SAYS(with({{0, 30e-3}, {2e-3, 1e-3}, {-2e-3, -1e-3}, {20e-3, 10e-3}}), "kinks");
}

TEST(Profile, LimitsThemselvesAreAllowed) {
  GrindSpec spec = hunter(Grind::flat);
  spec.edge = 0.05e-3;
  EXPECT_NO_THROW(profile_from_grind(spec));
  spec.grind = Grind::one_sided;
  EXPECT_NO_THROW(profile_from_grind(spec));
  spec = hunter(Grind::flat);
  spec.width = 200e-3;
  spec.spine = 25e-3;
  EXPECT_NO_THROW(profile_from_grind(spec));
}

} // namespace
