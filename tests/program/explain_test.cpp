// explain: what was read, on the command line.
#include "run_command.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace {

using namespace tq::test;

const std::string hunter = TQ_SOURCE_DIR "/cases/drop_point_o1.toml";

Outcome explain(const std::vector<std::string>& more) {
  std::vector<std::string> arguments{"explain", hunter};
  arguments.insert(arguments.end(), more.begin(), more.end());
  return thinquench(arguments);
}

} // namespace

TEST(ExplainCommand, TellsCausesWithTheirTestsAndTheNextBlade) {
  const Outcome o = explain({"--quenched", "spine 57 HRC", "--file", "skates"});
  EXPECT_EQ(o.exit_code, 0) << o.err;
  for (const char* part : {"MOST LIKELY (", "READ\n", "spine as quenched: 57.0 HRC", "WHAT HAPPENED\n",
                           "WHAT FITS, MOST LIKELY FIRST\n",
                           "test: ", "then: ", "THE NEXT BLADE, MADE THE SAME WAY (spine)", "assumed: "})
    EXPECT_NE(o.out.find(part), std::string::npos) << part << "\n" << o.out;
}

TEST(ExplainCommand, JsonHoldsTheSame) {
  const Outcome o =
      explain({"--quenched", "spine 63 HRC, edge 62 HRC", "--tempered", "spine 58 HRC", "--json"});
  ASSERT_EQ(o.exit_code, 0) << o.err;
  const auto document = nlohmann::json::parse(o.out);
  EXPECT_EQ(document.at("schema"), "thinquench-explain");
  EXPECT_EQ(document.at("readings").size(), 3U);
  EXPECT_EQ(document.at("schema_version"), 2);
  double before = 1;
  for (const auto& cause : document.at("causes")) {
    const double share = cause.at("share").get<double>();
    EXPECT_LE(share, before);
    EXPECT_LE(cause.at("alone").get<double>(), share + 1e-12);
    before = share;
  }
  EXPECT_GT(document.at("effective_draws").get<double>(), 1);
  EXPECT_TRUE(document.at("next_blade").at("tempered").at("middle").is_number());
}

TEST(ExplainCommand, FilesAtPlacesAndDrawsOfOnesOwn) {
  const std::vector<std::string> asked{
      "--file", "spine bites, edge just skates", "--file-ground", "skates", "--members", "8", "--json"};
  const Outcome o = explain(asked);
  ASSERT_EQ(o.exit_code, 0) << o.err;
  const auto files = nlohmann::json::parse(o.out).at("files");
  ASSERT_EQ(files.size(), 3U);
  EXPECT_EQ(files[1].at("zone"), "edge");
  EXPECT_EQ(files[1].at("feel"), "just skates");
  EXPECT_TRUE(files[2].at("ground").get<bool>());
  auto other = asked;
  other.insert(other.end(), {"--seed", "2"});
  EXPECT_EQ(explain(asked).out, o.out);
  EXPECT_NE(explain(other).out, o.out);
}

TEST(ExplainCommand, BadReadingsAreOneLine) {
  const std::vector<std::pair<std::vector<std::string>, std::string>> bad = {
      {{}, "what was read is missing"},
      {{"--quenched", "tang 58 HRC"}, "'tang 58 HRC'"},
      {{"--quenched", "58 HRC"}, "a place and a hardness"},
      {{"--quenched", "spine"}, "a place and a hardness"},
      {{"--quenched", "spine 58 HV"}, "--quenched"},
      {{"--quenched", "spine 58 HRC,"}, "--quenched"},
      {{"--file", "slides"}, "--file: 'slides'"},
      {{"--file", "tang skates"}, "--file: 'tang skates'"},
      {{"--file", "bites", "--members", "3"}, "--members"},
      {{"--file", "bites", "--tester", "0 HRC"}, "--tester"},
      {{"--file", "bites", "--station", "tip"}, "--station"},
      {{"--quenched", "spine 90 HRC"}, "90"}};
  for (const auto& [arguments, part] : bad)
    expect_refused(explain(arguments), part);
}
