// Help, version, usage errors, streams and colours.
#include "run_command.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <csignal>

using tq::test::expect_refused;
using tq::test::line_count;
using tq::test::Outcome;
using tq::test::Request;
using tq::test::run_command;
using tq::test::TemporaryFolder;
using tq::test::thinquench;

namespace {

const std::string hunter = TQ_SOURCE_DIR "/cases/drop_point_o1.toml";

} // namespace

TEST(Help, StartsWithTheJobAndExamples) {
  for (const char* flag : {"--help", "-h"}) {
    const Outcome help = thinquench({flag});
    EXPECT_EQ(help.exit_code, 0);
    EXPECT_EQ(help.err, "");
    EXPECT_EQ(help.out.rfind("thinquench computes the heat treatment of thin knife blades", 0), 0U);
    const auto examples = help.out.find("Examples:\n  thinquench new my_blade.toml");
    const auto commands = help.out.find("Commands:\n  harden ");
    ASSERT_NE(examples, std::string::npos) << help.out;
    ASSERT_NE(commands, std::string::npos) << help.out;
    EXPECT_LT(examples, commands);
    for (const char* part : {"  check ", "  stock ", "  blank ", "--materials DIR", "--no-color", "--version",
                             "Exit codes:\n  0 done", "130 interrupted", "THINQUENCH_MATERIALS", "NO_COLOR"})
      EXPECT_NE(help.out.find(part), std::string::npos) << part << "\n" << help.out;
  }
}

TEST(Help, FitsInAHundredColumns) {
  for (const std::vector<std::string>& line : std::vector<std::vector<std::string>>{
           {"--help"}, {"harden", "--help"}, {"check", "--help"}, {"stock", "--help"}, {"blank", "--help"}}) {
    const Outcome help = thinquench(line);
    std::size_t begin = 0;
    for (std::size_t end; (end = help.out.find('\n', begin)) != std::string::npos; begin = end + 1)
      EXPECT_LE(end - begin, 100U) << help.out.substr(begin, end - begin);
  }
}

TEST(Help, OfACommandShowsItsOwnExamplesAndOptions) {
  const Outcome help = thinquench({"harden", "--help"});
  EXPECT_EQ(help.exit_code, 0);
  for (const char* part :
       {"Usage: thinquench harden [CASE] [OPTIONS]", "Examples:\n  thinquench harden my_blade",
        "-o, --output DIR", "--json", "-q, --quiet", "Options of every command:"})
    EXPECT_NE(help.out.find(part), std::string::npos) << part << "\n" << help.out;
  EXPECT_NE(thinquench({"stock", "-h"}).out.find("Usage: thinquench stock [WHAT] [OPTIONS]"),
            std::string::npos);
}

TEST(Version, IsOneLine) {
  const Outcome version = thinquench({"--version"});
  EXPECT_EQ(version.exit_code, 0);
  EXPECT_EQ(version.out.rfind("thinquench " TQ_VERSION " (", 0), 0U) << version.out;
  EXPECT_EQ(line_count(version.out), 1);
}

TEST(Usage, ErrorsAreOneLineAndExit2) {
  expect_refused(thinquench({}), "no command given");
  expect_refused(thinquench({"hardn", hunter}), "did you mean 'harden'?");
  expect_refused(thinquench({"anneal", hunter}), "'anneal' is no command");
  expect_refused(thinquench({hunter}), "to compute this case: thinquench harden");
  expect_refused(thinquench({"harden"}), "CASE");
  expect_refused(thinquench({"harden", hunter, "--jsn"}), "--jsn");
  expect_refused(thinquench({"harden", hunter, hunter}), "see thinquench harden --help");
  expect_refused(thinquench({"harden", hunter, "--output"}), "--output");
  expect_refused(thinquench({"stock", "unobtainium"}), "nothing is called 'unobtainium'");
  expect_refused(thinquench({"harden", "no_such_file.toml"}), "no_such_file.toml: cannot be read");
  expect_refused(thinquench({"harden", TQ_SOURCE_DIR}), "is a folder");
}

TEST(Usage, CommandsAreNotAbbreviated) { EXPECT_EQ(thinquench({"hard", hunter}).exit_code, 2); }

TEST(Materials, FolderComesFromTheOptionThenTheEnvironmentThenTheSourceTree) {
  const TemporaryFolder folder;
  const std::string own = folder.path() / "own";
  std::filesystem::create_directories(folder.path() / "own");
  std::filesystem::copy(TQ_SOURCE_DIR "/materials", own, std::filesystem::copy_options::recursive);
  std::filesystem::rename(own + "/steels/O1.toml", own + "/steels/O1-own.toml");
  const std::string shipped = TQ_SOURCE_DIR "/materials";

  EXPECT_EQ(thinquench({"stock", "O1"}).exit_code, 0);
  EXPECT_EQ(thinquench({"stock", "O1"}, {{"THINQUENCH_MATERIALS", own}}).exit_code, 2);
  EXPECT_EQ(thinquench({"stock", "O1-own"}, {{"THINQUENCH_MATERIALS", own}}).exit_code, 0);
  EXPECT_EQ(thinquench({"stock", "O1-own", "--materials", own}).exit_code, 0);
  EXPECT_EQ(thinquench({"stock", "O1", "--materials", shipped}, {{"THINQUENCH_MATERIALS", own}}).exit_code,
            0);
  expect_refused(thinquench({"stock", "--materials", folder.path()}), "is no folder of records");
  expect_refused(thinquench({"stock"}, {{"THINQUENCH_MATERIALS", "/nowhere"}}), "THINQUENCH_MATERIALS");
}

