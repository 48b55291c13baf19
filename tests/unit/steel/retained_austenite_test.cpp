// Retained austenite: what cold turns, what waiting costs, what the temper takes and what that does to
// hardness.
#include "steel/retained_austenite.hpp"

#include "known_figures.hpp"
#include "shipped.hpp"
#include "steel/hardness.hpp"
#include "steel/temper.hpp"
#include "steel/transformation.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace tq::steel {
namespace {

constexpr double hour = 3600;

// Koistinen & Marburger 1959, Acta Metall. 7, 59-60: austenite left = exp(-0.011 (Ms - T)), by hand for an Ms
// of 196 degC: 0.154 at 20, 0.095 at -18, 0.049 at -78, 0.013 at -196 degC.
TEST(RetainedAustenite, ColdWithoutAPause_GoesOnAlongTheCurve) {
  const double ms = 196, at_room = std::exp(-0.011 * (ms - 20));
  EXPECT_NEAR(at_room, 0.144, 1e-3);
  EXPECT_NEAR(austenite_after_cold(at_room, 1 - at_room, ms, 0.011, -18, 0), 0.095, 1e-3);
  EXPECT_NEAR(austenite_after_cold(at_room, 1 - at_room, ms, 0.011, -78, 0), 0.049, 1e-3);
  EXPECT_NEAR(austenite_after_cold(at_room, 1 - at_room, ms, 0.011, -196, 0), 0.013, 1e-3);
  // with a tenth of carbide beside it, the rest goes on in proportion
  EXPECT_NEAR(austenite_after_cold(0.9 * at_room, 0.9 * (1 - at_room), ms, 0.011, -78, 0), 0.9 * 0.049, 1e-3);
}

// Harris & Cohen 1949 (from memory): the longer the pause, the colder before more martensite forms.
TEST(RetainedAustenite, Pause_CostsPartOfTheColdAndNeverGivesAustenite) {
  EXPECT_DOUBLE_EQ(stabilisation_lag(0), 0);
  EXPECT_NEAR(stabilisation_lag(hour), 10 * std::log10(61.0), 1e-12); // the stated law
  double before = 0;
  for (double wait : {0.0, 60.0, hour, 24 * hour, 30 * 24 * hour}) {
    const double left = austenite_after_cold(0.144, 0.856, 196, 0.011, -78, wait);
    EXPECT_GE(left, before);
    EXPECT_LT(left, 0.144);
    before = left;
  }
  // a day's pause makes a fridge useless
  EXPECT_DOUBLE_EQ(austenite_after_cold(0.144, 0.856, 196, 0.011, 4, 24 * hour), 0.144);
}

// Trade figure for cold treatment of these steels: 1 to 2 HRC (common practice, no source); by hardness of
// the phases 10 % of austenite costs about 60 HV, 1.5 to 2 HRC at 65 HRC (arithmetic).
TEST(RetainedAustenite, DryIceAfterTheReferenceTreatment_GainsOneToTwoRockwellPoints) {
  for (const char* key : {"O1", "52100", "1095"}) {
    const records::SteelRecord& steel = shipped::steels().at(key);
    const ReferenceShares s = reference_shares(steel);
    const double ms = martensite_start(steel, s.carbon_wt);
    const auto hrc = [&](double austenite) {
      const Constituents shares{s.martensite + s.austenite - austenite, austenite, 0, 0, 0, s.cementite};
      return hrc_from_hv(mixture_hv(shares, martensite_hv(steel, s.carbon_wt), steel.hardness));
    };
    const double left =
        austenite_after_cold(s.austenite, s.martensite, ms, martensite_rate(steel, s.carbon_wt), -78, 0);
    EXPECT_GT(hrc(left) - hrc(s.austenite), 0.7) << key;
    EXPECT_LT(hrc(left) - hrc(s.austenite), 2.0) << key;
  }
}

// The reference shares against what is told of these steels: O1 as quenched in oil 7 to 10 % by measurement
// (from memory); 52100 8 to 12 % after short soaks at 845 degC (from
// memory); the shares add up.
TEST(RetainedAustenite, ReferenceTreatment_LeavesWhatIsUsual) {
  for (const auto& [key, steel] : shipped::steels()) {
    const ReferenceShares s = reference_shares(steel);
    EXPECT_NEAR(s.martensite + s.austenite + s.cementite, 1, 1e-12) << key;
    EXPECT_GT(s.austenite, 0.02) << key;
    EXPECT_LT(s.austenite, 0.20) << key;
  }
  EXPECT_NEAR(reference_shares(shipped::steels().at("O1")).austenite, 0.085, 0.015);
  EXPECT_NEAR(reference_shares(shipped::steels().at("52100")).austenite, 0.10, 0.02);
}

// The published table is the hardness of the whole steel. With the austenite followed apart, the reference
// treatment must still give it back as printed. Computed as quenched some steels are softer than the sheet by
// up to 2 HRC (README.md beside this file); where the table is harder than that, up to 177 degC, the steel is
// as hard as quenched.
TEST(TemperOfMartensite, ReferenceTreatment_GivesTheTableBack) {
  for (const auto& [key, steel] : shipped::steels()) {
    const records::TemperCurve& curve = steel.temper;
    const ReferenceShares s = reference_shares(steel);
    const double quenched = mixture_hv({s.martensite, s.austenite, 0, 0, 0, s.cementite},
                                       martensite_hv(steel, s.carbon_wt), steel.hardness);
    const TemperResponse table(curve);
    for (double T = curve.temperature_degC.front(); T <= curve.temperature_degC.back(); T += 1) {
      const double printed = hrc_from_hv(hv_from_hrc(curve.as_quenched_HRC) *
                                         table.factor(hollomon_jaffe(T, curve.hold_s, curve.hj_constant_h)));
      const double computed = whole_hrc(steel, s, T, curve.hold_s);
      if (T >= 200) {
        EXPECT_NEAR(computed, printed, 0.1) << key << " " << T;
      } else {
        EXPECT_LE(computed, std::max(printed, hrc_from_hv(quenched)) + 0.1) << key << " " << T;
        EXPECT_GE(computed, std::min(printed, hrc_from_hv(quenched)) - 0.1) << key << " " << T;
      }
    }
  }
}

TEST(TemperOfMartensite, Factor_FallsFromOneWithoutRising) {
  for (const auto& [key, steel] : shipped::steels()) {
    const TemperResponse response = TemperResponse::of_martensite(steel);
    double before = 1;
    for (double parameter = 0; parameter < 25000; parameter += 5) {
      ASSERT_LE(response.factor(parameter), before + 1e-12) << key << " " << parameter;
      before = response.factor(parameter);
    }
  }
}

// 52100, 25 min at 816, 843, 871 degC: 8, 15, 18 % retained austenite measured (public text quoting an MIT
// thesis); 232 degC removed it, lower did not (data sheet). After an hour at 232 degC less than one point in
// all three; at 177 degC more than nine tenths are still there.
TEST(RetainedAustenite, Steel52100_LosesItAt232DegC) {
  for (double measured : {8.0, 15.0, 18.0}) {
    EXPECT_LT(measured * austenite_left(hour * austenite_decomposition_rate(232)), 1.0);
    EXPECT_GT(measured * austenite_left(hour * austenite_decomposition_rate(177)), 0.9 * measured);
  }
}

// Bearing practice (from memory): most of the austenite is still there after 2 to 4 h at 200 to 210 degC,
// none after 2 h at 240 degC. Two tempers of 2 h count as one of 4 h.
TEST(RetainedAustenite, BearingPractice_KeepsItAt205AndLosesItAt240) {
  for (double T : {200.0, 205.0, 210.0})
    for (double hours : {2.0, 4.0})
      EXPECT_GT(austenite_left(hours * hour * austenite_decomposition_rate(T)), 0.5) << T << " " << hours;
  EXPECT_LT(austenite_left(2 * hour * austenite_decomposition_rate(240)), 0.01);
  EXPECT_NEAR(temper_cycles(205, 2 * hour, 2, 16).back().austenite_left,
              temper_cycles(205, 4 * hour, 1, 16).back().austenite_left, 1e-12);
}

// No temper hardens but by what its austenite turns to.
TEST(TemperOfMartensite, NoTemper_HardensBeyondItsAustenite) {
  for (const auto& [key, steel] : shipped::steels()) {
    const ReferenceShares s = reference_shares(steel);
    const Constituents quenched{s.martensite, s.austenite, 0, 0, 0, s.cementite};
    const double fresh = mixture_hv(quenched, martensite_hv(steel, s.carbon_wt), steel.hardness);
    const TemperResponse response = TemperResponse::of_martensite(steel);
    for (double T = 20; T <= 650; T += 5) {
      const Tempered t = temper_cycles(T, hour, 1, steel.temper.hj_constant_h).back();
      const double gain = s.austenite * (1 - t.austenite_left) *
                          (steel.hardness.bainite_HV - steel.hardness.retained_austenite_HV);
      EXPECT_LE(tempered_hv(steel, response, quenched, s.carbon_wt, t), fresh + gain + 1e-9)
          << key << " " << T;
    }
  }
}

} // namespace
} // namespace tq::steel
