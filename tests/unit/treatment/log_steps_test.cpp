// Furnaces and ovens that follow a log. The text of the log comes through the record source, so nothing here
// touches a file.
#include "../../support/file_records.hpp"
#include "treatment/run.hpp"
#include "treatment/trace.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <utility>

namespace {

using namespace tq;
using namespace tq::treatment;

/// The shipped records and logs that are held in memory.
class WithLogs : public test::FileRecords {
 public:
  explicit WithLogs(std::map<std::string, std::string> logs) : logs_(std::move(logs)) {}
  std::optional<RecordText> at_path(RecordKind kind, const std::string& path) const override {
    const auto found = logs_.find(path);
    return kind != RecordKind::log ? FileRecords::at_path(kind, path)
           : found == logs_.end()  ? std::nullopt
                                   : std::optional(RecordText{found->second, path});
  }

 private:
  std::map<std::string, std::string> logs_;
};

constexpr const char* blade = R"case(
format = 1
[blade]
steel = "O1"
length = "110 mm"
[[blade.station]]
name = "middle"
width = "30 mm"
spine = "3.2 mm"
edge = "0.6 mm"
grind = "flat"
[solver]
along = 16
across = 4
)case";

Case read(const std::string& more, const std::string& furnace_log, const std::string& oven_log = {}) {
  return read_case(blade + more, "logged.toml", WithLogs({{"run.csv", furnace_log}, {"oven.csv", oven_log}}));
}

std::string refusal(const std::string& more, const std::string& furnace_log) {
  try {
    read(more, furnace_log);
  } catch (const records::InputError& error) {
    return error.what();
  }
  return "read without an error";
}

/// Up to 800 degC in 40 min, there for 20 min; a row every 5 min.
const std::string hold_800 = [] {
  std::string text = "time_min,muffle_degC\n";
  for (int t = 0; t <= 60; t += 5)
    text += std::to_string(t) + "," + std::to_string(t < 40 ? 20 + 19.5 * t : 800) + "\n";
  return text;
}();

} // namespace

// The same course told by a programme and by its log: the same blade, to what landing on corners leaves.
TEST(LogSteps, Log_HeatsAsItsProgramme) {
  const std::string stages = "stages = [\"furnace\"]\n";
  const Case logged = read_case(stages + (blade + std::string("[furnace]\nlog = \"run.csv\"\n")), "a.toml",
                                WithLogs({{"run.csv", hold_800}}));
  const Case set =
      read_case(stages + (blade + std::string("[furnace]\nloading = \"cold\"\ntimer = \"60 min\"\n"
                                              "[[furnace.programme]]\ntarget = \"800 degC\"\n"
                                              "rate = \"19.5 K/min\"\nhold = \"20 min\"\n")),
                "b.toml", test::FileRecords());
  ASSERT_TRUE(logged.furnace().timer_s);
  EXPECT_DOUBLE_EQ(*logged.furnace().timer_s, 3600);
  EXPECT_DOUBLE_EQ(logged.furnace().setpoint_degC, 800);
  const treatment::Run a = run_station(logged, 0), b = run_station(set, 0);
  for (const double t : {600.0, 1500.0, 2400.0, 3600.0})
    EXPECT_NEAR(trace_value(a.time_s, a.zones[zone_spine].temperature, t),
                trace_value(b.time_s, b.zones[zone_spine].temperature, t), 0.3)
        << t;
  EXPECT_NEAR(a.after_furnace.time_at_temperature.front(), b.after_furnace.time_at_temperature.front(), 3);
}

TEST(LogSteps, ReadingOffset_ShiftsTheLog) {
  const Case c = read("[furnace]\nlog = \"run.csv\"\nreading_offset = \"-12 K\"\n", hold_800);
  EXPECT_NEAR(temperature_of(c.furnace()).final_degC(), 788, 1e-9);
  EXPECT_NEAR(temperature_of(c.furnace())(3000), 788, 1e-9);
}

