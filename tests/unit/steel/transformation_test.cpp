#include "steel/transformation.hpp"

#include "steel/decomposition.hpp"

#include "shipped.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace tq::steel {
namespace {

using records::Composition;
using records::SteelRecord;

SteelRecord plain(Composition wt, double grain_number) {
  SteelRecord steel;
  steel.composition = wt;
  steel.transformation.matrix = wt;
  steel.transformation.grain_number = grain_number;
  return steel;
}

Composition wt(double C, double Mn, double Si, double Cr = 0, double Ni = 0, double Mo = 0, double W = 0) {
  Composition c;
  c.C = C;
  c.Mn = Mn;
  c.Si = Si;
  c.Cr = Cr;
  c.Ni = Ni;
  c.Mo = Mo;
  c.W = W;
  return c;
}

// --- critical temperatures ---------------------------------------------------------------------------------

// Grange 1961, Metal Progress 79, 73-75, as quoted by Collins et al. 2023, Metals 13, 1168 (chromium raises
// Ae1).
TEST(CriticalTemperatures, Ae1OfBearingSteel_Grange) {
  EXPECT_NEAR(ae1_grange(wt(1.0, 0.35, 0.25, 1.45)), 757, 1);
}

// Andrews 1965, JISI 203, 721-727.
TEST(CriticalTemperatures, Ac1OfO1_Andrews) {
  EXPECT_NEAR(ac1_andrews(wt(0.95, 1.2, 0.3, 0.5, 0, 0, 0.5)), 731, 1);
}

TEST(CriticalTemperatures, OwnAc1_GoesBeforeTheFormula) {
  SteelRecord steel = plain(wt(0.8, 0.7, 0.2), 8);
  EXPECT_DOUBLE_EQ(ac1(steel), ac1_andrews(steel.composition));
  steel.austenitising.ac1_degC = 740.0;
  EXPECT_DOUBLE_EQ(ac1(steel), 740);
}

// Payson & Savage 1944 (Trans. ASM 33, 261) in degF: 930 - 570C - 60Mn ...; here its own arithmetic for 0.95C
// 0.4Mn, and that it agrees with van Bohemen 2012 (Mater. Sci. Technol. 28, 487-495; 190 degC worked out by
// hand) to 15 K there, with silicon.
TEST(CriticalTemperatures, MsFormulasForHighCarbon_Agree) {
  EXPECT_NEAR(ms_payson_savage(wt(0.95, 0.4, 0), 0.95), (930 - 570 * 0.95 - 60 * 0.4 - 32) / 1.8, 1e-9);
  EXPECT_NEAR(ms_payson_savage(wt(0.95, 0.4, 0.25), 0.95), 190.4, 15);
}

// Ms of isothermal diagrams (from memory; Atlas of Isothermal Transformation Diagrams for 1080 and 1095):
// 1080 about 220, 1095 (0.89C 0.30Mn, all in solution) 215-220, 5160 255-265 degC. Independent of any fit
// here; 15 K.
TEST(CriticalTemperatures, MsOfPublishedDiagrams_Within15K) {
  EXPECT_NEAR(ms_high_carbon(wt(0.79, 0.76, 0.2), 0.79), 220, 15);
  EXPECT_NEAR(ms_high_carbon(wt(0.89, 0.30, 0.2), 0.89), 217, 15);
  const SteelRecord& spring = shipped::steels().at("5160");
  EXPECT_NEAR(martensite_start(spring, spring.transformation.matrix.C), 260, 15);
}

// The formula's own arithmetic, and its band: 1.84 x 20.9 K for plain carbon steel with all carbon
// dissolved, more with alloy and with carbon left in carbide.
TEST(CriticalTemperatures, MsOfHighCarbonSteel_ComesWithItsBand) {
  EXPECT_NEAR(ms_high_carbon(wt(1.0, 1, 1, 1, 1, 1), 0.0),
              569.8 - 41.0 - 17.9 - 5.9 - 22.1 - 20.5 - 0.2 * 74.9, 1e-9);
  EXPECT_NEAR(martensite_start_band(wt(0.8, 0.6, 0.3), 0.8), 38.5, 0.1);
  EXPECT_GT(martensite_start_band(wt(1.0, 0.3, 0.3, 1.5), 0.8),
            martensite_start_band(wt(1.0, 0.3, 0.3, 1.5), 1.0));
  EXPECT_GT(martensite_start_band(wt(0.8, 0.6, 0.3, 1.5), 0.8),
            martensite_start_band(wt(0.8, 0.6, 0.3), 0.8));
}

// Ends of the transformation on heating, from memory: 52100 795 degC, 5160 766, W1 about 740. Below them
// ferrite stays: 52100 at 765 degC is no more than two thirds austenite however long, 5160 at 755 less than
// all.
TEST(CriticalTemperatures, EndOfTransformation_LeavesFerriteBelow) {
  const auto& steels = shipped::steels();
  EXPECT_NEAR(ac1_end(steels.at("52100")), 795, 5);
  EXPECT_NEAR(ac1_end(steels.at("5160")), 766, 5);
  EXPECT_NEAR(ac1_end(steels.at("W2")), 740, 10);
  EXPECT_LT(austenite_after(steels.at("52100"), 765, 1200), 0.67);
  EXPECT_LT(austenite_after(steels.at("5160"), 755, 600), 0.95);
  for (const auto& [key, steel] : steels) {
    EXPECT_EQ(austenite_after(steel, ac1(steel), 3600), 0) << key;
    EXPECT_DOUBLE_EQ(austenite_equilibrium(steel, ac1_end(steel)), 1) << key;
    EXPECT_LT(ac1_end(steel), steel.austenitising.hardening_from_degC) << key;
    EXPECT_GT(
        austenite_after(steel, steel.austenitising.hardening_from_degC, steel.austenitising.soak_from_s),
        0.99)
        << key;
  }
  SteelRecord own = steels.at("5160");
  own.austenitising.ac1_end_degC = 770;
  EXPECT_DOUBLE_EQ(ac1_end(own), 770);
}

// A3 of 0.4 %C is 788 degC in Fe-C (carbon_on_a3()): a plain steel of that carbon keeps ferrite up to it;
// Grange's Ae1 of iron and carbon alone lies 4 K below 727 degC.
TEST(CriticalTemperatures, LowCarbon_KeepsFerriteUpToA3) {
  const SteelRecord steel = plain(wt(0.4, 0.0, 0.0), 8);
  EXPECT_NEAR(ac1_end(steel), 788, 6);
}

TEST(CriticalTemperatures, RecordOffset_ShiftsMs) {
  SteelRecord steel = plain(wt(0.8, 0.7, 0.2), 8);
  const double before = martensite_start(steel, 0.8);
  steel.transformation.ms_offset_K = -12;
  EXPECT_NEAR(martensite_start(steel, 0.8), before - 12, 1e-12);
}

// --- carbon in solution ------------------------------------------------------------------------------------

// Computed from the SGTE Fe-C description (Gustafson 1985), which gives the textbook 0.76 %C at 727 degC.
TEST(Carbon, AcmLine_MeetsTheComputedDiagram) {
  EXPECT_NEAR(carbon_on_acm(727), 0.761, 0.001);
  EXPECT_NEAR(carbon_on_acm(760), 0.844, 0.01);
  EXPECT_NEAR(carbon_on_acm(800), 0.948, 0.01);
  EXPECT_NEAR(carbon_on_acm(900), 1.227, 0.01);
  EXPECT_NEAR(carbon_on_acm(1000), 1.535, 0.01);
}

// Own arithmetic of the alloy-shift model (an engineering model without a source): saturation of O1 and
// 52100.
TEST(Carbon, SaturationOfAlloyedSteels_IsWellBelowTheirCarbon) {
  const SteelRecord& o1 = shipped::steels().at("O1");
  EXPECT_NEAR(saturation_carbon(o1, 780), 0.75, 0.01);
  EXPECT_NEAR(saturation_carbon(o1, 800), 0.80, 0.01);
  EXPECT_NEAR(saturation_carbon(o1, 815), 0.84, 0.01);
  const SteelRecord& bearing = shipped::steels().at("52100");
  EXPECT_NEAR(saturation_carbon(bearing, 815), 0.764, 0.01);
  EXPECT_NEAR(saturation_carbon(bearing, 843), 0.838, 0.01);
  EXPECT_NEAR(100 * undissolved_cementite(bearing, 0.838), 2.8, 0.1);
}

TEST(Carbon, SaturationAndCementite_StayInBoundsAndAreMonotone) {
  for (const auto& [key, steel] : shipped::steels()) {
    double before = 0;
    for (double T = 600; T <= 1100; T += 1) {
      const double C = saturation_carbon(steel, T);
      ASSERT_GE(C, before) << key << " " << T;
      ASSERT_GE(C, born_carbon(steel)) << key;
      ASSERT_LE(C, steel.composition.C) << key;
      const double undissolved = undissolved_cementite(steel, C);
      ASSERT_GE(undissolved, 0) << key;
      ASSERT_LT(undissolved, 0.1) << key;
      // mass balance of carbon
      ASSERT_NEAR((1 - undissolved) * C + undissolved * 6.69, steel.composition.C, 1e-12) << key;
      before = C;
    }
  }
}

TEST(Carbon, RatesOfTheFurnace_StandOnTheRecordsPoints) {
  for (const auto& [key, steel] : shipped::steels()) {
    const records::Austenitising& a = steel.austenitising;
    EXPECT_EQ(austenite_rate(steel, ac1(steel)), 0) << key;
    EXPECT_EQ(austenite_rate(steel, 20), 0) << key;
    EXPECT_NEAR(austenite_rate(steel, ac1(steel) + a.growth_above_K), 1 / a.growth_time_s, 1e-12) << key;
    EXPECT_NEAR(dissolution_rate(steel, records::StartState::spheroidised, a.dissolution_at_degC),
                1 / a.dissolution_time_spheroidised_s, 1e-12)
        << key;
    EXPECT_NEAR(dissolution_rate(steel, records::StartState::fine_pearlite, a.dissolution_at_degC),
                1 / a.dissolution_time_fine_s, 1e-12)
        << key;
    double before = 0;
    for (double T = 700; T < 1100; T += 5) {
      const double rate = austenite_rate(steel, T);
      ASSERT_TRUE(std::isfinite(rate)) << key;
      ASSERT_GE(rate, before) << key;
      before = rate;
    }
  }
}

// A record's wanted carbon can be reached at the low end of its hardening range within its shortest usual
// soak, else every sound soak would be called a failure.
TEST(Carbon, WantedCarbon_IsReachableAtTheLowEndOfTheRange) {
  for (const auto& [key, steel] : shipped::steels()) {
    const records::Austenitising& a = steel.austenitising;
    const double born = born_carbon(steel), full = saturation_carbon(steel, a.hardening_from_degC);
    const double rate = dissolution_rate(steel, records::StartState::spheroidised, a.hardening_from_degC);
    EXPECT_GT(full - (full - born) * std::exp(-rate * a.soak_from_s), a.carbon_wanted_wt) << key;
    EXPECT_GT(a.hardening_from_degC, ac1(steel) + 40) << key;
  }
}

// --- martensite --------------------------------------------------------------------------------------------

// Koistinen & Marburger 1959, Acta Metall. 7, 59-60.
TEST(Martensite, KoistinenMarburger_MeetsItsFormula) {
  EXPECT_NEAR(martensite_share(220, 20, 0.011), 0.8892, 1e-4);
  EXPECT_EQ(martensite_share(220, 220, 0.011), 0);
  EXPECT_EQ(martensite_share(220, 500, 0.011), 0);
}

// Measured retained austenite of 52100 after 25 min soak (public text quoting an MIT thesis): 8 % at 816, 15
// % at 843, 18 % at 871 degC; +-4. Not fully independent: the Ms formula and alpha were paired on these
// points.
TEST(Martensite, RetainedAusteniteOf52100_MeetsTheMeasuredSeries) {
  const SteelRecord& steel = shipped::steels().at("52100");
  const struct { double T, measured; } series[] = {{816, 8}, {843, 15}, {871, 18}};
  for (const auto& point : series) {
    const double full = saturation_carbon(steel, point.T), born = born_carbon(steel);
    const double rate = dissolution_rate(steel, records::StartState::spheroidised, point.T);
    const double C = full - (full - born) * std::exp(-rate * 25 * 60);
    const double retained = (1 - undissolved_cementite(steel, C)) *
                            (1 - martensite_share(martensite_start(steel, C), 20, martensite_rate(steel, C)));
    EXPECT_NEAR(100 * retained, point.measured, 4) << point.T;
    RecordProperty("retained_" + std::to_string(static_cast<int>(point.T)), std::to_string(100 * retained));
  }
}

// --- Li's law ----------------------------------------------------------------------------------------------

struct Nose {
  double T = 0, time = INFINITY;
};

template <class Rate>
Nose nose(Rate rate) {
  Nose best;
  for (double T = 200; T < 760; T += 0.5)
    if (const double r = rate(T); r > 0 && 1 / r < best.time)
      best = {T, 1 / r};
  return best;
}

// Own arithmetic from the coefficients of Li et al. 1998: 0.79C 0.76Mn 0.2Si, grain 6, Ae1 by Grange. The
// isothermal diagram of 1080 starts at 0.7-1 s (from memory).
TEST(LiLaw, PearliteNoseOf1080_MeetsTheFormula) {
  const SteelRecord steel = plain(wt(0.79, 0.76, 0.2), 6);
  const Decomposition decomposition(steel, 0.79);
  EXPECT_NEAR(decomposition.ae1(), 717, 1);
  const Nose pearlite = nose([&](double T) { return decomposition.pearlite_rate(T); });
  EXPECT_NEAR(pearlite.time, 1.3, 0.04);
  EXPECT_NEAR(pearlite.T, 565, 3);
}

TEST(LiLaw, Factors_ScaleTheTimesAndCarbonShiftsThem) {
  SteelRecord steel = plain(wt(0.79, 0.76, 0.2), 6);
  const Decomposition as_published(steel, 0.79);
  steel.transformation.pearlite_factor = 3;
  steel.transformation.bainite_factor = 0.01;
  const Decomposition fitted(steel, 0.79);
  EXPECT_NEAR(as_published.pearlite_rate(560) / fitted.pearlite_rate(560), 3, 1e-9);
  EXPECT_NEAR(as_published.bainite_rate(400) / fitted.bainite_rate(400), 0.01, 1e-9);
  const Decomposition leaner(steel, 0.70);
  // the carbon factor is what another reference carbon would give; for bainite, with Bs that moves, near its
  // nose
  EXPECT_NEAR(fitted.pearlite_rate(560) * fitted.carbon_factor(Product::pearlite, 0.70),
              leaner.pearlite_rate(560), 1e-9 * leaner.pearlite_rate(560));
  EXPECT_NEAR(fitted.carbon_factor(Product::bainite, 0.79), 1, 1e-12);
  const double nose = fitted.bs() - 125;
  EXPECT_NEAR(fitted.bainite_rate(nose) * fitted.carbon_factor(Product::bainite, 0.70),
              leaner.bainite_rate(nose), 0.001 * leaner.bainite_rate(nose));
  // grain: a coarser one is slower by 2^(0.32 dG) and 2^(0.29 dG) (Li 1998)
  const Decomposition coarser(steel, 0.79, 4.0);
  EXPECT_NEAR(fitted.pearlite_rate(560) / coarser.pearlite_rate(560), std::exp2(0.64), 1e-9);
  EXPECT_NEAR(fitted.grain_factor(Product::pearlite, 4), std::exp2(-0.64), 1e-9);
  EXPECT_NEAR(fitted.bainite_rate(400) / coarser.bainite_rate(400), std::exp2(0.58), 1e-9);
  EXPECT_NEAR(fitted.grain_factor(Product::bainite, 4), std::exp2(-0.58), 1e-9);
}

// Avrami's law: 1 % at clock 1 by definition; 99 % after (ln 0.01 / ln 0.99)^(1/n) times as long; exact
// additivity.
TEST(Progress, Avrami_MeetsItsClosedForm) {
  for (const auto& [key, steel] : shipped::steels()) {
    const auto law = decomposition_law(steel, steel.transformation.matrix.C);
    for (const Product product : {Product::pearlite, Product::bainite}) {
      EXPECT_EQ(law->fraction(product, 0), 0) << key;
      EXPECT_EQ(law->fraction(product, -1), 0) << key;
      EXPECT_NEAR(law->fraction(product, 1), 0.01, 1e-15) << key;
      EXPECT_NEAR(law->clock_at(product, 0.01), 1, 1e-14) << key;
      EXPECT_EQ(law->clock_at(product, 0), 0) << key;
      double before = 0;
      for (double clock = 0.1; clock < 20; clock += 0.1) {
        const double share = law->fraction(product, clock);
        ASSERT_GE(share, before) << key;
        ASSERT_LE(share, 1) << key;
        if (share < 0.999999) {
          ASSERT_NEAR(law->clock_at(product, share), clock, 1e-8) << key;
        }
        before = share;
      }
    }
    const double pearlite = law->clock_at(Product::pearlite, 0.99);
    EXPECT_NEAR(std::pow(pearlite, steel.phases.pearlite_exponent), std::log(0.01) / std::log(0.99), 1e-9);
    // diagrams near the nose of eutectoid steel: 6 to 8 (from memory)
    EXPECT_GT(pearlite, 6) << key;
    EXPECT_LT(pearlite, 8) << key;
  }
}

// Isothermal diagram of 100Cr6 by Kaymak 2007 (dissertation, Magdeburg), as digitised in an open repository:
// times to 99 over those to 1 % of bainite, 240 to 430 degC. Half of them lie above the law's, half below,
// all within a factor of 1.6.
TEST(Progress, BainiteOfBearingSteel_HasTheMeasuredShape) {
  const double ratios[] = {6.03, 6.19, 6.62, 6.47, 6.82, 7.19, 7.53, 7.89, 8.51, 9.04,
                           9.44, 9.99, 10.7, 10.3, 9.49, 9.95, 10.0, 9.96, 10.3, 11.1};
  const SteelRecord& steel = shipped::steels().at("52100");
  const double law = decomposition_law(steel, 0.78)->clock_at(Product::bainite, 0.99);
  int above = 0;
  for (const double ratio : ratios) {
    above += ratio > law ? 1 : 0;
    EXPECT_LT(std::abs(std::log(ratio / law)), std::log(1.6));
  }
  EXPECT_GE(above, 9);
  EXPECT_LE(above, 11);
}

TEST(LiLaw, Rates_AreFiniteAndZeroOutsideTheirRange) {
  for (const auto& [key, steel] : shipped::steels()) {
    const Decomposition decomposition(steel, steel.transformation.matrix.C);
    for (double T = -200; T < 1200; T += 1) {
      const double p = decomposition.pearlite_rate(T), b = decomposition.bainite_rate(T);
      ASSERT_TRUE(std::isfinite(p) && std::isfinite(b)) << key << " " << T;
      ASSERT_EQ(p > 0, T > decomposition.ms() && T < decomposition.ae1()) << key << " " << T;
      ASSERT_EQ(b > 0, T > decomposition.ms() && T < decomposition.bs()) << key << " " << T;
    }
  }
}

} // namespace
} // namespace tq::steel
