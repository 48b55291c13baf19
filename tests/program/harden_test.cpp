// Computing a case: files, JSON, colours, progress, and every way in which it can end.
#include "run_command.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <csignal>
#include <set>

using tq::test::expect_refused;
using tq::test::line_count;
using tq::test::Outcome;
using tq::test::read_file;
using tq::test::Request;
using tq::test::run_command;
using tq::test::TemporaryFolder;
using tq::test::write_file;

namespace fs = std::filesystem;

namespace {

const std::string hunter = TQ_SOURCE_DIR "/cases/drop_point_o1.toml";

/// Runs one program in a folder of its own.
class Harden : public testing::Test {
 protected:
  Request request(const std::string& program, std::vector<std::string> arguments) const {
    Request r;
    r.program = program;
    r.arguments = std::move(arguments);
    r.folder = folder.path();
    return r;
  }
  Outcome harden(std::vector<std::string> more = {}) const {
    std::vector<std::string> arguments{"harden", hunter};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return run_command(request(TQ_PROGRAM, arguments));
  }
  /// The program with a failing engine.
  Request failing(const std::string& failure, std::vector<std::string> more = {}) const {
    std::vector<std::string> arguments{"harden", hunter};
    arguments.insert(arguments.end(), more.begin(), more.end());
    Request r = request(TQ_FAILING_PROGRAM, arguments);
    r.environment["TQ_FAILURE"] = failure;
    return r;
  }
  std::set<std::string> files(const fs::path& where) const {
    std::set<std::string> names;
    std::error_code none;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder.path() / where, none))
      names.insert(entry.path().filename().string());
    return names;
  }
  /// Results of an earlier day, which no failure may touch.
  void put_earlier_results() const {
    fs::create_directories(folder.path() / "out");
    for (const char* kind : {".h5", ".html", "_sheet.html", ".json", ".xmf", ".svg"})
      write_file(folder.path() / "out" / (std::string("drop_point_o1") + kind), "of an earlier day");
  }
  void expect_earlier_results_whole() const {
    EXPECT_EQ(files("out").size(), 6U);
    for (const std::string& name : files("out"))
      EXPECT_EQ(read_file(folder.path() / "out" / name), "of an earlier day") << name;
  }

  TemporaryFolder folder;
};

const std::set<std::string> all_files{"drop_point_o1.h5",   "drop_point_o1.html", "drop_point_o1_sheet.html",
                                      "drop_point_o1.json", "drop_point_o1.svg",  "drop_point_o1.xmf"};

// 400 degF typed as 400 degC: what is odd stands under the one answer, on every way to ask.
TEST_F(Harden, WhatIsOddStandsUnderTheAnswer) {
  for (const char* more : {"--no-files", "--quiet"}) {
    const Outcome o = harden({"--set", "temper.oven='400 degC'", more});
    EXPECT_NE(o.out.find("ODD"), std::string::npos) << more << o.out;
    EXPECT_NE(o.out.find("was degF meant?"), std::string::npos) << more << o.out;
  }
}

