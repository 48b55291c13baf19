// Whether what neighbours share changes nothing: every value of a case computed after others is to the last
// bit that of the case alone, by the road of answers::answer().
#include "sweep/treater.hpp"

#include "answers/answers.hpp"
#include "answers/risks.hpp"
#include "sweep/run_sweep.hpp"

#include "case_files.hpp"

#include <gtest/gtest.h>

#include <cstring>

namespace {

using namespace tq;
using Settings = std::vector<records::Setting>;

/// All figures and verdicts, each once.
std::vector<sweep::Column> all_columns() {
  sweep::Plan plan;
  plan.file = "plan.toml";
  for (const answers::Figure& f : answers::figures())
    plan.figures.push_back((f.of_zone != nullptr ? "zone." : "") + std::string(f.meaning.name));
  plan.verdicts = {"soak", "quench", "hardness", "bow", "crack", "oil", "edge"};
  return sweep::columns_of(plan);
}

/// A case on a coarse grid, which makes the same way through the code in a tenth of the time.
treatment::Case coarse(const test::CaseFiles& files, const std::string& name, Settings settings) {
  settings.push_back({"solver.along", "24"});
  settings.push_back({"solver.across", "4"});
  return files.read(name, settings);
}

std::vector<double> alone(const std::vector<sweep::Column>& columns, const treatment::Case& c) {
  std::vector<treatment::Run> runs;
  const answers::Answers a = answers::answer(c, runs);
  const answers::Risks risks = answers::risks(c, a);
  return sweep::values_of(columns, a, nullptr, &risks);
}

void expect_same(const std::vector<sweep::Column>& columns, std::size_t stations,
                 const std::vector<double>& got, const std::vector<double>& wanted, const std::string& what) {
  ASSERT_EQ(got.size(), wanted.size());
  std::size_t at = 0;
  for (const sweep::Column& c : columns)
    for (std::size_t k = 0; k < c.width(stations); ++k, ++at)
      EXPECT_EQ(std::memcmp(&got[at], &wanted[at], sizeof(double)), 0)
          << what << ": " << c.name << " " << got[at] << " instead of " << wanted[at];
}

void expect_as_alone(const std::string& name, const std::vector<Settings>& cases) {
  const test::CaseFiles files;
  const std::vector<sweep::Column> columns = all_columns();
  sweep::Treater treater(columns, 0, 1);
  for (std::size_t i = 0; i < cases.size(); ++i) {
    const treatment::Case c = coarse(files, name, cases[i]);
    expect_same(columns, c.blade.stations.size(), treater.values(c), alone(columns, c),
                name + " " + std::to_string(i));
  }
}

TEST(Sweep_Treater, TemperAxis_IsToTheLastBitAsAlone) {
  expect_as_alone("drop_point_o1.toml", {{{"temper.oven", "180 degC"}},
                                         {{"temper.oven", "205 degC"}},
                                         {{"temper.oven", "260 degC"}},
                                         {{"temper.count", "3"}},
                                         {{"temper.count", "1"}},
                                         {{"temper.time", "1 h"}},
                                         {{"wish.hardness", "[\"58 HRC\", \"60 HRC\"]"}},
                                         {{"verdict.bow_pass", "0.01 mm"}}});
}

TEST(Sweep_Treater, OtherAxes_AreToTheLastBitAsAlone) {
  expect_as_alone("drop_point_o1.toml", {{},
                                         {{"bath.temperature", "80 degC"}},
                                         {{"bath.coolant", "fast-oil"}},
                                         {{"transfer.time", "6 s"}},
                                         {{"cool.lowest", "-70 degC"}},
                                         {{"bath.immersion", "12 mm"}},
                                         {{"blade.station.1.spine", "4 mm"}},
                                         {{"furnace.setpoint", "815 degC"}},
                                         {}});
}

TEST(Sweep_Treater, TimerLeftToTheProgram_IsToTheLastBitAsAlone) {
  expect_as_alone(
      "petty_1084_vegetable.toml",
      {{{"furnace.setpoint", "815 degC"}}, {{"bath.temperature", "70 degC"}}, {{"temper.oven", "220 degC"}}});
}

TEST(Sweep_Treater, ListsOfStepsAndOtherQuenches_AreToTheLastBitAsAlone) {
  expect_as_alone("snap_cold_52100.toml", {{}, {{"wish.within", "5 K"}}, {}});
  expect_as_alone("clay_w2_water_then_oil.toml", {{}, {{"temper.oven", "240 degC"}}, {}});
  expect_as_alone("field_knife_80crv2.toml", {{}, {{"temper.oven", "240 degC"}}});
  expect_as_alone("plates_o2.toml", {{}, {{"temper.oven", "240 degC"}}});
}

TEST(Sweep_Treater, OnlyWhatIsWanted_IsToTheLastBitAsAll) {
  const test::CaseFiles files;
  const treatment::Case c = coarse(files, "drop_point_o1.toml", {});
  const std::vector<sweep::Column> all = all_columns();
  const std::vector<double> wanted = alone(all, c);
  std::size_t at = 0;
  for (const sweep::Column& column : all) {
    sweep::Treater treater({column}, 0, 1);
    const std::vector<double> got = treater.values(c);
    ASSERT_EQ(got.size(), column.width(1));
    EXPECT_EQ(std::memcmp(got.data(), wanted.data() + at, got.size() * sizeof(double)), 0) << column.name;
    at += got.size();
  }
}

TEST(Sweep_Run, CasesThatCannotBeRead_GiveTheirMessageAndStopNothing) {
  const test::CaseFiles files;
  sweep::Plan plan = sweep::read_plan(
      "format = 1\ncase = \"x\"\nfigures = [\"hardness_tempered\"]\n[[axis]]\nkey = \"temper.oven\"\n"
      "values = [\"200 degC\", \"20000 degC\", \"210 degC\"]\n",
      "plan.toml", {}, [](const std::string&) { return std::size_t{1}; });
  std::vector<sweep::Row> rows(3);
  answers::SerialExecutor serial;
  sweep::run_sweep(
      plan, sweep::columns_of(plan), [&](const auto& s) { return coarse(files, "drop_point_o1.toml", s); },
      {}, [](std::size_t number) { return number == 2; }, serial,
      [&](const sweep::Row& row) { rows[row.number] = row; }, [](std::size_t) { return true; });
  EXPECT_EQ(rows[0].failure, "");
  EXPECT_FALSE(rows[0].values.empty());
  EXPECT_NE(rows[1].failure.find("temper.oven"), std::string::npos) << rows[1].failure;
  EXPECT_TRUE(rows[2].values.empty()) << "it was said to be there";
}

} // namespace
