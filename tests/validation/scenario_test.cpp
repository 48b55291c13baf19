// Scenarios of the shop (tests/scenarios/*.toml) with the outcome that an experienced heat treater expects.
// Basis of the bands: common practice, no published source, unless a line says otherwise. Where the model and
// the expectation part, the test holds the model's own figure and the comment says why.
#include "../support/file_records.hpp"
#include "../support/readme_table.hpp"
#include "answers/bands.hpp"
#include "answers/executor.hpp"
#include "answers/risks.hpp"
#include "steel/hardness.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

namespace {

using namespace tq;
using answers::Verdict;

struct Outcome {
  treatment::Case given;
  std::vector<treatment::Run> runs;
  answers::Answers answers;
  const answers::ZoneAnswer& zone(treatment::Zone z) const { return answers.stations.front().zones[z]; }
};

Outcome outcome(const std::string& name, const std::function<void(treatment::Case&)>& change = {}) {
  const std::string path = TQ_SOURCE_DIR "/tests/scenarios/" + name + ".toml";
  Outcome o;
  o.given = treatment::read_case(test::read_file(path).value(), name + ".toml", test::FileRecords());
  if (change)
    change(o.given);
  o.answers = answers::answer(o.given, o.runs);
  return o;
}

/// The answers as the program gives them: judged by draws from what a shop does not know.
answers::Answers by_draws(const Outcome& o) {
  answers::SerialExecutor executor;
  return answers::judged_by(o.answers, answers::bands(o.given, o.answers, {64, 1, false}, executor));
}

/// The coldest place as the furnace opens.
double pulled_degC(const Outcome& o) {
  const auto& T = o.runs.front().after_furnace.temperature;
  return *std::min_element(T.begin(), T.end());
}

/// Martensite and retained austenite as a share of all that was austenite.
double hardened_share(const answers::ZoneAnswer& z) {
  const double hardened = z.martensite + z.retained_austenite;
  return hardened / (hardened + z.transformed);
}

/// The 1095 blade that came late to its oil, with the nose of its pearlite [s] elsewhere in the published
/// range (0.5-0.8 s at 540 degC, Atlas of Isothermal Transformation Diagrams, from memory; the record stands
/// at 0.59 s, between it and the critical rate).
Outcome slow_transfer_with_nose(double nose_s) {
  return outcome("b_slow_transfer",
                 [&](treatment::Case& c) { c.steel.transformation.pearlite_factor *= nose_s / 0.59; });
}

TEST(Scenario, Clean_LandsInEveryBand) {
  const Outcome o = outcome("a_clean");
  EXPECT_EQ(o.answers.soak.verdict, Verdict::pass);
  EXPECT_EQ(o.answers.quench.verdict, Verdict::pass);
  EXPECT_EQ(o.answers.hardness.verdict, Verdict::pass);
  for (const auto& z : o.answers.stations.front().zones) {
    // of what was austenite; the 2.5 % of carbide never dissolved is no failure of the quench
    EXPECT_GT(hardened_share(z), 0.98) << z.name;
    EXPECT_LT(z.transformed, 0.02) << z.name;
    EXPECT_GE(z.as_quenched_HRC, 64) << z.name;
    // expected 64-65; two data sheets have 65.0, one 64 to 65, and a tester cannot tell half a point
    EXPECT_LE(z.as_quenched_HRC, 65.5) << z.name;
    EXPECT_GE(z.tempered_HRC, 60.5) << z.name;
    EXPECT_LE(z.tempered_HRC, 62) << z.name;
    EXPECT_GE(z.retained_austenite, 0.08) << z.name;
    EXPECT_LE(z.retained_austenite, 0.14) << z.name;
    EXPECT_GT(z.rate_margin, 2) << z.name; // "margin large"
  }
}

TEST(Scenario, SlowTransfer_EdgeIsTheZoneAndTransferTheCause) {
  const Outcome o = outcome("b_slow_transfer");
  const auto& edge = o.zone(treatment::zone_edge);
  EXPECT_GT(edge.into_bath_degC, 615); // expected "about 620-640" after 7 to 8 s
  EXPECT_LT(edge.into_bath_degC, 640);
  EXPECT_EQ(edge.hardens.verdict, Verdict::fail); // expected
  EXPECT_NE(edge.hardens.reason.text().find("transfer"), std::string::npos);
  EXPECT_EQ(o.zone(treatment::zone_spine).hardens.verdict, Verdict::pass);
  EXPECT_EQ(by_draws(o).stations.front().zones[treatment::zone_edge].hardens.verdict, Verdict::fail);
  // with the slowest of the published noses less of it turns
  EXPECT_LT(slow_transfer_with_nose(0.8).zone(treatment::zone_edge).transformed, 0.5 * edge.transformed);
}

// Bright cools "roughly half" as fast (common practice), which cures the edge as long as it stays bright; out
// of foil it scales in the first seconds.
TEST(Scenario, SlowTransfer_SteelKeptBrightOrTwoSecondsCureTheEdge) {
  const auto kept = [](treatment::Case& c) { c.surface.emissivity_scaled = c.surface.emissivity_air; };
  for (const Outcome& o : {outcome("b_slow_transfer_bright", kept), outcome("b_cure")}) {
    EXPECT_EQ(o.zone(treatment::zone_edge).hardens.verdict, Verdict::pass);
    EXPECT_GT(o.zone(treatment::zone_edge).transfer_to_spare_s, 1);
  }
  const double scaled = outcome("b_slow_transfer").zone(treatment::zone_edge).into_bath_degC,
               grown = outcome("b_slow_transfer_bright").zone(treatment::zone_edge).into_bath_degC,
               bright = outcome("b_slow_transfer_bright", kept).zone(treatment::zone_edge).into_bath_degC;
  EXPECT_GT(grown, scaled);
  EXPECT_LT(grown, 0.5 * (scaled + bright)) << "seven of 7.5 s under a film";
}

TEST(Scenario, Undersoaked_FailsTheSoakInLooseFoil) {
  for (const char* name : {"d_undersoaked", "d_undersoaked_bright"}) {
    const Outcome o = outcome(name);
    EXPECT_EQ(o.answers.soak.verdict, Verdict::fail) << name;
    EXPECT_EQ(o.answers.quench.verdict, Verdict::pass) << name;
    // expected cure: 35 to 45 min from door-close
    EXPECT_GE(o.answers.stations.front().timer_from_door_s / 60, 35) << name;
    EXPECT_LE(o.answers.stations.front().timer_from_door_s / 60, 45) << name;
  }
  const double pulled = pulled_degC(outcome("d_undersoaked_bright"));
  EXPECT_GT(pulled, 745); // expected "745-780 when pulled"
  EXPECT_LT(pulled, 780);
}

TEST(Scenario, Undersoaked_TighterFoilIsOnlyMarginal) {
  for (const char* name : {"d_undersoaked_tighter", "d_undersoaked_bright_tighter"})
    EXPECT_EQ(outcome(name).answers.soak.verdict, Verdict::marginal) << name;
}

// Expected a body of 58-60 HRC, no source. Two data sheets of O1 have 60 HRC after 260 degC (1 h; 2 h per
// inch), and this oven does as much as an hour at 251 degC: README.md beside this file says what follows. The
// sheets' own doubt is 1 HRC.
TEST(Scenario, HotOven_BodyIsSoftAndTheQuenchIsNotToBlame) {
  const Outcome o = outcome("e_hot_oven");
  EXPECT_EQ(o.answers.quench.verdict, Verdict::pass);
  const auto& middle = o.zone(treatment::zone_middle);
  EXPECT_NEAR(middle.tempered_HRC, 60 + 2.0 / 56 * (260 - 251),
              0.2); // the sheet between 62 at 204 and 60 at 260
  EXPECT_GE(middle.tempered_HRC, 58);
  EXPECT_LE(middle.tempered_HRC, 60 + 1);
  // twice 2 h at 205 degC do as much as an hour at 223 (Hollomon & Jaffe, 16 h): softer than the clean blade
  // by what the sheet says between 223 and 251 degC, 1.0 HRC
  EXPECT_NEAR(outcome("a_clean").zone(treatment::zone_middle).tempered_HRC - middle.tempered_HRC,
              2.0 / 56 * (251 - 223), 0.2);
}

TEST(Scenario, Overheated_PointsAtTheFurnace) {
  const Outcome o = outcome("f_overheated_room"); // judged at room temperature
  EXPECT_EQ(o.answers.soak.verdict, Verdict::marginal);
  EXPECT_NE(o.answers.soak.reason.text().find("check the furnace, not the oil"), std::string::npos);
  for (const auto& z : o.answers.stations.front().zones) {
    EXPECT_GE(z.retained_austenite, 0.18) << z.name;
    EXPECT_LE(z.retained_austenite, 0.28) << z.name;
    EXPECT_GE(z.as_quenched_HRC, 62) << z.name;
    EXPECT_LE(z.as_quenched_HRC, 63) << z.name; // expected 62-63
  }
  // stopped at 65 degC there is more austenite and less hardness
  const Outcome warm = outcome("f_overheated");
  EXPECT_GT(warm.zone(treatment::zone_middle).retained_austenite,
            o.zone(treatment::zone_middle).retained_austenite + 0.05);
}

TEST(Scenario, OneSidedSlicerAndThickHotBlade_HardenWhateverElseTheyDo) {
  // expected: hardness passes in both
  const Outcome slicer = outcome("g_slicer_one_sided");
  EXPECT_EQ(slicer.answers.quench.verdict, Verdict::pass) << slicer.answers.quench.reason.text();
  const Outcome thick = outcome("h_thick_hot_fast_oil");
  EXPECT_EQ(thick.answers.quench.verdict, Verdict::pass) << thick.answers.quench.reason.text();
  EXPECT_EQ(thick.answers.soak.verdict,
            Verdict::marginal); // 24 K over the usual range: coarse and austenitic
}

TEST(Scenario, OneSidedSlicer_BowsByOneToFourMillimetres) {
  const Outcome o = outcome("g_slicer_one_sided");
  const answers::Risks r = answers::risks(o.given, o.answers);
  ASSERT_EQ(r.stations.size(), 1U);
  const answers::BowAnswer& b = r.stations.front();
  EXPECT_GT(b.bow_m, 1e-3);
  EXPECT_LT(b.bow_m, 4e-3);
  EXPECT_EQ(r.bow.verdict, Verdict::fail) << r.bow.reason.text(); // expected: warp HIGH
  EXPECT_NE(b.advice.find("bevel after hardening"), std::string::npos);
}

TEST(Scenario, CleanBlade_BowsByLessThanThreeTenths) {
  const Outcome o = outcome("a_clean");
  const answers::Risks r = answers::risks(o.given, o.answers);
  EXPECT_LT(r.stations.front().high_m, 0.3e-3);
  EXPECT_EQ(r.bow.verdict, Verdict::pass) << r.bow.reason.text();
  EXPECT_EQ(r.crack.crack.verdict, Verdict::pass) << r.crack.crack.reason.text();
}

TEST(Scenario, SharpShoulderInHotFastQuenchLeftOvernight_InvitesACrack) {
  const Outcome o = outcome("h_thick_hot_fast_oil");
  const answers::CrackAnswer crack = answers::risks(o.given, o.answers).crack;
  EXPECT_EQ(crack.crack.verdict, Verdict::fail) << crack.crack.reason.text(); // expected: crack flag HIGH
  for (const char* key : {"notch", "scratches", "bath", "soak", "delay"})
    EXPECT_TRUE(std::any_of(crack.flags.begin(), crack.flags.end(), [&](const answers::CrackFlag& f) {
      return f.key == key && f.level != answers::CrackLevel::note;
    })) << key;
}

TEST(CommonPractice, O1TemperedAt246_EndsAt58To61) {
  // no published source: the rule of thumb says 58, data sheets 60
  const Outcome o = outcome("o1_246");
  for (const auto& z : o.answers.stations.front().zones) {
    EXPECT_GE(z.tempered_HRC, 58) << z.name;
    EXPECT_LE(z.tempered_HRC, 61) << z.name;
  }
}

TEST(CommonPractice, ThinBladeInPressedFoil_HardensInItsFoil) {
  // no published source
  const Outcome o = outcome("foil_on");
  const treatment::Run& run = o.runs.front();
  const auto bath = std::find_if(run.spans.begin(), run.spans.end(),
                                 [](const auto& s) { return s.part == treatment::Part::bath; });
  ASSERT_NE(bath, run.spans.end());
  EXPECT_NEAR(bath->to_s - bath->from_s, 30, 1e-9);
  const auto at = std::find(run.time_s.begin(), run.time_s.end(), bath->to_s) - run.time_s.begin();
  ASSERT_LT(at, static_cast<std::ptrdiff_t>(run.time_s.size()));
  EXPECT_LT(run.outer_surface_max_degC[static_cast<std::size_t>(at)], 150);
  for (const auto& zone : run.zones)
    EXPECT_LT(zone.temperature[static_cast<std::size_t>(at)], 160) << zone.name;
  for (const auto& z : o.answers.stations.front().zones) {
    EXPECT_GT(hardened_share(z), 0.98) << z.name;
  }
}

TEST(CommonPractice, PreheatEvensOutAWrappedBlade) {
  // no published source: 20 min at 677 degC, gaps up to 0.5 mm
  for (double gap : {2.5e-5, 3e-4, 5e-4}) {
    const Outcome o = outcome("preheat", [gap](treatment::Case& c) { c.wrap.gap_m.fill(gap); });
    const auto& T = o.runs.front().after_furnace.temperature;
    const auto [least, most] = std::minmax_element(T.begin(), T.end());
    EXPECT_LT(*most - *least, 1) << "gap " << gap << " m";
    EXPECT_EQ(o.answers.soak.verdict, Verdict::not_asked);
  }
}

// The table of README.md: what is expected, what the program says.
TEST(EveryScenario, TableInTheReadme_IsTrue) {
  using treatment::zone_edge, treatment::zone_middle, treatment::zone_spine;
  const auto verdicts = [](const Outcome& o) {
    return test::line("soak %s, quench %s, hardness %s", verdict_name(o.answers.soak.verdict),
                      verdict_name(o.answers.quench.verdict), verdict_name(o.answers.hardness.verdict));
  };
  std::string t = "| Scenario | Expected | Computed | Reason that the program gives |\n|---|---|---|---|\n";
  const auto add = [&](const char* name, const char* expected, const Outcome& o, const std::string& figures,
                       const std::string& reason) {
    std::string said = verdicts(o);
    said.pop_back();
    t +=
        "| " + std::string(name) + " | " + expected + " | " + said + "; " + figures + " | " + reason + " |\n";
  };
  const auto text = [](const char* pattern, auto... values) {
    std::string out = test::line(pattern, values...);
    out.pop_back();
    return out;
  };
  {
    const Outcome o = outcome("a_clean");
    const auto& z = o.zone(zone_middle);
    add("O1, everything right", "all pass; over 98 % hardened, 64-65 HRC, tempered 60.5-62, 8-14 % austenite",
        o,
        text("%.1f %% hardened, %.1f HRC, tempered %.1f, %.0f %% austenite", 100 * hardened_share(z),
             z.as_quenched_HRC, z.tempered_HRC, 100 * z.retained_austenite),
        "");
  }
  for (const double nose_s : {0.59, 0.5, 0.8}) {
    const Outcome o = slow_transfer_with_nose(nose_s);
    const auto& edge = o.zone(zone_edge);
    add(nose_s == 0.59 ? "1095, scaled, 7.5 s in the air" : "the same",
        "edge FAIL at 620-640 degC, by the transfer", o,
        text("nose of the pearlite at %.2f s: edge %s, %.0f degC into the oil, %.0f %% pearlite, %.0f HRC",
             nose_s, verdict_name(edge.hardens.verdict), edge.into_bath_degC, 100 * edge.transformed,
             edge.as_quenched_HRC),
        edge.hardens.reason.text() +
            (nose_s == 0.59
                 ? text("; by draws the edge is %s",
                        verdict_name(by_draws(o).stations.front().zones[zone_edge].hardens.verdict))
                 : ""));
  }
  {
    const Outcome o = outcome("b_cure");
    add("the same, in the oil after 2 s", "cured", o,
        text("edge %.0f degC into the oil, %.1f %% pearlite", o.zone(zone_edge).into_bath_degC,
             100 * o.zone(zone_edge).transformed),
        "");
  }
  {
    const Outcome o = outcome("d_undersoaked");
    add("O1, two loose layers of foil, 15 min from the door", "soak FAIL at 745-780 degC; 35-45 min would do",
        o,
        text("%.0f degC when pulled, %.0f min from the door would do", pulled_degC(o),
             o.answers.stations.front().timer_from_door_s / 60),
        o.answers.soak.reason.text());
  }
  {
    const Outcome o = outcome("e_hot_oven");
    add("O1, oven swings 190-265 degC", "quench passes, the temper does not: body 58-60 HRC", o,
        text("body %.1f HRC", o.zone(zone_middle).tempered_HRC), o.answers.hardness.reason.text());
  }
  {
    const Outcome o = outcome("f_overheated_room");
    add("O1 at 850 degC for 40 min", "MARGINAL, check the furnace; 62-63 HRC, 18-28 % austenite", o,
        text("%.1f HRC, %.0f %% austenite", o.zone(zone_middle).as_quenched_HRC,
             100 * o.zone(zone_middle).retained_austenite),
        o.answers.soak.reason.text());
  }
  {
    const Outcome o = outcome("h_thick_hot_fast_oil");
    const answers::Judgement crack = answers::risks(o.given, o.answers).crack.crack;
    add("O1, 4.8 mm, 840 degC, fast oil at 20 degC, shoulder filed sharp, left overnight",
        "hardens; crack HIGH", o,
        text("%.1f HRC at the spine; crack %s", o.zone(zone_spine).as_quenched_HRC,
             verdict_name(crack.verdict)),
        o.answers.soak.reason.text() + "; crack: " + crack.reason.text());
  }
  {
    const Outcome o = outcome("g_slicer_one_sided");
    const answers::Risks r = answers::risks(o.given, o.answers);
    const answers::BowAnswer& b = r.stations.front();
    add("O1 slicer of 240 mm, bevel of 20 mm on one side, flat side first", "hardens; bow 1-4 mm, warp HIGH",
        o,
        text("bow %s, %.1f mm (%.1f to %.1f)", verdict_name(r.bow.verdict), 1e3 * b.bow_m, 1e3 * b.low_m,
             1e3 * b.high_m),
        b.cause);
  }
  {
    const Outcome o = outcome("foil_on");
    add("O1 in pressed foil, foil on in the oil", "hardens", o,
        text("%.1f %% hardened in the spine", 100 * hardened_share(o.zone(zone_spine))), "");
  }
  test::expect_in_readme("tests/validation", t);
}

TEST(EveryScenario, SharesSumToOneAndTheEnergyCloses) {
  for (const char* name :
       {"a_clean", "b_slow_transfer", "d_undersoaked", "f_overheated", "foil_on", "preheat"}) {
    const Outcome o = outcome(name);
    for (const auto& run : o.runs) {
      EXPECT_LT(run.energy_residual, 1e-12) << name; // round-off of some hundred steps
      for (const auto& frame : run.frames)
        for (std::size_t n = 0; n < frame.state.austenite.size(); ++n) {
          const auto& s = frame.state;
          for (double share :
               {s.austenite[n], s.martensite[n], s.bainite[n], s.pearlite[n], s.ferrite[n], s.cementite[n]})
            ASSERT_GE(share, 0) << name << " at " << frame.time_s << " s";
          ASSERT_NEAR(s.austenite[n] + s.martensite[n] + s.bainite[n] + s.pearlite[n] + s.ferrite[n] +
                          s.cementite[n],
                      1, 1e-9)
              << name << " at " << frame.time_s << " s";
        }
    }
  }
}

} // namespace