TEST(Materials, AreFoundBesideAnInstalledProgram) {
  const TemporaryFolder folder;
  std::filesystem::create_directories(folder.path() / "bin");
  std::filesystem::create_directories(folder.path() / "share/thinquench");
  std::filesystem::copy_file(TQ_PROGRAM, folder.path() / "bin/thinquench");
  std::filesystem::copy(TQ_SOURCE_DIR "/materials", folder.path() / "share/thinquench/materials",
                        std::filesystem::copy_options::recursive);
  std::filesystem::rename(folder.path() / "share/thinquench/materials/steels/O1.toml",
                          folder.path() / "share/thinquench/materials/steels/O1-installed.toml");
  Request request;
  request.program = folder.path() / "bin/thinquench";
  request.arguments = {"stock", "O1-installed"};
  EXPECT_EQ(run_command(request).exit_code, 0);
}

TEST(Stock, ListsKindsAndShowsTheSourceOfEveryValue) {
  const Outcome all = thinquench({"stock"});
  EXPECT_EQ(all.exit_code, 0);
  for (const char* part : {"steels\n", "coolants\n", "foils\n", "  O1 ", "  medium-oil ", "  stainless "})
    EXPECT_NE(all.out.find(part), std::string::npos) << part;
  const Outcome steels = thinquench({"stock", "steels"});
  EXPECT_NE(steels.out.find("  52100 "), std::string::npos);
  EXPECT_EQ(steels.out.find("medium-oil"), std::string::npos);
  const Outcome o1 = thinquench({"stock", "o1"});
  EXPECT_NE(o1.out.find("density = "), std::string::npos) << o1.out;
  EXPECT_NE(o1.out.find("    source: "), std::string::npos);
  const Outcome strains = thinquench({"stock", "strains"});
  EXPECT_NE(strains.out.find("volume.at_no_carbon = "), std::string::npos) << strains.out;
  EXPECT_NE(all.out.find("\nstrains\n  strains "), std::string::npos) << all.out;
}

TEST(Stock, JsonCarriesASourceForEveryValue) {
  const auto document = nlohmann::json::parse(thinquench({"stock", "--json"}).out);
  EXPECT_EQ(document.at("schema"), "thinquench-stock");
  EXPECT_EQ(document.at("schema_version"), 1);
  ASSERT_GE(document.at("records").size(), 18U);
  for (const auto& record : document.at("records")) {
    EXPECT_FALSE(record.at("values").empty()) << record.at("key");
    for (const auto& value : record.at("values"))
      EXPECT_FALSE(value.at("source").get<std::string>().empty()) << record.at("key") << value.at("key");
  }
}

TEST(Blank, IsACaseThatChecks) {
  const Outcome blank = thinquench({"blank"});
  EXPECT_EQ(blank.exit_code, 0);
  Request request;
  request.program = TQ_PROGRAM;
  request.arguments = {"check", "-"};
  request.input = blank.out;
  const Outcome checked = run_command(request);
  EXPECT_EQ(checked.exit_code, 0) << checked.err;
  request.input = checked.out;
  const Outcome again = run_command(request);
  EXPECT_EQ(again.exit_code, 0) << again.err;
  const auto before_assumptions = [](const std::string& text) {
    return text.substr(0, text.find("\n# Assumed"));
  };
  EXPECT_EQ(before_assumptions(again.out), before_assumptions(checked.out));
}

TEST(Check, SaysWhatItAssumesAndWritesNothing) {
  const TemporaryFolder folder;
  Request request;
  request.program = TQ_PROGRAM;
  request.folder = folder.path();
  request.arguments = {"check", hunter};
  const Outcome checked = run_command(request);
  EXPECT_EQ(checked.exit_code, 0) << checked.err;
  EXPECT_NE(checked.out.find("\n# Assumed, because the case does not say:\n# - "), std::string::npos);
  request.arguments = {"check", hunter, "--json"};
  const auto document = nlohmann::json::parse(run_command(request).out);
  EXPECT_EQ(document.at("schema"), "thinquench-check");
  EXPECT_FALSE(document.at("assumed").empty());
  EXPECT_FALSE(document.at("resolved_case").get<std::string>().empty());
  request.arguments = {"check", hunter, "--quiet"};
  EXPECT_EQ(run_command(request).out, "");
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
}

TEST(Streams, AFullOutputDeviceIsAnInternalError) {
  Request request;
  request.program = TQ_PROGRAM;
  request.arguments = {"stock"};
  request.out_to = "/dev/full";
  const Outcome outcome = run_command(request);
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(outcome.err, "thinquench: standard output cannot be written to\n");
}