// A clock that is off and a blade that came out before the log ends.
TEST(LogSteps, StartOnTheLoggersClock_AndATimer) {
  const std::string log =
      "clock,bench_degC,muffle_degC\n13:50,21,795\n14:00,21,800\n14:20,22,801\n14:40,22,802\n";
  const Case c = read("[furnace]\nlog = \"run.csv\"\nlog_start = \"14:00\"\nlog_column = \"muffle_degC\"\n"
                      "log_gap = \"30 min\"\ntimer = \"25 min\"\n",
                      log);
  EXPECT_DOUBLE_EQ(blade_out_s(c.furnace()), 1500);
  EXPECT_NEAR(temperature_of(c.furnace())(600), 800.5, 1e-9);
  // what is resolved reads back to the same
  const Case back = read_case(c.resolved_text, "back.toml", WithLogs({{"run.csv", log}}));
  EXPECT_EQ(back.resolved_text, c.resolved_text);
  EXPECT_EQ(back.furnace().log->time_s, c.furnace().log->time_s);
}

TEST(LogSteps, OvenFollowsItsLog_OncePerTemper) {
  const std::string oven = "time_min,T_degC\n0,150\n10,205\n120,205\n";
  const std::string rest =
      "[furnace]\nsetpoint = \"800 degC\"\ntimer = \"20 min\"\n[bath]\ncoolant = \"medium-oil\"\n";
  const Case once = read(rest + "[temper]\nlog = \"oven.csv\"\nlog_gap = \"2 h\"\n", "", oven),
             twice = read(rest + "[temper]\nlog = \"oven.csv\"\nlog_gap = \"2 h\"\ncount = 2\n", "", oven);
  EXPECT_EQ(once.tempers(), 1);
  EXPECT_EQ(twice.tempers(), 2);
  EXPECT_DOUBLE_EQ(once.oven().oven_degC, 205);
  EXPECT_DOUBLE_EQ(once.oven().time_s, 7200);
  Case hotter = once; // another level shifts all of it
  hotter.for_each_oven([](Oven& o) { o.oven_degC += 40; });
  const treatment::Run a = run_station(once, 0), b = run_station(hotter, 0);
  EXPECT_GT(a.final_HV[0], b.final_HV[0] + 5);
}

// As a [[step]], a log that goes down again is followed to its end.
TEST(LogSteps, StepWithALog_RunsToItsEnd) {
  const Case c =
      read("[[step]]\nkind = \"furnace\"\nname = \"anneal\"\nlog = \"run.csv\"\nlog_gap = \"2 h\"\n",
           "time_min,T_degC\n0,20\n40,760\n60,760\n160,400\n");
  const treatment::Run run = run_station(c, 0);
  EXPECT_NEAR(run.spans.front().to_s, 160 * 60, 1e-6);
  EXPECT_NEAR(run.zones[zone_spine].temperature.back(), 400, 25);
}

TEST(LogSteps, WhatCannotStandBesideALog_IsToldInOneLineEach) {
  EXPECT_EQ(refusal("[furnace]\nlog = \"run.csv\"\nsetpoint = \"800 degC\"\ndroop = \"10 K\"\n", hold_800),
            "logged.toml:17: furnace.setpoint: has no place beside a log, which says how hot it was\n"
            "logged.toml:18: furnace.droop: belongs to a hot load; here the load is cold or a log is given");
  EXPECT_EQ(refusal("[furnace]\nlog = \"run.csv\"\ntimer = \"2 h\"\n", hold_800),
            "logged.toml:17: furnace.timer: takes the blade out after 7200 s, but the log ends after 3600 s");
  EXPECT_EQ(refusal("[furnace]\nlog = \"run.csv\"\n", "time_min,T_degC\n0,20\n40,x9\n").substr(0, 44),
            "logged.toml:16: furnace.log: run.csv:3: \"x9\"");
}
