// Questions without a blade: one on the command line, or a table of them.
#include "run_command.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <sstream>
#include <string>
#include <vector>

using tq::test::expect_refused;
using tq::test::Outcome;
using tq::test::Request;
using tq::test::run_command;
using tq::test::TemporaryFolder;
using tq::test::write_file;

namespace {

Outcome ask(std::vector<std::string> arguments, const std::string& input = "") {
  Request request;
  request.program = TQ_PROGRAM;
  request.arguments = {"ask"};
  request.arguments.insert(request.arguments.end(), arguments.begin(), arguments.end());
  request.input = input;
  return run_command(request);
}

nlohmann::json ask_json(std::vector<std::string> arguments) {
  arguments.push_back("--json");
  const Outcome outcome = ask(std::move(arguments));
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  return nlohmann::json::parse(outcome.out);
}

/// Cells of a table without quotes, by heading and row.
class Table {
 public:
  explicit Table(const std::string& text, char separator = ',') {
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) {
      rows_.emplace_back(1);
      for (const char c : line)
        if (c == separator)
          rows_.back().emplace_back();
        else
          rows_.back().back() += c;
    }
  }
  std::string at(std::size_t row, const std::string& heading) const {
    const auto& names = rows_.at(0);
    const auto name = std::find(names.begin(), names.end(), heading);
    if (name == names.end())
      throw std::out_of_range(heading);
    return rows_.at(row + 1).at(static_cast<std::size_t>(name - names.begin()));
  }
  double number(std::size_t row, const std::string& heading) const { return std::stod(at(row, heading)); }
  std::size_t rows() const { return rows_.size() - 1; }

 private:
  std::vector<std::vector<std::string>> rows_;
};

} // namespace