TEST_F(Harden, NoFiles_WritesNothingAndMakesNoFolder) {
  const Outcome outcome = harden({"--quiet", "--no-files"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(outcome.out, harden({"--quiet", "--output", "all"}).out);
  EXPECT_FALSE(fs::exists(folder.path() / "out"));
}

TEST_F(Harden, Only_WritesTheNamedFilesWithTheirUsualContent) {
  const Outcome outcome = harden({"--quiet", "--only", "sheet,hdf5"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(files("out"),
            (std::set<std::string>{"drop_point_o1_sheet.html", "drop_point_o1.h5", "drop_point_o1.xmf"}));
  harden({"--quiet", "--only", "svg", "--output", "one"});
  harden({"--quiet", "--output", "all"});
  EXPECT_EQ(files("one"), std::set<std::string>{"drop_point_o1.svg"});
  EXPECT_EQ(read_file(folder.path() / "one/drop_point_o1.svg"),
            read_file(folder.path() / "all/drop_point_o1.svg"));
  EXPECT_EQ(files("all").size(), 6u);
}

TEST_F(Harden, Only_RefusesWordsItDoesNotKnow) {
  expect_refused(harden({"--only", "sheet,pdf"}), "pdf");
  expect_refused(harden({"--only", "sheet", "--no-files"}), "--no-files");
}

} // namespace

TEST_F(Harden, PrintsTheAnswersAndWritesTheFiles) {
  const Outcome outcome = harden();
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(files("out"), all_files);
  for (const std::string& name : all_files)
    EXPECT_NE(outcome.out.find(" " + name), std::string::npos) << outcome.out;
  EXPECT_NE(outcome.out.find("written  out/: "), std::string::npos) << outcome.out;
  EXPECT_EQ(outcome.out.find('\033'), std::string::npos);
}

TEST_F(Harden, OutputNamesTheFolderAndMakesIt) {
  EXPECT_EQ(harden({"-o", "some/where", "-q"}).exit_code, 0);
  EXPECT_EQ(files("some/where"), all_files);
  EXPECT_FALSE(fs::exists(folder.path() / "out"));
}

TEST_F(Harden, QuietSaysTheVerdictsInOneLine) {
  const Outcome outcome = harden({"--quiet"});
  EXPECT_EQ(outcome.exit_code, 0);
  EXPECT_EQ(line_count(outcome.out), 1) << outcome.out;
  EXPECT_EQ(outcome.out.rfind("Drop-point hunter, O1, foil, medium oil: GO", 0), 0U) << outcome.out;
  EXPECT_EQ(outcome.err, "");
  EXPECT_EQ(files("out"), all_files);
}

TEST_F(Harden, QuietWaitsForTheReasonWhenItDoesNotHarden) {
  std::string text = read_file(hunter);
  const std::string quick = "time = \"2 s\"";
  ASSERT_NE(text.find(quick), std::string::npos);
  text.replace(text.find(quick), quick.size(), "time = \"40 s\"");
  Request slow = request(TQ_PROGRAM, {"harden", "-", "-q"});
  slow.input = text;
  const Outcome outcome = run_command(slow);
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(line_count(outcome.out), 1) << outcome.out;
  // only the margins, which come after the runs, tell that it is not the oil
  EXPECT_NE(outcome.out.find("the transfer is too slow"), std::string::npos) << outcome.out;
}

TEST_F(Harden, JsonIsOneDocumentAndNothingElse) {
  const Outcome outcome = harden({"--json", "--no-bands"});
  EXPECT_EQ(outcome.exit_code, 0);
  const auto printed = nlohmann::json::parse(outcome.out);
  EXPECT_EQ(printed.at("schema_version"), 2);
  const auto written = nlohmann::json::parse(read_file(folder.path() / "out/drop_point_o1.json"));
  EXPECT_EQ(printed.at("stations"), written.at("stations"));
}

TEST_F(Harden, BandsStandInTheOutputUnlessNotWanted) {
  const Outcome with = harden({"--members", "32", "--full"});
  EXPECT_EQ(with.exit_code, 0);
  EXPECT_NE(with.out.find("\nBANDS\n"), std::string::npos);
  EXPECT_LT(with.out.find("HRC as quenched"), with.out.find("\nBANDS\n")) << "the point answers come first";
  const Outcome without = harden({"--no-bands", "--full"});
  EXPECT_EQ(without.out.find("BANDS"), std::string::npos);
  EXPECT_FALSE(nlohmann::json::parse(read_file(folder.path() / "out/drop_point_o1.json")).contains("bands"));
}

TEST_F(Harden, SameSeedSameBandsWhateverTheThreads) {
  const auto bands = [&](const char* threads, const char* seed) {
    const Outcome outcome = harden({"--json", "--members", "32", "--threads", threads, "--seed", seed});
    return nlohmann::json::parse(outcome.out).at("bands");
  };
  const auto one = bands("1", "7");
  EXPECT_EQ(one, bands("3", "7"));
  EXPECT_NE(one, bands("3", "8"));
  EXPECT_EQ(one.at("members"), 32);
  double shares = 0;
  for (const auto& cause : one.at("stations")[0].at("figures").at("timer_from_door").at("causes"))
    shares += cause.at("share").get<double>();
  EXPECT_GT(shares, 0);
  EXPECT_LE(shares, 1 + 1e-12);
}

TEST_F(Harden, QuietJsonWithMembersIsOneDocumentWithBands) {
  const Outcome outcome = harden({"--json", "-q", "--members", "32"});
  EXPECT_EQ(outcome.exit_code, 0);
  EXPECT_EQ(outcome.err, "");
  const auto printed = nlohmann::json::parse(outcome.out);
  EXPECT_EQ(printed.at("bands").at("members"), 32);
  EXPECT_EQ(printed, nlohmann::json::parse(read_file(folder.path() / "out/drop_point_o1.json")));
  EXPECT_FALSE(nlohmann::json::parse(harden({"--json", "-q"}).out).contains("bands")) << "none asked for";
  expect_refused(harden({"--json", "-q", "--members", "1"}), "--members");
}

TEST_F(Harden, InterruptedBandsLeaveNoFile) {
  put_earlier_results();
  Request many = request(TQ_PROGRAM, {"harden", hunter, "--json", "--members", "2000"});
  many.signal = SIGINT; // sent with the first line of progress
  const Outcome outcome = run_command(many);
  EXPECT_EQ(outcome.exit_code, 130);
  EXPECT_EQ(outcome.out, "");
  expect_earlier_results_whole();
}

TEST_F(Harden, TooFewMembersAreABadCommandLine) { expect_refused(harden({"--members", "3"}), "--members"); }

TEST_F(Harden, ReadsACaseFromStandardInput) {
  Request piped = request(TQ_PROGRAM, {"harden", "-", "-q"});
  piped.input = read_file(hunter);
  EXPECT_EQ(run_command(piped).exit_code, 0);
  EXPECT_TRUE(files("out").count("case.h5"));
}

TEST_F(Harden, OwnRecordsAreFoundBesideTheCase) {
  fs::create_directories(folder.path() / "shop/steels");
  fs::copy_file(TQ_SOURCE_DIR "/materials/steels/O1.toml", folder.path() / "shop/steels/mine.toml");
  std::string text = read_file(hunter);
  const std::string shipped = "steel = \"O1\"";
  ASSERT_NE(text.find(shipped), std::string::npos);
  text.replace(text.find(shipped), shipped.size(), "steel = \"steels/mine.toml\"");
  write_file(folder.path() / "shop/mine_case.toml", text);
  const Outcome outcome = run_command(request(TQ_PROGRAM, {"harden", "shop/mine_case.toml", "--json", "-q"}));
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_NE(outcome.out.find("shop/steels/mine.toml"), std::string::npos);
}

TEST_F(Harden, ColoursOnlyOnATerminalThatWantsThem) {
  const auto on_terminal = [&](std::map<std::string, std::string> environment,
                               std::vector<std::string> more = {}) {
    std::vector<std::string> arguments{"harden", hunter};
    arguments.insert(arguments.end(), more.begin(), more.end());
    Request r = request(TQ_PROGRAM, arguments);
    r.environment = std::move(environment);
    r.on_terminal = true;
    return run_command(r).out;
  };
  const std::string green_or_other = "\033[1;3";
  try {
    EXPECT_NE(on_terminal({{"TERM", "xterm"}, {"NO_COLOR", ""}}).find(green_or_other), std::string::npos);
  } catch (const std::system_error&) {
    GTEST_SKIP() << "this system has no pseudo-terminals";
  }
  EXPECT_EQ(on_terminal({{"TERM", "xterm"}, {"NO_COLOR", "1"}}).find(green_or_other), std::string::npos);
  EXPECT_EQ(on_terminal({{"TERM", "dumb"}, {"NO_COLOR", ""}}).find('\033'), std::string::npos);
  EXPECT_EQ(on_terminal({{"TERM", "xterm"}, {"NO_COLOR", ""}}, {"--no-color"}).find(green_or_other),
            std::string::npos);
}

/// Whoever waits sees what is known: the case as stated stands there before its bands have begun.
TEST_F(Harden, TheAnswersAsStatedDoNotWaitForTheBands) {
  put_earlier_results();
  Request many = request(TQ_PROGRAM, {"harden", hunter, "--members", "2000"});
  many.signal = SIGINT; // sent with the first line of progress
  const Outcome outcome = run_command(many);
  EXPECT_EQ(outcome.exit_code, 130);
  EXPECT_EQ(outcome.out.rfind("Drop-point hunter, O1, foil, medium oil\n", 0), 0U) << outcome.out;
  EXPECT_NE(outcome.out.find("\nAS STATED  soak PASS, quench "), std::string::npos) << outcome.out;
  EXPECT_EQ(outcome.out.find("BANDS"), std::string::npos) << outcome.out;
  expect_earlier_results_whole();
}

TEST_F(Harden, AsStatedStandsAboveTheVerdictsOfTheDrawsAlone) {
  const std::string drawn = harden({"--members", "32", "--no-what-if"}).out;
  EXPECT_LT(drawn.find("\nAS STATED "), drawn.find("\nSOAK ")) << drawn;
  const std::string stated = harden({"--no-bands"}).out;
  EXPECT_EQ(stated.find("AS STATED"), std::string::npos) << "nothing to wait for: " << stated;
}

TEST_F(Harden, ProgressIsOneLinePerTenthOffTheTerminal) {
  const Outcome outcome = run_command(failing("slow then solver"));
  EXPECT_EQ(outcome.out, "");
  EXPECT_NE(outcome.err.find("thinquench: 50 % (furnace)\n"), std::string::npos) << outcome.err;
  EXPECT_NE(outcome.err.find("thinquench: 90 % (furnace)\n"), std::string::npos) << outcome.err;
  EXPECT_EQ(outcome.err.find("thinquench: 10 %"), std::string::npos) << "within the silent 0.3 s";
  EXPECT_LE(line_count(outcome.err), 10);
  EXPECT_EQ(outcome.err.find('\033'), std::string::npos);
}

TEST_F(Harden, QuietShowsNoProgress) {
  const Outcome quiet = run_command(failing("slow then solver", {"--quiet"}));
  EXPECT_EQ(quiet.exit_code, 3);
  EXPECT_EQ(quiet.out, "");
  EXPECT_EQ(quiet.err, "thinquench: bath, 3 s: no convergence\n");
}

TEST_F(Harden, SolverFailureExits3AndKeepsEarlierResults) {
  put_earlier_results();
  const Outcome outcome = run_command(failing("solver"));
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_EQ(outcome.out, "");
  EXPECT_EQ(outcome.err, "thinquench: the solver gave up in the furnace: the step fell below 1 us;\n"
                         "thinquench: try a larger tolerance\n");
  expect_earlier_results_whole();
}

TEST_F(Harden, TheRealSolverGivesUpRatherThanStepForEver) {
  put_earlier_results();
  // 35 min in steps of 10 ms are twice the steps that one stage may take
  write_file(folder.path() / "drop_point_o1.toml",
             read_file(hunter) + "\n[solver]\nalong = 8\nacross = 2\nmax_step = \"0.01 s\"\n");
  const Outcome outcome = run_command(request(TQ_PROGRAM, {"harden", "drop_point_o1.toml", "--quiet"}));
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_EQ(outcome.out, "");
  EXPECT_EQ(line_count(outcome.err), 1) << outcome.err;
  EXPECT_NE(outcome.err.find("the solver gave up in the furnace stage at "), std::string::npos)
      << outcome.err;
  expect_earlier_results_whole();
}

TEST_F(Harden, InternalErrorsExit1AndKeepEarlierResults) {
  put_earlier_results();
  const Outcome outcome = run_command(failing("internal"));
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(outcome.err, "thinquench: internal error: a figure that cannot be\n");
  const Outcome stranger = run_command(failing("stranger"));
  EXPECT_EQ(stranger.exit_code, 1);
  EXPECT_EQ(stranger.err, "thinquench: internal error of an unknown kind\n");
  expect_earlier_results_whole();
}

TEST_F(Harden, InterruptExits130AndKeepsEarlierResults) {
  put_earlier_results();
  Request slow = failing("slow");
  slow.signal = SIGINT; // sent with the first line of progress
  const Outcome outcome = run_command(slow);
  EXPECT_EQ(outcome.exit_code, 130);
  EXPECT_EQ(outcome.out, "");
  EXPECT_NE(outcome.err.find("thinquench: interrupted, no file was written\n"), std::string::npos);
  expect_earlier_results_whole();
}

TEST_F(Harden, InterruptStopsTheRealSolver) {
  put_earlier_results();
  std::string text = read_file(hunter);
  text += "\n[solver]\nalong = 400\nacross = 40\ntolerance = \"0.001 K\"\n";
  write_file(folder.path() / "drop_point_o1.toml", text);
  Request fine = request(TQ_PROGRAM, {"harden", "drop_point_o1.toml"});
  fine.signal = SIGINT;
  EXPECT_EQ(run_command(fine).exit_code, 130);
  expect_earlier_results_whole();
}

TEST_F(Harden, AnOutputThatIsNoFolderIsBadInput) {
  write_file(folder.path() / "taken", "a file");
  expect_refused(harden({"--output", "taken/out"}), "--output: cannot write taken/out: ");
  EXPECT_EQ(read_file(folder.path() / "taken"), "a file");
}

TEST_F(Harden, AResultThatCannotBeReplacedExits1) {
  fs::create_directories(folder.path() / "out/drop_point_o1.h5/in_the_way");
  const Outcome outcome = harden({"-q"});
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(line_count(outcome.out), 1)
      << "what was computed is told before the files are written: " << outcome.out;
  EXPECT_EQ(line_count(outcome.err), 1) << outcome.err;
}

/// Every malformed file is refused with the lines that stand beside it, exit 2, and nothing written.
TEST_F(Harden, MalformedFilesAreRefused) {
  int tried = 0;
  for (const fs::directory_entry& entry : fs::directory_iterator(TQ_SOURCE_DIR "/tests/malformed")) {
    if (entry.path().extension() != ".toml")
      continue;
    SCOPED_TRACE(entry.path().filename().string());
    ++tried;
    const auto lines = line_count(read_file(fs::path(entry.path()).replace_extension(".expected")));
    for (const char* command : {"harden", "check"})
      expect_refused(run_command(request(TQ_PROGRAM, {command, entry.path().string()})), ".toml:", lines);
    EXPECT_TRUE(fs::is_empty(folder.path()));
  }
  EXPECT_GE(tried, 30);
}

/// Half a page by default, for every shipped case; the rest is behind --full.
TEST_F(Harden, FirstPageOfEveryShippedCaseHasAtMostFortyLines) {
  int cases = 0;
  for (const fs::directory_entry& entry : fs::directory_iterator(TQ_SOURCE_DIR "/cases")) {
    if (entry.path().extension() != ".toml")
      continue;
    ++cases;
    const Outcome outcome = run_command(
        request(TQ_PROGRAM, {"harden", entry.path().string(), "--members", "32", "--no-what-if"}));
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_LE(line_count(outcome.out), 40) << entry.path() << "\n" << outcome.out;
    const std::size_t answer = std::min(outcome.out.find("\n\nGO"), outcome.out.find("\n\nDO NOT"));
    if (outcome.out.find("\n\nNOT ASKED") == std::string::npos) {
      EXPECT_LT(answer, outcome.out.find("\nSET\n")) << outcome.out;
    }
  }
  EXPECT_GE(cases, 10);
}

/// A bath near its flash point, and water on a carbon steel, are no three times PASS.
TEST_F(Harden, DangersStandInTheOneLine) {
  const auto said = [&](const std::vector<std::string>& more) {
    std::vector<std::string> arguments{"-q", "--no-files"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return harden(arguments).out;
  };
  const std::string hot = said({"--set", "bath.temperature=165 degC"}); // flash point 180, margin 28 K
  EXPECT_NE(hot.find(": DO NOT. "), std::string::npos) << hot;
  EXPECT_NE(hot.find("oil FAIL"), std::string::npos) << hot;
  EXPECT_NE(hot.find("it may catch fire"), std::string::npos) << hot;
  const std::string warm = said({"--set", "bath.temperature=90 degC"}); // usual up to 70
  EXPECT_NE(warm.find("oil MARGINAL"), std::string::npos) << warm;
  EXPECT_NE(warm.find("its limit of 70 degC"), std::string::npos) << warm;
  const std::string water = said({"--set", "bath.coolant=water", "--set", "bath.temperature=25 degC"});
  EXPECT_NE(water.find(": DO NOT. "), std::string::npos) << water;
  EXPECT_NE(water.find("crack FAIL"), std::string::npos) << water;
  const Outcome failed =
      harden({"-q", "--no-files", "--fail-on", "fail", "--set", "bath.temperature=165 degC"});
  EXPECT_EQ(failed.exit_code, 4) << failed.err;
}

/// The timer that the program sets itself is one that it passes.
TEST_F(Harden, OwnTimerPassesByDraws) {
  std::string text = read_file(hunter);
  const std::string timer = "timer = \"28 min\"";
  ASSERT_NE(text.find(timer), std::string::npos);
  text.replace(text.find(timer), timer.size(), "#");
  const std::string from = "timer_from = \"door\"";
  text.replace(text.find(from), from.size(), "#");
  Request piped = request(TQ_PROGRAM, {"harden", "-", "-q", "--members", "128", "--no-files"});
  piped.input = text;
  const Outcome outcome = run_command(piped);
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_NE(outcome.out.find("soak PASS"), std::string::npos) << outcome.out;
}
