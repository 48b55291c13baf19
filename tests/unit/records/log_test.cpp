// Logs of furnaces and ovens as loggers export them.
#include "records/read_log.hpp"

#include "records/document.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

using tq::records::LogChoice;
using tq::records::LogRecord;
using tq::records::read_log;

namespace {

std::string refusal(const std::string& text, const LogChoice& choice = {}) {
  try {
    read_log(text, "run.csv", choice);
  } catch (const tq::records::InputError& error) {
    return error.what();
  }
  return "read without an error";
}

LogChoice from(const std::string& start) {
  LogChoice choice;
  choice.start = start;
  return choice;
}

} // namespace

TEST(Log, SecondsAndDegC_AreTakenAsTheyStand) {
  const LogRecord log = read_log("time_s,temperature_degC\n0,750\n30,770.5\n60,800\n", "run.csv");
  EXPECT_EQ(log.time_s, (std::vector<double>{0, 30, 60}));
  EXPECT_EQ(log.temperature_degC, (std::vector<double>{750, 770.5, 800}));
  EXPECT_TRUE(log.remarks.empty());
}

// 1 min is 60 s, 1472 degF is 800 degC
TEST(Log, UnitsOfTheHeading_AreConverted) {
  for (const char* heading : {"Time [min];Furnace [degF]",
                              "t/min;Furnace (\xC2\xB0"
                              "F)",
                              "elapsed_min;T_F"}) {
    SCOPED_TRACE(heading);
    const LogRecord log = read_log(std::string(heading) + "\n1;1472\n2,5;1481,0\n", "run.csv");
    ASSERT_EQ(log.time_s.size(), 2U);
    EXPECT_DOUBLE_EQ(log.time_s[1], 90);
    EXPECT_NEAR(log.temperature_degC[0], 800, 1e-9);
    EXPECT_NEAR(log.temperature_degC[1], 805, 1e-9);
  }
}

TEST(Log, ClockPastMidnight_GoesOn) {
  const LogRecord log =
      read_log("clock,T_degC\n23:59:30,100\n0:00:30,200\n0:01:30,300\n", "run.csv", from("23:59:40"));
  ASSERT_EQ(log.time_s.size(), 3U);
  EXPECT_DOUBLE_EQ(log.time_s[0], 0);
  EXPECT_DOUBLE_EQ(log.time_s[1], 50);
  EXPECT_NEAR(log.temperature_degC[0], 100 + 100.0 / 6, 1e-9);
}

TEST(Log, DatesAndHalvesOfTheDay_AreRead) {
  const LogRecord dated =
      read_log("Date and time,T_degC\n2024-05-03T23:59:00Z,100\n2024-05-04T00:01:00Z,200\n", "run.csv");
  EXPECT_DOUBLE_EQ(dated.time_s.back(), 120);
  const LogRecord halves =
      read_log("time,T_degC\n5/3/2024 11:59:00 AM,100\n5/3/2024 12:01:00 PM,200\n5/3/2024 1:00:00 PM,210\n",
               "run.csv", {"", "", 7200});
  EXPECT_DOUBLE_EQ(halves.time_s[1], 120);
  EXPECT_DOUBLE_EQ(halves.time_s[2], 3660);
}

// A clock of its own: seconds since 1970, the door closed at some point of it.
TEST(Log, OffsetClock_CountsFromTheStart) {
  const LogRecord log = read_log("time_s,T_degC\n1714744800,20\n1714744860,800\n1714744920,810\n", "run.csv",
                                 from("1714744860 s"));
  EXPECT_EQ(log.time_s, (std::vector<double>{0, 60}));
  EXPECT_EQ(log.temperature_degC, (std::vector<double>{800, 810}));
  EXPECT_NE(refusal("time_s,T_degC\n100,20\n160,800\n", from("90 s")).find("before the first"),
            std::string::npos);
  EXPECT_NE(refusal("time_s,T_degC\n100,20\n160,800\n", from("160 s")).find("behind the last"),
            std::string::npos);
}