TEST(Ask, OneSteel_TellsEverythingInAHundredColumns) {
  const Outcome outcome = ask({"O1"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(outcome.err, "");
  for (const char* part :
       {"O1 (ASTM A681", "Hardened from 802 degC (1476 degF)", "Ac1", "carbon in solution", "Ms  ",
        "retained austenite", "as quenched", "Tempered (curve of O1", "200 degC", "pearlite nose, 1 %",
        "critical cooling rate", "99 %", "Cooled at a constant rate"})
    EXPECT_NE(outcome.out.find(part), std::string::npos) << part << "\n" << outcome.out;
  std::istringstream in(outcome.out);
  for (std::string line; std::getline(in, line);)
    EXPECT_LE(line.size(), 100U) << line;
  EXPECT_EQ(ask({"o1"}).out, outcome.out);
}

// Data sheet of O1: 62 HRC after 204 degC. 52100 after 25 min at 843 degC: 15 % retained austenite measured
// (public text quoting an MIT thesis).
TEST(Ask, AnswersStandOnPublishedFigures) {
  const auto o1 = ask_json({"O1", "--temper", "400 degF", "--hold", "1 h"});
  EXPECT_EQ(o1["schema"], "thinquench-ask");
  ASSERT_EQ(o1["temper"].size(), 1U);
  EXPECT_NEAR(o1["temper"][0]["HRC"].get<double>(), 62, 1);
  EXPECT_EQ(o1["temper"][0]["from"], "curve of O1");
  EXPECT_FALSE(o1["by_composition"].get<bool>());
  EXPECT_TRUE(o1["notes"].empty());
  const auto bearing = ask_json({"52100", "--harden", "843 degC", "--soak", "25 min"});
  EXPECT_NEAR(bearing["hardening"]["retained_austenite"].get<double>(), 0.15, 0.04);
  EXPECT_NEAR(bearing["hardening"]["Ac1_degC"].get<double>(), 751, 1); // Andrews 1965
  const double critical = bearing["diagram"]["critical_rate_K_s"]["pearlite"];
  EXPECT_GT(critical, 30);
  EXPECT_LT(critical, 80);
}

TEST(Ask, ContinuousCooling_AgreesWithTheCriticalRate) {
  const auto diagram = ask_json({"1084"})["diagram"];
  const double critical = diagram["critical_rate_K_s"]["both"];
  ASSERT_GE(diagram["cooling"].size(), 5U);
  for (const auto& row : diagram["cooling"]) {
    const double lost = row["pearlite"].get<double>() + row["bainite"].get<double>();
    EXPECT_EQ(lost<0.01, row["rate_K_s"].get<double>()> critical) << row;
    EXPECT_NEAR(lost + row["martensite"].get<double>() + row["austenite"].get<double>(), 1, 1e-9);
  }
  EXPECT_GT(diagram["isothermal"].size(), 20U);
}

TEST(Ask, Cycles_CountAsTimeAndTakeAustenite) {
  const auto once = ask_json({"1084", "--temper", "204 degC", "--hold", "2 h"})["temper"][0];
  const auto twice =
      ask_json({"1084", "--temper", "204 degC", "--hold", "1 h", "--cycles", "2"})["temper"][0];
  EXPECT_NEAR(once["HRC"].get<double>(), twice["HRC"].get<double>(), 1e-9);
  EXPECT_NEAR(once["retained_austenite"].get<double>(), twice["retained_austenite"].get<double>(), 1e-9);
  EXPECT_EQ(twice["cycles"], 2);
}

TEST(Ask, Composition_IsAnsweredWithWideBands) {
  const auto bare = ask_json({"C", "0.84", "Mn", "0.75", "Si", "0.25", "--temper", "204 degC"});
  EXPECT_TRUE(bare["by_composition"].get<bool>());
  EXPECT_EQ(bare["temper"][0]["from"], "composition model");
  EXPECT_GE(bare["temper"][0]["HRC_band"].get<double>(), 1.9); // +-1.645 x 1.2 HRC holds nine in ten
  EXPECT_TRUE(bare["temper"][0]["outside"].empty());
  EXPECT_FALSE(bare["notes"].empty());
  EXPECT_EQ(bare["diagram"]["pearlite_band_factor"], 2.5);
  EXPECT_EQ(ask({"C 0.84 Mn 0.75 Si 0.25"}).out, ask({"C=0.84,", "Mn=0.75,", "Si=0.25"}).out);
  const auto record = ask_json({"1084", "--temper", "204 degC"});
  EXPECT_NEAR(bare["temper"][0]["HRC"].get<double>(), record["temper"][0]["HRC"].get<double>(), 2);
}

// A mill's certificate lists phosphorus and sulphur too.
TEST(Ask, PhosphorusAndSulphur_AreReadLikeTheOthers) {
  const auto plain = ask_json({"C", "0.84", "Mn", "0.75", "--temper", "204 degC"});
  const auto certificate =
      ask_json({"C", "0.84", "Mn", "0.75", "P", "0.012", "S", "0.02", "--temper", "204 degC"});
  EXPECT_EQ(plain["temper"], certificate["temper"]);
  const auto dirty = ask_json({"C", "0.84", "Mn", "0.75", "S", "0.3", "--temper", "204 degC"});
  EXPECT_FALSE(dirty["temper"][0]["outside"].empty());
  const Outcome table = ask({"--csv", "-"}, "C,Mn,P,S,temperature_degC\n0.84,0.75,0.012,0.02,204\n");
  EXPECT_NEAR(Table(table.out).number(0, "computed_HRC"), plain["temper"][0]["HRC"].get<double>(), 0.01);
}

// No temper hardens but by what its austenite turns to: no shipped steel is harder after any hour from 100 to
// 700 degC than as quenched, with little austenite (usual hardening) and with much (860 degC).
TEST(Ask, NoTemper_Hardens) {
  for (const char* steel :
       {"O1", "O2", "1075", "1084", "1095", "W2", "52100", "80CrV2", "5160", "L6", "75Ni8"})
    for (const char* harden : {"usual", "860 degC"})
      for (int T = 100; T <= 700; T += 100) {
        std::vector<std::string> question = {steel, "--temper", std::to_string(T) + " degC"};
        if (harden != std::string("usual"))
          question.insert(question.end(), {"--harden", harden});
        const auto answer = ask_json(question);
        const auto& hrc = answer["temper"][0]["HRC"];
        if (hrc.is_null()) { // over its Ac1
          EXPECT_EQ(T, 700) << steel;
          continue;
        }
        EXPECT_LE(hrc.get<double>(), answer["hardening"]["HRC"].get<double>() + 1e-9)
            << steel << " " << harden << " " << T;
      }
}

// As `ask`, so a blade: its softest place after a cool temper, from the quench with much pearlite to one
// without.
TEST(Ask, CoolTemperOfABlade_DoesNotHarden) {
  for (const char* steel : {"W2", "1095", "O1", "L6"}) {
    const Outcome outcome =
        tq::test::thinquench({"harden", "--steel", steel, "--spine", "4 mm", "--edge", "0.6 mm", "--bare",
                              "--oven", "100 degC", "--no-bands", "--no-files", "--json", "-q"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    for (const auto& [name, zone] : nlohmann::json::parse(outcome.out)["stations"][0]["zones"].items()) {
      EXPECT_LE(zone["hardness_tempered"].get<double>(), zone["hardness_as_quenched"].get<double>() + 1e-9)
          << steel << " " << name;
      EXPECT_LE(zone["retained_austenite_tempered"].get<double>(),
                zone["retained_austenite"].get<double>() + 1e-9)
          << steel << " " << name;
    }
  }
}

TEST(Ask, OutsideTheFits_IsSaid) {
  const auto silicon = ask_json({"C", "0.6", "Mn", "0.8", "Si", "1.8", "--temper", "204 degC"});
  EXPECT_FALSE(silicon["temper"][0]["outside"].empty());
  EXPECT_GT(silicon["temper"][0]["HRC_band"].get<double>(), 6);
  const auto hot = ask_json({"O1", "--temper", "760 degC"})["temper"][0];
  EXPECT_TRUE(hot["HRC"].is_null());
  EXPECT_FALSE(hot["outside"].empty());
  EXPECT_NE(ask({"O1", "--harden", "700 degC"}).out.find("no austenite forms"), std::string::npos);
  EXPECT_NE(ask({"52100", "--harden", "790 degC", "--soak", "1 min"}).out.find("Note"), std::string::npos);
}

TEST(Ask, OwnRecord_IsReadFromItsPath) {
  const auto own = ask_json({TQ_SOURCE_DIR "/materials/steels/W2.toml"});
  EXPECT_EQ(own["diagram"], ask_json({"W2"})["diagram"]);
}

// The heat of grinding counts as tempering: as long a hold at the flash as the temper alone would need gives
// the same sum.
TEST(Ask, Flash_IsAddedToTheTemper) {
  const auto temper = [](const char* flash, const char* time) {
    return ask_json(
        {"O1", "--temper", "204 degC", "--hold", "1 h", "--flash", flash, "--flash-time", time})["temper"][0];
  };
  const auto twice = ask_json({"O1", "--temper", "204 degC", "--hold", "2 h"})["temper"][0];
  EXPECT_NEAR(temper("204 degC", "1 h")["after_flash_HRC"].get<double>(), twice["HRC"].get<double>(),
              1e-6); // it tempers the martensite and turns the austenite as the oven would
  const double gentle = temper("300 degC", "1 s")["after_flash_HRC"];
  const double hot = temper("450 degC", "1 s")["after_flash_HRC"];
  EXPECT_LT(hot, gentle - 1);
  EXPECT_TRUE(temper("800 degC", "1 s")["after_flash_HRC"].is_null());
  EXPECT_TRUE(twice["after_flash_HRC"].is_null());
  const auto bare = ask_json({"C", "0.8", "--temper", "204 degC", "--flash", "400 degC"})["temper"][0];
  EXPECT_LT(bare["after_flash_HRC"].get<double>(), bare["HRC"].get<double>());
}

TEST(Ask, Diagram_ComesAsATable) {
  const Outcome outcome = ask({"1084", "--diagram"});
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const Table table(outcome.out);
  EXPECT_GT(table.rows(), 20U);
  for (std::size_t row = 0; row < table.rows(); ++row)
    if (!table.at(row, "pearlite_finish_s").empty()) {
      EXPECT_LT(table.number(row, "pearlite_start_s"), table.number(row, "pearlite_half_s")) << row;
      EXPECT_LT(table.number(row, "pearlite_half_s"), table.number(row, "pearlite_finish_s")) << row;
    }
  expect_refused(ask({"1084", "--diagram", "--json"}), "--diagram");
}

TEST(Ask, Nonsense_IsRefusedInOneLine) {
  expect_refused(ask({}), "a steel or --csv");
  expect_refused(ask({"O9"}), "no steel is called 'O9'");
  expect_refused(ask({"O1", "--temper", "204"}), "has no unit");
  expect_refused(ask({"O1", "--temper", "2 h"}), "--temper");
  expect_refused(ask({"O1", "--hold", "0 s"}), "--hold");
  expect_refused(ask({"O1", "--cycles", "0"}), "--cycles");
  expect_refused(ask({"O1", "--start", "cast"}), "--start");
  expect_refused(ask({"C", "0.8", "Zr", "1"}), "'Zr' is no element");
  expect_refused(ask({"C", "0.8", "Mn"}), "Mn");
  expect_refused(ask({"C", "8"}), "C 8 wt% is beyond the models");
  expect_refused(ask({"C", "1.5", "Cr", "12"}), "Cr 12 wt%");
  expect_refused(ask({"O1", "--csv", "rows.csv"}), "not both");
  expect_refused(ask({"--csv", "no_such.csv"}), "no_such.csv");
  expect_refused(ask({"--csv", "-", "--json"}, "C\n0.8\n"), "--json");
}

TEST(AskTable, Rows_ComeBackWithAnswers) {
  const Outcome outcome = ask({"--csv", "-"}, "name,Steel,temperature_degC,time_h,cycles,measured\n"
                                              "a,O1,204,1,2,61.5\n"
                                              "b,1095,,,,\n");
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const Table table(outcome.out);
  ASSERT_EQ(table.rows(), 2U);
  EXPECT_EQ(table.at(0, "name"), "a");
  EXPECT_EQ(table.at(0, "measured"), "61.5");
  EXPECT_NEAR(table.number(0, "computed_HRC"), 62, 1);
  EXPECT_EQ(table.at(0, "computed_from"), "curve of O1");
  EXPECT_EQ(table.at(0, "computed_temper_outside"), "");
  EXPECT_EQ(table.at(1, "computed_HRC"), "");
  EXPECT_GT(table.number(1, "computed_Ms_degC"), 180);
  EXPECT_GT(table.number(1, "computed_critical_rate_K_s"), 100);
}

TEST(AskTable, Compositions_AreAnsweredByTheModelAndFlagged) {
  const Outcome outcome = ask({"--csv", "-"}, "\xEF\xBB\xBF"
                                              "steel;temperature;time;C;Mn;Si;V;Al\r\n"
                                              "x;400 degF;2 h;0.85;0.7;0.2;;\r\n"
                                              "y;400 degF;20 s;0.85;0.7;0.2;0.2;\r\n"
                                              "z;400 degF;2 h;0.85;0.7;0.2;;1.2\r\n");
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const Table table(outcome.out, ';');
  ASSERT_EQ(table.rows(), 3U);
  EXPECT_EQ(table.at(0, "steel"), "x");
  EXPECT_EQ(table.at(0, "computed_from"), "composition model");
  EXPECT_EQ(table.at(0, "computed_temper_outside"), "");
  EXPECT_NE(table.at(1, "computed_temper_outside").find("V 0.2"), std::string::npos);
  EXPECT_NE(table.at(1, "computed_temper_outside").find("time"), std::string::npos);
  EXPECT_GT(table.number(1, "computed_HRC_band"), table.number(0, "computed_HRC_band"));
  EXPECT_NE(table.at(2, "computed_temper_outside").find("Al 1.2"), std::string::npos);
}

TEST(AskTable, HighAlloySteel_GetsNoAnswerAndTheReason) {
  const Outcome outcome = ask({"--csv", "-"}, "C,Cr,temperature_degC\n1.5,12,200\n0.8,0.5,200\n");
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const Table table(outcome.out);
  EXPECT_EQ(table.at(0, "computed_HRC"), "");
  EXPECT_EQ(table.at(0, "computed_Ms_degC"), "");
  EXPECT_NE(table.at(0, "computed_temper_outside").find("Cr 12"), std::string::npos);
  EXPECT_NE(table.at(0, "computed_hardening_outside").find("Cr 12"), std::string::npos);
  EXPECT_GT(table.number(1, "computed_HRC"), 55);
}

TEST(AskTable, QuotedCells_ComeBackQuoted) {
  const Outcome outcome = ask({"--csv", "-"}, "source,C\n\"Hollomon, \"\"1945\"\"\",0.74\n");
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_NE(outcome.out.find("\n\"Hollomon, \"\"1945\"\"\",0.74,"), std::string::npos) << outcome.out;
}

TEST(AskTable, PathsOfRecords_CountFromTheTable) {
  const TemporaryFolder folder;
  std::filesystem::copy_file(TQ_SOURCE_DIR "/materials/steels/O2.toml", folder.path() / "mine.toml");
  write_file(folder.path() / "rows.csv", "steel,temperature_degC\nmine.toml,200\n");
  const Outcome outcome = ask({"--csv", folder.path() / "rows.csv"});
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(Table(outcome.out).at(0, "computed_from"), "curve of mine");
}

// One row that cannot be read must not cost the others their answers.
TEST(AskTable, BadRows_SayWhyAndLeaveTheOthersAlone) {
  const Outcome outcome = ask({"--csv", "-"}, "steel,C,Mn,temperature_degC,time_s,cycles,Ti,N\n"
                                              "O1,,,hot,,,,\n"
                                              "O1,,,200,0,,,\n"
                                              "O1,,,200,,1.5,,\n"
                                              "O9,,,200,,,,\n"
                                              ",?,,200,,,,\n"
                                              ",-1,,200,,,,\n"
                                              "O1,,,200\n"
                                              ",0.8,NA,400,10,,0.1,0.05\n"
                                              "O1,,,200,3600,,,\n");
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_NE(outcome.err.find("7 of 9 rows have no answer (the first on line 2)"), std::string::npos)
      << outcome.err;
  const Table table(outcome.out);
  ASSERT_EQ(table.rows(), 9U);
  const char* reasons[] = {"temperature_degC",
                           "time_s: is out of range",
                           "cycles: must be a whole number",
                           "no steel is called 'O9'",
                           "steel: is missing",
                           "C -1 wt%; allowed",
                           "4 cells under a heading of 8"};
  for (std::size_t row = 0; row < std::size(reasons); ++row) {
    EXPECT_NE(outcome.out.find(reasons[row]), std::string::npos) << reasons[row] << "\n" << outcome.out;
    EXPECT_EQ(table.at(row, "computed_HRC"), "") << row;
  }
  EXPECT_GT(table.number(7, "computed_HRC"), 30);
  EXPECT_NE(table.at(7, "computed_temper_outside").find("time"), std::string::npos);
  EXPECT_NE(table.at(7, "computed_temper_outside").find("Ti 0.1"), std::string::npos);
  EXPECT_NE(table.at(7, "computed_temper_outside").find("N 0.05"), std::string::npos);
  EXPECT_NEAR(table.number(8, "computed_HRC"), 62, 1);
}

TEST(AskTable, NoTable_IsRefusedAndNothingIsWritten) {
  expect_refused(ask({"--csv", "-"}, "name\nO1\n"), "neither a column C nor a column steel");
  expect_refused(ask({"--csv", "-"}, "steel\n\"O1\n"), "quote");
  expect_refused(ask({"--csv", "-"}, ""), "is empty");
  expect_refused(ask({"--csv", "-"}, "C,computed_HRC\n0.8,60\n"), "computed_HRC");
}

TEST(Help, OfAsk_FitsAndItsExamplesRun) {
  const Outcome help = ask({"--help"});
  EXPECT_EQ(help.exit_code, 0);
  EXPECT_NE(help.out.find("Usage: thinquench ask [STEEL] [OPTIONS]"), std::string::npos) << help.out;
  Request request;
  request.program = "/bin/sh";
  const std::string folder = std::filesystem::path(TQ_PROGRAM).parent_path();
  request.environment["PATH"] = folder + ":/usr/bin:/bin";
  int run = 0;
  std::istringstream in(help.out);
  for (std::string line; std::getline(in, line);) {
    EXPECT_LE(line.size(), 100U) << line;
    if (line.rfind("  thinquench ", 0) != 0 && line.rfind("  printf ", 0) != 0)
      continue;
    request.arguments = {"-c", line.substr(2, line.find("  ", 2) - 2)};
    const Outcome outcome = run_command(request);
    EXPECT_EQ(outcome.exit_code, 0) << line << "\n" << outcome.err;
    ++run;
  }
  EXPECT_GE(run, 5);
}
