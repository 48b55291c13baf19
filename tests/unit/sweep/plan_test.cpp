// Plans as people write them, good and bad. The figures are by hand.
#include "sweep/plan.hpp"

#include "answers/compute.hpp"
#include "sweep/columns.hpp"
#include "sweep/order.hpp"
#include "sweep/sample.hpp"

#include "case_files.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <set>

namespace {

using namespace tq;
using sweep::Plan;

constexpr const char* head = "format = 1\ncase = \"drop_point_o1.toml\"\nfigures = [\"hardness_tempered\"]\n";

Plan plan_of(const std::string& text, const std::string& table = {}) {
  return sweep::read_plan(
      head + text, "plan.toml", [&](const std::string&) { return table; },
      [](const std::string&) { return std::size_t{2}; });
}

/// What reading the plan, and trying its values on the case, complains of.
std::string complaint(const std::string& text, const std::string& table = {}) {
  const test::CaseFiles files;
  try {
    const Plan plan = plan_of(text, table);
    sweep::columns_of(plan);
    sweep::try_values(plan, [&](const auto& settings) { return files.read("drop_point_o1.toml", settings); });
  } catch (const records::InputError& error) {
    return error.what();
  }
  return "";
}

void expect_in(const std::string& part, const std::string& text) {
  EXPECT_NE(text.find(part), std::string::npos) << text;
  EXPECT_EQ(text.find('\n'), std::string::npos) << "one line: " << text;
}

TEST(Sweep_Plan, ListsAndRanges_GiveTheirProductLastAxisFastest) {
  const Plan plan =
      plan_of("[[axis]]\nkey = \"bath.temperature\"\nvalues = [\"40 degC\", \"140 degF\"]\n"
              "[[axis]]\nkey = \"temper.oven\"\nfrom = \"180 degC\"\nto = \"220 degC\"\nstep = \"20 K\"\n");
  ASSERT_EQ(plan.cases(), 6U);
  EXPECT_NEAR(plan.factors[0].keys[0].values[1], 60, 1e-9); // 140 degF
  const auto settings = plan.settings(4);
  ASSERT_EQ(settings.size(), 2U);
  EXPECT_EQ(settings[0].path, "bath.temperature");
  EXPECT_EQ(settings[0].value, "\"140 degF\"");
  EXPECT_EQ(settings[1].value, "200 degC");
  EXPECT_EQ(plan.number(plan.places(5)), 5U);
}

TEST(Sweep_Plan, RangeByCount_HoldsBothEnds) {
  const Plan plan =
      plan_of("[[axis]]\nkey = \"blade.station.1.spine\"\nfrom = \"2 mm\"\nto = \"4 mm\"\ncount = 5\n");
  const std::vector<double>& v = plan.factors[0].keys[0].values;
  ASSERT_EQ(v.size(), 5U);
  EXPECT_DOUBLE_EQ(v.front(), 0.002);
  EXPECT_DOUBLE_EQ(v.back(), 0.004);
  EXPECT_NEAR(v[1], 0.0025, 1e-15);
}

TEST(Sweep_Plan, KeyOfSections_StandsForAllOfThem) {
  const Plan plan = plan_of("[[axis]]\nkey = \"blade.spine\"\nvalues = [\"2 mm\"]\n");
  const auto settings = plan.settings(0);
  ASSERT_EQ(settings.size(), 2U);
  EXPECT_EQ(settings[0].path, "blade.station.1.spine");
  EXPECT_EQ(settings[1].path, "blade.station.2.spine");
}

TEST(Sweep_Plan, AxesWithOneWord_GoTogether) {
  const Plan plan =
      plan_of("[[axis]]\nkey = \"blade.spine\"\nvalues = [\"2 mm\", \"3 mm\"]\nwith = \"size\"\n"
              "[[axis]]\nkey = \"blade.edge\"\nvalues = [\"0.4 mm\", \"0.6 mm\"]\nwith = \"size\"\n");
  ASSERT_EQ(plan.cases(), 2U);
  EXPECT_EQ(plan.factors[0].name, "size");
  EXPECT_EQ(plan.settings(1)[0].value, "\"3 mm\"");
  EXPECT_EQ(plan.settings(1)[2].value, "\"0.6 mm\"");
}

TEST(Sweep_Plan, RowsOfATable_AreCases) {
  const Plan plan =
      plan_of("[rows]\nfile = \"t.csv\"\n", "bath.coolant,temper.oven\nfast-oil,200 degC\nwater,210 degC\n");
  ASSERT_EQ(plan.cases(), 2U);
  EXPECT_EQ(plan.settings(1)[0].value, "water");
  EXPECT_FALSE(plan.factors[0].keys[0].numeric);
  EXPECT_NEAR(plan.factors[0].keys[1].values[1], 210, 1e-9);
}

TEST(Sweep_Plan, Sample_StaysInItsRanges) {
  for (const char* method : {"sobol", "latin hypercube"}) {
    const Plan plan = plan_of(
        std::string("[sample]\nmethod = \"") + method +
        "\"\npoints = 16\n[[sample.axis]]\nkey = \"temper.oven\"\nfrom = \"180 degC\"\nto = \"220 degC\"\n"
        "[[sample.axis]]\nkey = \"temper.count\"\nfrom = 1\nto = 3\n");
    ASSERT_EQ(plan.cases(), 16U);
    for (const double T : plan.factors[0].keys[0].values)
      EXPECT_TRUE(T > 180 && T < 220) << T;
    for (const double n : plan.factors[0].keys[1].values)
      EXPECT_EQ(n, std::round(n));
  }
}

TEST(Sweep_Sample, LatinHypercube_HasOnePointInEachSlice) {
  constexpr std::size_t n = 50, dimensions = 3;
  const std::vector<double> points = sweep::latin_hypercube(n, dimensions, 7);
  for (std::size_t d = 0; d < dimensions; ++d) {
    std::set<int> slices;
    for (std::size_t i = 0; i < n; ++i)
      slices.insert(static_cast<int>(points[i * dimensions + d] * n));
    EXPECT_EQ(slices.size(), n);
  }
}

TEST(Sweep_Plan, BadPlans_AreRefusedInOneLineWithTheirPlace) {
  expect_in("plan.toml:5: axis bath.temprature: unknown key; did you mean \"temperature\"?",
            complaint("[[axis]]\nkey = \"bath.temprature\"\nvalues = [\"40 degC\"]\n"));
  expect_in("plan.toml:5: axis bath.temperature: \"40 kg\" is a mass",
            complaint("[[axis]]\nkey = \"bath.temperature\"\nvalues = [\"50 degC\", \"40 kg\"]\n"));
  expect_in("values is empty", complaint("[[axis]]\nkey = \"bath.temperature\"\nvalues = []\n"));
  expect_in(
      "= 1e+12 cases; at most 100000000",
      complaint(
          "[[axis]]\nkey = \"bath.temperature\"\nfrom = \"20 degC\"\nto = \"80 degC\"\ncount = 1000000\n"
          "[[axis]]\nkey = \"temper.oven\"\nfrom = \"150 degC\"\nto = \"250 degC\"\ncount = 1000000\n"));
  // 800 MB of values, and of a sample twice that: what stands in ten lines of text
  expect_in("1e+08 values up to here; at most 5e+06",
            complaint("[[axis]]\nkey = \"temper.oven\"\nfrom = \"150 degC\"\nto = \"250 degC\"\n"
                      "count = 100000000\n"));
  expect_in("1e+08 values up to here",
            complaint("[sample]\nmethod = \"sobol\"\npoints = 100000000\n[[sample.axis]]\n"
                      "key = \"temper.oven\"\nfrom = \"150 degC\"\nto = \"250 degC\"\n"));
  expect_in("nothing to sweep", complaint(""));
  expect_in("needs count or step",
            complaint("[[axis]]\nkey = \"temper.oven\"\nfrom = \"1 degC\"\nto = \"2 degC\"\n"));
  expect_in(
      "no end is reached",
      complaint(
          "[[axis]]\nkey = \"temper.oven\"\nfrom = \"150 degC\"\nto = \"250 degC\"\nstep = \"-5 K\"\n"));
  expect_in("stands on line 5 too", complaint("[[axis]]\nkey = \"temper.oven\"\nvalues = [\"200 degC\"]\n"
                                              "[[axis]]\nkey = \"temper.oven\"\nvalues = [\"210 degC\"]\n"));
  expect_in("go together",
            complaint("[[axis]]\nkey = \"blade.spine\"\nvalues = [\"2 mm\", \"3 mm\"]\nwith = \"a\"\n"
                      "[[axis]]\nkey = \"blade.edge\"\nvalues = [\"0.4 mm\"]\nwith = \"a\"\n"));
  expect_in("list its values instead",
            complaint("[[axis]]\nkey = \"bath.coolant\"\nfrom = 1\nto = 2\ncount = 2\n"));
  expect_in("has no rows", complaint("[rows]\nfile = \"t.csv\"\n", "temper.oven\n"));
  expect_in(
      "unknown key",
      complaint(
          "[[axs]]\nkey = \"temper.oven\"\n[[axis]]\nkey = \"temper.oven\"\nvalues = [\"200 degC\"]\n"));
}

TEST(Sweep_Columns, UnknownFigure_IsRefusedWithTheNearest) {
  Plan plan = plan_of("[[axis]]\nkey = \"temper.oven\"\nvalues = [\"200 degC\"]\n");
  plan.figures = {"hardness_temperd"};
  try {
    sweep::columns_of(plan);
    FAIL();
  } catch (const records::InputError& error) {
    expect_in("did you mean \"hardness_tempered\"?", error.what());
  }
}

TEST(Sweep_Order, TemperRunsFastest_AndShardsHaveEveryCaseOnce) {
  const Plan plan =
      plan_of("[[axis]]\nkey = \"temper.oven\"\nfrom = \"180 degC\"\nto = \"220 degC\"\ncount = 7\n"
              "[[axis]]\nkey = \"blade.spine\"\nfrom = \"2 mm\"\nto = \"4 mm\"\ncount = 5\n"
              "[[axis]]\nkey = \"bath.temperature\"\nfrom = \"20 degC\"\nto = \"80 degC\"\ncount = 3\n");
  const sweep::Order order(plan);
  ASSERT_EQ(order.cases(), 105U);
  for (std::size_t place = 0; place < 7; ++place)
    EXPECT_EQ(plan.places(order.case_at(place)), (std::vector<std::size_t>{place, 0, 0}));
  EXPECT_EQ(plan.places(order.case_at(7)), (std::vector<std::size_t>{0, 0, 1}));
  for (const std::size_t shards : {1U, 2U, 8U, 200U})
    for (const std::size_t hands : {1U, 3U}) {
      std::vector<int> seen(105, 0);
      for (std::size_t k = 1; k <= shards; ++k)
        for (const auto& block : order.blocks({k, shards}, hands))
          for (std::size_t place = block.from; place < block.to; ++place)
            ++seen[order.case_at(place)];
      EXPECT_TRUE(std::all_of(seen.begin(), seen.end(), [](int n) { return n == 1; }))
          << shards << " " << hands;
    }
}

} // namespace
