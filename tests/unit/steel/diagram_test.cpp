// Diagrams, the rules for a steel known by its composition, and published formulas against printed figures.
#include "steel/diagram.hpp"

#include "known_figures.hpp"
#include "shipped.hpp"
#include "steel/bare_steel.hpp"
#include "steel/formulas.hpp"
#include "steel/hardness.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

namespace tq::steel {
namespace {

using records::Composition;
using records::SteelRecord;

const SteelRecord& shipped_steel(const std::string& key) { return shipped::steels().at(key); }

Decomposition decomposition(const SteelRecord& steel) {
  return Decomposition(steel, steel.transformation.matrix.C);
}

// --- published formulas ------------------------------------------------------------------------------------

// Andrews 1965, JISI 203, 721-727, own arithmetic: 0.40C 0.70Mn 1.0Cr 0.2Mo 0.25Si.
TEST(Formulas, MsOfChromiumMolybdenumSteel_Andrews) {
  Composition wt;
  wt.Mn = 0.70;
  wt.Si = 0.25;
  wt.Cr = 1.0;
  wt.Mo = 0.2;
  EXPECT_NEAR(ms_andrews(wt, 0.40, false), 334.9, 0.1);
  EXPECT_NEAR(ms_andrews(wt, 0.40), 333.0, 0.1); // with the silicon of Kung & Rayment 1982
}

// van Bohemen 2012, Mater. Sci. Technol. 28, 487-495, own arithmetic: 0.80C 0.4Mn 0.2Si.
TEST(Formulas, MartensiteRate_VanBohemen) {
  Composition wt;
  wt.Mn = 0.4;
  wt.Si = 0.2;
  EXPECT_NEAR(martensite_rate_van_bohemen(wt, 0.80), 0.01299, 2e-5);
}

// Computed from the SGTE Fe-C description (Gustafson 1985).
TEST(Formulas, A3Line_MeetsTheComputedDiagram) {
  EXPECT_NEAR(carbon_on_a3(780), 0.435, 0.01);
  EXPECT_NEAR(carbon_on_a3(727), 0.758, 0.01);
  EXPECT_NEAR(carbon_on_a3(860), 0.125, 0.01);
  EXPECT_NEAR(a3_temperature(0.435), 780, 1);
  EXPECT_NEAR(a3_temperature(0.95), 727, 1e-6);
}

// Constants in public transcriptions of Kirkaldy & Venugopalan 1984, in Phase Transformations in Ferrous
// Alloys, AIME, 125-148.
TEST(Formulas, KirkaldyIntegral_MeetsThePrintedConstants) {
  EXPECT_NEAR(kirkaldy_progress(0.001), 0.29962, 1e-4);
  EXPECT_NEAR(kirkaldy_progress(0.01), 0.64062, 1e-4);
  EXPECT_NEAR(kirkaldy_progress(0.5), 2.17945, 1e-4);
  EXPECT_NEAR(kirkaldy_progress(0.99), 3.71828, 1e-4);
  EXPECT_NEAR(kirkaldy_progress(0.999), 4.05929, 1e-4);
}

// Own arithmetic of the same: nose of 1080 (0.79C 0.76Mn 0.2Si, grain 6) 0.86 s at 565 degC.
TEST(Formulas, KirkaldyNoseOf1080_MeetsTheFormula) {
  Composition wt;
  wt.C = 0.79;
  wt.Mn = 0.76;
  wt.Si = 0.20;
  double T_nose = 0, least = INFINITY;
  for (double T = 450; T < 700; ++T)
    if (const double t = kirkaldy_pearlite_time(wt, 6, ae1_grange(wt), T, 0.01); t < least) {
      least = t;
      T_nose = T;
    }
  EXPECT_NEAR(least, 0.86, 0.03);
  EXPECT_NEAR(T_nose, 565, 5);
}

// Maynier, Dollet & Bastien 1978, AIME: 0.40C 0.25Si 0.70Mn 1Cr, 1e5 degC/h at 700 degC: 642 HV, 57.5 HRC.
TEST(Formulas, MartensiteHardness_Maynier) {
  Composition wt;
  wt.C = 0.40;
  wt.Si = 0.25;
  wt.Mn = 0.70;
  wt.Cr = 1.0;
  EXPECT_NEAR(martensite_hv_maynier(wt, 1e5 / 3600), 642, 1);
  EXPECT_NEAR(hrc_from_hv(martensite_hv_maynier(wt, 1e5 / 3600)), 57.5, 0.1);
  wt.C =
      0.5; // and the curve of the model, which follows ASTM A255 there, agrees near its upper end to 1.5 HRC
  EXPECT_NEAR(hrc_from_hv(martensite_hv(0.5)), hrc_from_hv(martensite_hv_maynier(wt, 1e5 / 3600)), 1.5);
}

// --- diagram -----------------------------------------------------------------------------------------------

TEST(Diagram, Rows_RunFromAe1ToMsAndFinishAfterTheyStart) {
  for (const auto& [key, steel] : shipped::steels()) {
    const Decomposition d = decomposition(steel);
    const std::vector<DiagramRow> rows = isothermal_diagram(d, 20);
    ASSERT_GT(rows.size(), 20U) << key;
    EXPECT_LT(rows.front().T, d.ae1());
    EXPECT_GT(rows.back().T, d.ms());
    EXPECT_GT(rows.front().T, d.ae1() - 22);
    for (const DiagramRow& row : rows) {
      EXPECT_LT(row.pearlite.start_s, row.pearlite.half_s) << key;
      EXPECT_LT(row.pearlite.half_s, row.pearlite.finish_s) << key;
      EXPECT_EQ(std::isfinite(row.bainite.start_s), row.T < d.bs()) << key;
      EXPECT_NEAR(row.pearlite.finish_s / row.pearlite.start_s, d.clock_at(Product::pearlite, 0.99), 1e-9)
          << key;
    }
  }
}

TEST(Diagram, Nose_IsTheLeastOfTheStartCurve) {
  for (const auto& [key, steel] : shipped::steels()) {
    const Decomposition d = decomposition(steel);
    const Nose p = pearlite_nose(d), b = bainite_nose(d);
    for (const DiagramRow& row : isothermal_diagram(d, 1)) {
      ASSERT_GE(row.pearlite.start_s, p.time_s * (1 - 1e-9)) << key << row.T;
      ASSERT_GE(row.bainite.start_s, b.time_s * (1 - 1e-9)) << key << row.T;
    }
    EXPECT_NEAR(1 / d.pearlite_rate(p.T), p.time_s, 1e-9 * p.time_s);
  }
}

// Cooling at the critical rate forms 1 % of the one reaction; at that of both, 1 % in all.
TEST(Diagram, CriticalRate_FormsOnePerCent) {
  for (const auto& [key, steel] : shipped::steels()) {
    const Decomposition d = decomposition(steel);
    const CriticalRate c = critical_rate(d);
    const CoolingResult all = cool_at_constant_rate(d, 0.011, c.both);
    EXPECT_NEAR(all.pearlite + all.bainite, 0.01, 2e-4) << key;
    EXPECT_GE(c.both, std::max(c.pearlite, c.bainite)) << key;
    EXPECT_LE(c.both, c.pearlite + c.bainite) << key;
    const CoolingResult faster = cool_at_constant_rate(d, 0.011, 1.02 * std::max(c.pearlite, c.bainite));
    EXPECT_TRUE(std::isnan(faster.pearlite_start_degC)) << key;
    EXPECT_TRUE(std::isnan(faster.bainite_start_degC)) << key;
    const CoolingResult slower = cool_at_constant_rate(d, 0.011, 0.5 * std::min(c.pearlite, c.bainite));
    EXPECT_LT(slower.pearlite_start_degC, d.ae1()) << key;
    EXPECT_GT(slower.pearlite_start_degC, d.ms()) << key;
  }
}

TEST(Diagram, ContinuousCooling_KeepsTheBalanceAndGoesFromMartensiteToPearlite) {
  const SteelRecord& steel = shipped_steel("1084");
  const Decomposition d = decomposition(steel);
  double before = 2;
  for (double rate : {1000.0, 300.0, 100.0, 30.0, 10.0, 1.0}) {
    const CoolingResult r = cool_at_constant_rate(d, 0.011, rate);
    EXPECT_NEAR(r.pearlite + r.bainite + r.martensite + r.austenite, 1, 1e-12);
    EXPECT_LE(r.martensite, before);
    before = r.martensite;
  }
  const CoolingResult slow = cool_at_constant_rate(d, 0.011, 1.0);
  EXPECT_NEAR(slow.pearlite, 1, 0.01);
  EXPECT_LT(cool_at_constant_rate(d, 0.011, 1000).pearlite, 0.003);
}

// Continuous cooling of eutectoid steel (textbook diagrams, from memory): at 35 K/s all turns to pearlite, at
// 140 K/s none does.
TEST(Diagram, ContinuousCoolingOfEutectoidSteel_IsTheTextbooks) {
  const SteelRecord& steel = shipped_steel("1084");
  const Decomposition d(steel, 0.80);
  const CoolingResult slow = cool_at_constant_rate(d, 0.011, 35), fast = cool_at_constant_rate(d, 0.011, 140);
  std::printf("1084, 0.80 %%C in solution: 35 K/s %.3f pearlite %.3f bainite; 140 K/s %.4f %.4f\n",
              slow.pearlite, slow.bainite, fast.pearlite, fast.bainite);
  EXPECT_GE(slow.pearlite, 0.90);
  EXPECT_LE(fast.pearlite + fast.bainite, 0.05);
}

// --- steels known by their composition, beside what is known
// ------------------------------------------------

TEST(BareSteel, PearliteRule_IsTheFitOverTheShippedSteels) {
  double level = 0, sum = 0;
  int n = 0, inside = 0;
  for (const auto& [key, steel] : shipped::steels()) {
    const double miss = std::log(rule_without(key) / steel.transformation.pearlite_factor) -
                        0.32 * std::log(2.0) * (rule_grain_number - steel.transformation.grain_number);
    std::printf("%-8s factor of the rule without it over its own: %.2f\n", key.c_str(), std::exp(miss));
    EXPECT_LT(std::abs(miss), std::log(pearlite_rule_band(steel.transformation.matrix))) << key;
    inside += std::abs(miss) < std::log(2.5) ? 1 : 0;
    if (beyond_a255(key)) {
      continue;
    }
    EXPECT_LT(std::abs(miss), std::log(1.5)) << key; // the band is a factor 2.5
    level += over_the_rule(steel);
    sum += miss * miss;
    ++n;
  }
  EXPECT_NEAR(level / n, 0, 0.02);
  std::printf("rms a factor %.2f\n", std::exp(std::sqrt(sum / n)));
  EXPECT_LT(std::sqrt(sum / n), std::log(1.3));
  EXPECT_EQ(inside, 10) << "nine in ten of eleven";
}

// The eutectoid steel of the textbook diagrams by its analysis alone, 0.79 %C and 0.76 %Mn, as the diagram is
// labelled (from memory): all pearlite at 35 K/s, none at 140 K/s. Nothing of it took part but by record
// 1084. With 0.2 %Si, which the label leaves out and ASTM A255 counts with a third of the time, 76 % turn at
// 35 K/s.
TEST(BareSteel, EutectoidSteelByAnalysis_CoolsAsTheTextbooksHaveIt) {
  const TemperModel model =
      read_temper_model(shipped::text_of(shipped::materials() / "temper_model.toml"), "temper_model.toml");
  Composition wt;
  wt.C = 0.79;
  wt.Mn = 0.76;
  for (const double Si : {0.0, 0.2}) {
    wt.Si = Si;
    const Decomposition d = decomposition(bare_steel(wt, shipped::phases(), model).record);
    const CoolingResult slow = cool_at_constant_rate(d, 0.011, 35),
                        fast = cool_at_constant_rate(d, 0.011, 140);
    std::printf(
        "C 0.79 Mn 0.76 Si %.1f: nose %.2f s; 35 K/s %.3f pearlite; 140 K/s %.3f pearlite and bainite\n", Si,
        pearlite_nose(d).time_s, slow.pearlite, fast.pearlite + fast.bainite);
    EXPECT_GE(slow.pearlite, Si > 0 ? 0.70 : 0.90);
    EXPECT_LE(fast.pearlite + fast.bainite, 0.05);
  }
}

// The independent comparison: the nose and the critical rate of each steel with the factor that the others
// give it (nothing of its own was used), and Ms, to which nothing was fitted. Rate within a factor 1.3 of the
// known range (left out the rule misses by less; its band is 2.5), Ms within 15 K.
TEST(BareSteel, LeftOutSteels_MeetTheKnownRatesAndMs) {
  std::printf("%-6s | %22s %9s | %20s %9s | %9s %7s\n", "steel", "nose fitted / left out", "known",
              "K/s fitted / left out", "known", "Ms at C", "known");
  for (const Known& k : known) {
    const SteelRecord& own = shipped_steel(k.key);
    SteelRecord left_out = own;
    left_out.transformation.grain_number = rule_grain_number;
    left_out.transformation.pearlite_factor = rule_without(k.key);
    const Decomposition fitted = decomposition(own), blind = decomposition(left_out);
    const double rate = critical_rate(blind).pearlite, ms = martensite_start(own, k.ms_carbon);
    std::printf("%-6s | %8.2f / %8.2f s %4g-%-4g | %9.0f / %8.0f %4g-%-4g | %4.0f %.2f %g-%g\n", k.key,
                pearlite_nose(fitted).time_s, pearlite_nose(blind).time_s, k.nose_from, k.nose_to,
                critical_rate(fitted).pearlite, rate, k.rate_from, k.rate_to, ms, k.ms_carbon, k.ms_from,
                k.ms_to);
    EXPECT_GT(pearlite_nose(blind).time_s, 0.5 * k.nose_from) << k.key;
    EXPECT_LT(pearlite_nose(blind).time_s, 2 * k.nose_to) << k.key;
    if (k.rate_to > 0) {
      EXPECT_GT(rate, k.rate_from / 1.3) << k.key;
      EXPECT_LT(rate, 1.3 * k.rate_to) << k.key;
    }
    EXPECT_GT(ms, k.ms_from - 15) << k.key;
    EXPECT_LT(ms, k.ms_to + 15) << k.key;
  }
}

TEST(BareSteel, Record_IsSoundAndNearTheShippedOne) {
  const TemperModel model =
      read_temper_model(shipped::text_of(shipped::materials() / "temper_model.toml"), "temper_model.toml");
  for (const auto& [key, steel] : shipped::steels()) {
    const BareSteel bare = bare_steel(steel.composition, shipped::phases(), model);
    EXPECT_TRUE(bare.outside.empty()) << key;
    const records::Austenitising& a = bare.record.austenitising;
    EXPECT_NEAR(0.5 * (a.hardening_from_degC + a.hardening_to_degC),
                0.5 * (steel.austenitising.hardening_from_degC + steel.austenitising.hardening_to_degC), 30)
        << key;
    EXPECT_NEAR(bare.record.transformation.matrix.C, steel.transformation.matrix.C, 0.08) << key;
    const Nose own = pearlite_nose(decomposition(steel)), rule = pearlite_nose(decomposition(bare.record));
    std::printf("%-8s nose %.2f s, by composition %.2f s; hardening %.0f degC, matrix C %.2f\n", key.c_str(),
                own.time_s, rule.time_s, a.hardening_from_degC + 10, bare.record.transformation.matrix.C);
    EXPECT_LT(std::abs(std::log(rule.time_s / own.time_s)),
              std::log(bare.record.transformation.factor_uncertainty))
        << key;
    EXPECT_FALSE(bare.record.provenance.empty());
  }
  Composition strange;
  strange.C = 1.5;
  strange.Cr = 12;
  EXPECT_EQ(bare_steel(strange, shipped::phases(), model).outside.size(), 3U); // C, Mn (none), Cr
}

} // namespace
} // namespace tq::steel
