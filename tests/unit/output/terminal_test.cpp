#include "output/terminal.hpp"
#include "output/text.hpp"
#include "sample.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <sstream>
#include <string>
#include <vector>

namespace {

using tq::test::Sample;

std::string printed(const Sample& s, bool colour = false) {
  std::ostringstream out;
  tq::output::print_heading(out, s.c, s.answers);
  tq::output::print_answers(out, s.c, s.runs, s.answers, nullptr, colour);
  return out.str();
}

void expect_in_order(const std::string& text, const std::vector<std::string>& parts) {
  std::size_t at = 0;
  for (const std::string& part : parts) {
    const std::size_t found = text.find(part, at);
    ASSERT_NE(found, std::string::npos) << "missing or out of order: " << part << "\nin\n" << text;
    at = found + part.size();
  }
}

TEST(Output_Terminal, RowOfBlades_TellsTheLastAndTheLimit) {
  Sample s = tq::test::full_sample();
  s.c.bath().blades = 3;
  s.c.bath().interval_s = 240;
  for (auto& station : s.answers.stations) {
    station.bath_start_degC = 60;
    station.blades_in_a_row = 0;
  }
  std::string text = printed(s);
  for (std::size_t at = 0; (at = text.find("\n             ", at)) != std::string::npos;)
    text.replace(at, 14, " "); // unfold
  expect_in_order(text, {"the last of 3 blades, 4 min apart, meets it at 60 degC (140 degF)",
                         "too little of it: one blade takes it past 75 degC (167 degF)", "for this row"});
}

TEST(Output_Terminal, ZoneWishedSoft_SaysSo) {
  Sample s = tq::test::full_sample();
  for (auto& station : s.answers.stations) {
    auto& spine = station.zones[tq::treatment::zone_spine];
    spine.wanted = tq::treatment::Wanted::soft;
    spine.hardens.verdict = tq::answers::Verdict::pass;
  }
  EXPECT_NE(printed(s).find("soft, as wished"), std::string::npos);
}

TEST(Output_Terminal, FullCase_SettingFirstReasonSecond) {
  expect_in_order(
      printed(tq::test::full_sample()),
      {"Pocket knife <no. 7> & sheath\n",
       "O1 100MnCrW4; stages: furnace, transfer, bath, cool, temper\n",
       "GO WITH CARE  quench MARGINAL, 3 % of the spine goes to bainite\n",
       "SOAK       PASS      all zones are austenite with the carbon wanted\n",
       "QUENCH     MARGINAL  3 % of the spine goes to bainite\n",
       "HARDNESS   PASS      60.5 to 61.5 HRC lies in the wanted range\n",
       "SET\n",
       "timer      30 min from closing the door, or 26 min from when the display is back",
       "blade out after 35 min",
       "furnace    800 degC (1472 degF) on the display, blade in hot",
       "sags by 10 K (18",
       "foil       1 layer of 50 um (0.002 in)",
       "comes off before",
       "transfer   2 s from the furnace",
       "up to 7.0 s more before the thickest no longer passes",
       "oil        Medium oil at 55 degC (131 degF), 8 L (2.1 US gal)",
       "one blade warms it by 2.4 K (4.3 degF) to 57 degC (135 degF)",
       "stop after 8 in a row without a wait: above 75 degC (167 degF)",
       "7 min apart it",
       "takes any number; at least 1.5 L",
       "lift out   after 20 s in the bath: surface 61 degC (142 degF)",
       "not before 6.5 s",
       "without smoke after 8.5 s",
       "as quenched 63.5 to 65.0 HRC +/- 1",
       "temper     2 x 2 h at 205 degC (401 degF)",
       "after tempering 60.5 to 61.5 HRC +/- 1",
       "STATION middle of the blade\n",
       "edge       middle        spine     thickest\n",
       "reaches temperature after                       9.3 min      9.7 min      9.9 min     10.0 min\n",
       "carbon in solution, by weight                    0.62 %",
       "degC (degF) 2 s out of the furnace           780 (1436)",
       "gone to pearlite and bainite                    < 0.1 %        1.5 %",
       "cooling, times the rate it needs                  3.4 x",
       "hardens                                            PASS         PASS     MARGINAL     MARGINAL\n",
       "retained austenite                                9.0 %",
       "HRC after tempering, +/- 1                         61.5         61.0         60.5         60.5\n",
       "  skin       grind off 0.02 mm (0.0008 in) per side after hardening; soft to",
       "  edge       leave at least 0.50 mm (0.020 in) before hardening",
       "  grain      about ASTM 9 at the end of the soak",
       "  file       skates at the edge as quenched",
       "  tester     Rockwell C needs 0.77 mm",
       "  colour     a hint, not a control: straw after all tempers on clean steel",
       "PROBES middle of the blade",
       "heel ",
       "CAUTIONS\n  - Prove the figures on a coupon of the same bar.\n",
       "WARNINGS\n  - the oil is near its flash point\n  - oil: agitation outside its table\n",
       "WHAT THE FIGURES REST ON\n  - the blade goes in edge first and is moved\n",
       "NOT IN THE CASE FILE, SO ASSUMED\n  - wrap.gap"});
}

TEST(Output_Terminal, Brief_OneAnswerFirstThenVerdictsThenSettings) {
  const Sample s = tq::test::full_sample();
  std::ostringstream out;
  tq::answers::Risks risks;
  risks.crack.crack = {tq::answers::Verdict::fail, "water on 0.80 %C in solution"};
  risks.crack.crack.cure = "oil";
  risks.oil = {tq::answers::Verdict::pass, "ends at 57 degC"};
  tq::output::print_brief(out, s.c, s.answers, &risks);
  expect_in_order(out.str(), {"DO NOT     crack FAIL, water on 0.80 %C in solution\n", "change     oil\n",
                              "SOAK       PASS", "QUENCH     MARGINAL", "CRACK      FAIL", "SET\n",
                              "furnace    800 degC (1472 degF)", "timer      30 min from closing the door",
                              "oil        ", "temper     2 x 2 h", "! Keep the lid of the tank at hand.",
                              "! Prove the figures on a coupon"});
}

TEST(Output_Terminal, Caution_StandsBesideItsNumberOnce) {
  const std::string text = printed(tq::test::full_sample());
  expect_in_order(text, {"oil        Medium oil", "! Keep the lid of the tank at hand.", "lift out"});
  EXPECT_EQ(text.find("lid of the tank"), text.rfind("lid of the tank"));
}

TEST(Output_Terminal, AnyCase_NoLineWiderThanAPage) {
  Sample s = tq::test::full_sample();
  s.answers.title = std::string(250, 'x') + " \u2014 and words and words and words and words and words";
  s.answers.quench.reason = "because " + std::string(120, 'y');
  s.answers.warnings = {std::string(40, 'w') + " " + std::string(300, 'z')};
  std::istringstream lines(printed(s));
  for (std::string line; std::getline(lines, line);) {
    EXPECT_LE(tq::output::columns(line), 100U) << line;
    EXPECT_TRUE(line.empty() || line.back() != ' ') << "'" << line << "'";
  }
}

TEST(Output_Terminal, ZonesAtOnePlace_ShareAColumn) {
  Sample s = tq::test::full_sample();
  auto& zones = s.answers.stations[0].zones; // edge, middle, spine, thickest
  zones[3] = zones[2];
  zones[3].name = "thickest";
  const std::string text = printed(s);
  EXPECT_NE(text.find("         edge       middle  spine, thickest\n"), std::string::npos) << text;
  EXPECT_NE(text.find("9.3 min      9.7 min          9.9 min\n"), std::string::npos) << text;
}

TEST(Output_Terminal, InertOneStage_AsksNothingAboutSteel) {
  const std::string text = printed(tq::test::bare_sample());
  expect_in_order(text, {"plate", "stages: bath", "SOAK       NOT ASKED\n", "oil        Own oil at 60 degC",
                         "so much that it does not warm", "800 to 500 degC"});
  for (const char* absent : {"HRC", "nan", "martensite", "timer", "temper", "PROBES", "pearlite", "never"})
    EXPECT_EQ(text.find(absent), std::string::npos) << absent << "\n" << text;
}

TEST(Output_Terminal, Colour_OnlyWhenAskedAndOnlyOnTheVerdicts) {
  const Sample s = tq::test::full_sample();
  EXPECT_EQ(printed(s).find('\x1b'), std::string::npos);
  EXPECT_NE(printed(s, true).find("\x1b[1;32mPASS"), std::string::npos);
  EXPECT_NE(printed(s, true).find("\x1b[1;33mMARGINAL"), std::string::npos);
}

TEST(Output_Terminal, EscapeCodesInATitle_DoNotReachTheTerminal) {
  Sample s = tq::test::full_sample();
  s.answers.title = "\x1b]0;gotcha\x07";
  s.c.bath().coolant.name = "\x1b[2J";
  s.runs[0].probes[0].name = "\x1b[2J";
  EXPECT_EQ(printed(s).find('\x1b'), std::string::npos);
}

TEST(Output_Terminal, ZoneNeverReachesTemperature_SaysSoInsteadOfATimer) {
  Sample s = tq::test::full_sample();
  const double nan = std::numeric_limits<double>::quiet_NaN();
  s.answers.stations[0].timer_from_door_s = nan;
  s.answers.stations[0].zones[2].reaches_temperature_s = nan;
  const std::string text = printed(s);
  EXPECT_NE(text.find("no timer gives the asked soak of 20 min"), std::string::npos) << text;
  EXPECT_NE(text.find("never"), std::string::npos);
}

TEST(Output_Terminal, SeveralStations_TheWorstIsSet) {
  Sample s = tq::test::full_sample();
  s.answers.stations.push_back(s.answers.stations[0]);
  s.answers.stations[1].name = "ricasso";
  s.answers.stations[1].timer_from_door_s = 2400;
  s.runs.push_back(s.runs[0]);
  const std::string text = printed(s);
  expect_in_order(
      text, {"timer      40 min from closing the door", "STATION middle of the blade", "STATION ricasso"});
}

TEST(Output_Terminal, ShortForm_IsOneLine) {
  Sample s = tq::test::full_sample();
  s.answers.title += "\nsecond line";
  std::ostringstream out;
  tq::output::print_short(out, s.c, s.answers, nullptr);
  const std::string text = out.str();
  EXPECT_EQ(text.find('\n'), text.size() - 1);
  expect_in_order(text,
                  {"GO WITH CARE. soak PASS, quench MARGINAL, hardness PASS (judged as stated).",
                   "Set 800 degC (1472 degF)", "2 x 2 h at 205 degC (401 degF): 60.5 to 61.5 HRC +/- 1.",
                   "MARGINAL: 3 % of the spine"});
}

} // namespace
