// The end-quenched bar as a person at a terminal meets it.
#include "run_command.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

using tq::test::expect_refused;
using tq::test::Outcome;
using tq::test::read_file;
using tq::test::TemporaryFolder;
using tq::test::thinquench;

TEST(JominyCommand, OneSteel_IsTabulatedAndDrawnBesideItsPublishedBand) {
  const TemporaryFolder folder;
  const Outcome o = thinquench({"jominy", "5160", "--draw", "bar.svg"}, {}, folder.path());
  EXPECT_EQ(o.exit_code, 0) << o.err;
  EXPECT_NE(o.out.find("SAE J1268"), std::string::npos);
  const std::string svg = read_file(folder.path() / "bar.svg");
  EXPECT_NE(svg.find("SAE J1268"), std::string::npos);
  EXPECT_NE(svg.find("</svg>"), std::string::npos);
}

TEST(JominyCommand, Json_HasTheBarWithinItsDoubt) {
  const Outcome o = thinquench({"jominy", "C", "0.8", "Mn", "0.75", "--json"});
  ASSERT_EQ(o.exit_code, 0) << o.err;
  const nlohmann::json steel = nlohmann::json::parse(o.out).at("steels").at(0);
  EXPECT_TRUE(steel.at("by_composition").get<bool>());
  const auto hrc = steel.at("HRC").get<std::vector<double>>(),
             low = steel.at("HRC_shallow").get<std::vector<double>>(),
             high = steel.at("HRC_deep").get<std::vector<double>>();
  ASSERT_EQ(hrc.size(), steel.at("distance_m").size());
  EXPECT_GT(hrc.front(), 60);
  for (std::size_t i = 0; i < hrc.size(); ++i) {
    EXPECT_LE(low[i], hrc[i] + 1); // a little: where all is pearlite, a later start makes it finer
    EXPECT_LE(hrc[i], high[i] + 1);
  }
}

TEST(JominyCommand, BadInput_IsOneLine) {
  expect_refused(thinquench({"jominy", "1085"}), "did you mean");
  expect_refused(thinquench({"jominy", "5160", "--harden", "700 degC"}), "--harden: 700 degC leaves ferrite");
  expect_refused(thinquench({"jominy", "5160", "--draw", "bar.png"}), "ends in .svg");
}
