#include "answers/log_beside.hpp"

#include "../../support/file_records.hpp"
#include "../../support/threaded_executor.hpp"
#include "answers/coarse_case.hpp"
#include "treatment/case_reader.hpp"
#include "treatment/run.hpp"
#include "treatment/trace.hpp"

#include <gtest/gtest.h>

#include <algorithm>

using namespace tq;

// A log that is the stated run itself, with a clock of its own, lies in the band and near its middle.
TEST(LogBeside, OfAQuench_CountsFrom700DegCWhateverTheClock) {
  const treatment::Case c =
      treatment::read_case(*test::read_file(std::string(TQ_SOURCE_DIR) + "/cases/drop_point_o1.toml"),
                           "drop_point_o1.toml", test::FileRecords());
  const treatment::Run run = treatment::run_station(answers::coarse_case(c), 0);
  const treatment::StepSpan *way = treatment::span_of(run, treatment::Part::transfer),
                            *bath = treatment::span_of(run, treatment::Part::bath);
  records::LogRecord log;
  for (double t = way->from_s; t < bath->from_s + 30; t += 0.2) {
    log.time_s.push_back(7 + t - way->from_s);
    log.temperature_degC.push_back(
        treatment::trace_value(run.time_s, run.zones[treatment::zone_thickest].temperature, t));
  }
  test::ThreadedExecutor executor(2);
  const auto all = answers::log_beside(c, 0, answers::LogOf::quench, "oil", log, executor, 24);
  ASSERT_EQ(all.size(), 1U);
  const answers::LogBeside& one = all.front();
  EXPECT_EQ(one.since, "700 degC");
  EXPECT_GT(one.inside, 0.95);
  EXPECT_NEAR(one.middle.front(), 700, 1);
  EXPECT_NEAR(one.low.front(), 700, 1);
  EXPECT_GE(one.read_time_s.front(), 0);
  // half-way down the band is some tens of kelvin wide, as the oil is known to 40 %
  const double width =
      treatment::trace_value(one.time_s, one.high, 4) - treatment::trace_value(one.time_s, one.low, 4);
  EXPECT_GT(width, 20);
  // a log that never was hot cannot be laid beside it
  for (double& T : log.temperature_degC)
    T = 25;
  EXPECT_TRUE(answers::log_beside(c, 0, answers::LogOf::quench, "oil", log, executor, 24).empty());
}