TEST(Log, Gaps_AreBridgedAndTold_OrRefused) {
  std::string text = "time_s,T_degC\n";
  for (int t = 0; t <= 600; t += 10)
    text += std::to_string(t) + (t > 200 && t < 320 ? ",---\n" : t == 320 ? ",812\n" : ",800\n");
  const LogRecord log = read_log(text, "run.csv");
  ASSERT_EQ(log.remarks.size(), 1U);
  EXPECT_EQ(log.remarks[0],
            "run.csv has 1 stretch without a reading, of up to 2 min: bridged by a straight line");
  EXPECT_EQ(refusal(text, {"", "", 90}),
            "run.csv:34: no reading for 2 min before this one; allowed: 1.5 min, see log_gap");
}

TEST(Log, WhatCannotBeRead_IsToldWithItsLine) {
  const std::string good = "time_s,T_degC\n0,800\n";
  EXPECT_EQ(refusal(good + "10,8x1\n"), "run.csv:3: \"8x1\" is no number (of degC, as its heading says)");
  EXPECT_EQ(refusal(good + "10,810\n10,811\n"),
            "run.csv:4: the time \"10\" does not come after the one before it; times ascend");
  EXPECT_EQ(refusal(good + "10,2000\n"),
            "run.csv:3: the temperature \"2000\" is out of range; allowed: -50 to 1400 degC");
  EXPECT_EQ(refusal(good + "10,810,4\n"), "run.csv:3: 3 cells under a heading of 2");
  EXPECT_EQ(refusal(good + "10,1150\n20,801\n"),
            "run.csv:3: 1150 degC lies 349 K off the readings before and behind it; empty the cell if the "
            "sensor failed");
  EXPECT_EQ(refusal("# a remark\nsample,T_degC\n1,800\n2,800\n").substr(0, 35),
            "run.csv:2: no column of times; its ");
  EXPECT_EQ(refusal("time_s,T\n1,800\n2,800\n").substr(0, 36), "run.csv:1: no column of temperatures");
  EXPECT_EQ(refusal("time_s,A [degC],B [degC]\n1,800,20\n2,800,20\n"),
            "run.csv:1: 2 columns of temperatures (\"A [degC]\", \"B [degC]\"); say which with log_column");
  EXPECT_EQ(refusal("clock,T_degC\n14:00,800\n14:61,800\n").substr(0, 41),
            "run.csv:3: \"14:61\" is no time of day like");
  EXPECT_EQ(refusal(good), "run.csv: 1 readings; a log has at least two");
  EXPECT_EQ(refusal("").substr(0, 17), "run.csv: is empty");
}

// A hold at 800 +/- 3 degC behind a ramp, with a swing above it: the hold is its level.
TEST(Log, Level_IsThatOfTheHold) {
  std::string text = "time_s,T_degC\n";
  for (int t = 0; t <= 3600; t += 10) {
    const double T = t < 1200 ? 20 + 780.0 * t / 1200 : t < 1320 ? 812 : 800 + 3 * std::sin(t / 40.0);
    text += std::to_string(t) + "," + std::to_string(T) + "\n";
  }
  const LogRecord log = read_log(text, "run.csv");
  EXPECT_NEAR(log.level_degC, 800, 1);
}

// However many rows: so many corners that a run stays a run, each reading within a kelvin or it is told.
TEST(Log, LongLogs_AreThinnedOut) {
  std::string text = "time_s,T_degC\n";
  const auto truth = [](int t) { return 800 - 60 * std::exp(-t / 300.0) + 2 * std::sin(t / 90.0); };
  for (int t = 0; t <= 7200; ++t)
    text += std::to_string(t) + "," + std::to_string(truth(t)) + "\n";
  const LogRecord log = read_log(text, "run.csv");
  EXPECT_LE(log.time_s.size(), 200U);
  EXPECT_TRUE(log.remarks.empty()) << log.remarks[0];
  for (std::size_t k = 1; k < log.time_s.size(); ++k) {
    const double middle = 0.5 * (log.time_s[k] + log.time_s[k - 1]);
    EXPECT_NEAR(0.5 * (log.temperature_degC[k] + log.temperature_degC[k - 1]),
                truth(static_cast<int>(middle)), 1.1)
        << middle;
  }
}
