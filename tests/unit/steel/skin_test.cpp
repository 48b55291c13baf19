#include "steel/skin.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <vector>

namespace tq::steel {
namespace {

std::vector<SkinPoint> hold(double T, double seconds, Cover cover = Cover::bare) {
  return {{0, T, cover}, {seconds, T, cover}};
}

SkinSettings steel(double carbon_wt) { return {carbon_wt, 727, 0.0, 0.0}; }

// Check figures of the published formula: Tibbetts 1980 by two independent listings.
TEST(Skin, Diffusivity_MeetsTheCheckFigures) {
  EXPECT_NEAR(carbon_diffusivity(0.8, 927), 2.18e-11, 0.01 * 2.18e-11);
  EXPECT_NEAR(carbon_diffusivity(0.8, 800), 4.53e-12, 0.01 * 4.53e-12);
  EXPECT_NEAR(carbon_diffusivity(0.8, 750), 2.19e-12, 0.01 * 2.19e-12);
  EXPECT_NEAR(carbon_diffusivity(0.8, 850), 8.78e-12, 0.01 * 8.78e-12);
}

// Agren 1986, Scr. Metall. 20, 1507 (constants from memory), worked out by hand at 0.8 %C: two independent
// assessments agree within a fifth.
TEST(Skin, Diffusivity_AgreesWithAgren) {
  const struct {
    double T, m2_s;
  } agren[] = {{750, 1.84e-12}, {775, 2.71e-12}, {800, 3.91e-12},
               {825, 5.56e-12}, {850, 7.77e-12}, {927, 20.0e-12}};
  for (const auto& at : agren)
    EXPECT_NEAR(at.m2_s / carbon_diffusivity(0.8, at.T), 1.0, 0.2) << at.T;
}

// sqrt(D t) [um] at 0.8 %C, worked out by hand from the formula.
TEST(Skin, DiffusionLength_MeetsTheTable) {
  const auto length_um = [](double T, double minutes) {
    return 1e6 * std::sqrt(carbon_diffusivity(0.8, T) * 60 * minutes);
  };
  EXPECT_NEAR(length_um(775, 10), 44, 1);
  EXPECT_NEAR(length_um(800, 5), 37, 1);
  EXPECT_NEAR(length_um(800, 10), 52, 1);
  EXPECT_NEAR(length_um(800, 60), 128, 1);
  EXPECT_NEAR(length_um(850, 30), 126, 1);
}

// Carslaw & Jaeger 1959, Conduction of Heat in Solids, 2.4: C = C0 erf(x / 2 sqrt(Dt)) for constant D and no
// carbon at the surface. With next to no carbon D is constant, so the depths are known.
TEST(Skin, LittleCarbon_GivesTheErrorFunction) {
  for (const double minutes : {2.0, 10.0, 60.0}) {
    const Skin skin = skin_over(hold(800, 60 * minutes), steel(1e-4));
    const double length = std::sqrt(carbon_diffusivity(0, 800) * 60 * minutes);
    EXPECT_NEAR(skin.soft_m / length, 2 * 0.476936, 0.012) << minutes;       // erf(0.476936) = 0.5
    EXPECT_NEAR(skin.affected_m / length, 2 * 1.163087, 0.03) << minutes;    // erf(1.163087) = 0.9
    EXPECT_NEAR(skin.affected_97_m / length, 2 * 1.534486, 0.04) << minutes; // erf(1.534486) = 0.97
    EXPECT_NEAR(skin.carbon_lost_m / length, 2 / std::sqrt(std::numbers::pi), 0.015) << minutes;
    EXPECT_EQ(skin.surface_carbon, 0);
  }
}

// The same boundary moving in with the root of time (x = 2 p sqrt(Dt)): C/C0 = 1 - erfc(z + p) / erfc(p) with
// z measured from the moving surface in 2 sqrt(Dt); by similarity from Carslaw & Jaeger 1959, 11.2.
TEST(Skin, RecedingSurface_GivesTheSimilaritySolution) {
  SkinSettings s = steel(1e-4);
  s.scale_factor = 1;
  const double T = 850, D = carbon_diffusivity(0, T);
  const double p = iron_in_scale * std::sqrt(scale_constant(T)) / (2 * std::sqrt(D));
  const Skin skin = skin_over(hold(T, 1200), s);
  const auto share = [&](double x) {
    return 1 - std::erfc(x / (2 * std::sqrt(D * 1200)) + p) / std::erfc(p);
  };
  EXPECT_NEAR(share(skin.soft_m), 0.5, 0.01);
  EXPECT_NEAR(share(skin.affected_m), 0.9, 0.01);
  EXPECT_NEAR(share(skin.affected_97_m), 0.97, 0.005);
}

// Rule figures for open air at 800 degC worked out apart with D(C) (arithmetic, no measurement): to 90 % of
// the carbon 0.09-0.10 mm in 10 min, 0.16-0.17 in 30; to 97 % 0.14 and 0.24-0.25; soft 0.01-0.03 and
// 0.02-0.05.
TEST(Skin, OpenAir_MeetsTheRuleFigures) {
  const Skin ten = skin_over(hold(800, 600), steel(0.8)), thirty = skin_over(hold(800, 1800), steel(0.8));
  EXPECT_GE(ten.affected_m, 0.0895e-3);
  EXPECT_LE(ten.affected_m, 0.1005e-3);
  EXPECT_NEAR(ten.affected_97_m, 0.14e-3, 0.005e-3);
  EXPECT_GE(ten.soft_m, 0.01e-3);
  EXPECT_LE(ten.soft_m, 0.03e-3);
  EXPECT_GE(thirty.affected_m, 0.16e-3);
  EXPECT_LE(thirty.affected_m, 0.17e-3);
  EXPECT_NEAR(thirty.affected_97_m, 0.24e-3, 0.006e-3);
  EXPECT_GE(thirty.soft_m, 0.02e-3);
  EXPECT_LE(thirty.soft_m, 0.051e-3);
}

// Scale on iron: 45, 79, 111 um in 10, 30, 60 min at 800 degC (from the constants, by hand).
TEST(Skin, Scale_GrowsWithTheRootOfTime) {
  SkinSettings iron = steel(0.8);
  iron.scale_factor = 1;
  EXPECT_NEAR(skin_over(hold(800, 600), iron).scale_m, 45e-6, 1e-6);
  EXPECT_NEAR(skin_over(hold(800, 1800), iron).scale_m, 79e-6, 1e-6);
  EXPECT_NEAR(skin_over(hold(800, 3600), iron).scale_m, 111e-6, 1e-6);
  EXPECT_NEAR(skin_over(hold(850, 600), iron).scale_m, 69e-6, 1e-6);
  const Skin skin = skin_over(hold(800, 600), iron);
  EXPECT_NEAR(skin.metal_lost_m, skin.scale_m / 1.75, 1e-9);
  EXPECT_LT(skin.affected_m, skin_over(hold(800, 600), steel(0.8)).affected_m); // scale eats the skin
}

TEST(Skin, BelowAc1_OnlyScales) {
  SkinSettings s = steel(0.9);
  s.scale_factor = 0.5;
  const Skin skin = skin_over(hold(700, 3600), s);
  EXPECT_EQ(skin.soft_m, 0);
  EXPECT_EQ(skin.affected_97_m, 0);
  EXPECT_GT(skin.scale_m, 0);
  EXPECT_EQ(skin_over(hold(500, 36000), s).scale_m, 0);
}

TEST(Skin, HistoryCutIntoPieces_ComesToTheSame) {
  SkinSettings s = steel(0.95);
  s.scale_factor = 0.5;
  std::vector<SkinPoint> pieces;
  for (int i = 0; i <= 200; ++i)
    pieces.push_back({6.0 * i, 800, Cover::bare});
  const Skin whole = skin_over(hold(800, 1200), s), cut = skin_over(pieces, s);
  EXPECT_NEAR(cut.affected_m, whole.affected_m, 0.005 * whole.affected_m);
  EXPECT_NEAR(cut.scale_m, whole.scale_m, 1e-9);
}

TEST(Skin, Paint_LeavesAThird) {
  const Skin bare = skin_over(hold(800, 1800), steel(0.95));
  const Skin painted = skin_over(hold(800, 1800, Cover::painted), steel(0.95));
  EXPECT_NEAR(painted.affected_m / bare.affected_m, std::sqrt(painted_share_of_time), 0.01);
}

// 1 cm3 of air holds 8.6e-6 mol of oxygen; at 0.95 %C 20-50 cm3 on 150 cm2 can take 2-9 um (stoichiometry).
TEST(Skin, PacketAir_IsAFewMicrometres) {
  const double per_cm3 = packet_skin(0.95, 7800, 1e-6 / 150e-4);
  EXPECT_NEAR(per_cm3, 0.19e-6, 0.02e-6);
  EXPECT_LT(50 * per_cm3, 10e-6);
  EXPECT_GT(20 * per_cm3 / 2, 1.5e-6); // as CO2
}

TEST(Skin, Foil_LosesWhatThePacketTakesAndLevelsOut) {
  SkinSettings s = steel(0.95);
  s.packet_skin_m = 6e-6;
  const Skin skin = skin_over(hold(800, 1200, Cover::foil), s);
  EXPECT_NEAR(skin.carbon_lost_m, 6e-6, 0.3e-6);
  EXPECT_EQ(skin.soft_m, 0);
  EXPECT_EQ(skin.scale_m, 0);
  EXPECT_GT(skin.surface_carbon, 0.85 * 0.95);
  EXPECT_LT(skin.affected_m, 0.05e-3);
  s.packet_skin_m = 0;
  EXPECT_EQ(skin_over(hold(800, 1200, Cover::foil), s).affected_97_m, 0);
  // two seconds bare on the way to the oil hardly show
  const Skin out = skin_over({{0, 800, Cover::foil}, {1200, 800, Cover::bare}, {1202, 780, Cover::bare}}, s);
  EXPECT_LT(out.affected_m, 8e-6);
  EXPECT_GT(out.affected_m, 2e-6);
}

// Paidassi's constant at 800 degC by hand: 6.1e-4 exp(-169452 / (8.314 x 1073.15)) = 3.43e-12 m2/s; half of
// that thickness on carbon steel, so a quarter of its square.
TEST(Skin, FilmInAir_DarkensSteelWithinSeconds) {
  EXPECT_NEAR(film_rate(800), 3.43e-12 / 4, 0.01e-12);
  EXPECT_EQ(film_rate(560), 0) << "no wuestite below 570 degC";
  EXPECT_DOUBLE_EQ(emissivity_under(0, 0.35, 0.8), 0.35);
  EXPECT_NEAR(emissivity_under(darkening_film_m, 0.35, 0.8), 0.35 + 0.45 * (1 - std::exp(-1)), 1e-12);
  for (const double film : {0.0, 0.1e-6, 2e-6})
    EXPECT_NEAR(film_of(emissivity_under(film, 0.35, 0.8), 0.35, 0.8), film, 1e-15);
  const double after_2_s = emissivity_under(std::sqrt(2 * film_rate(800)), 0.35, 0.8);
  EXPECT_GT(after_2_s, 0.7) << "grey within seconds: common practice";
  EXPECT_LT(after_2_s, 0.8);
}

TEST(Skin, Allowance_SaysWhatGoverns) {
  const GrindAllowance clean = grind_allowance(Skin{});
  EXPECT_EQ(clean.governs, GrindAllowance::Governs::floor);
  EXPECT_DOUBLE_EQ(clean.least_edge_m, EdgeWishes{}.least_to_harden_m);
  Skin skin;
  skin.affected_m = 0.15e-3;
  skin.metal_lost_m = 0.02e-3;
  const GrindAllowance bare = grind_allowance(skin);
  EXPECT_EQ(bare.governs, GrindAllowance::Governs::skin);
  EXPECT_NEAR(bare.least_edge_m, 2 * (0.15e-3 + 0.02e-3 + 0.05e-3) + 0.3e-3, 1e-12);
  EXPECT_DOUBLE_EQ(bare.grind_per_side_m, 0.15e-3);
}

} // namespace
} // namespace tq::steel
