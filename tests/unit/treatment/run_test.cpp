// Runs of whole treatments: stages, landings, events, books kept.
#include "../../support/file_records.hpp"
#include "treatment/run.hpp"
#include "treatment/trace.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace {

using namespace tq;
using namespace tq::treatment;

Case shipped(const std::string& name) {
  const std::string path = TQ_SOURCE_DIR "/cases/" + name + ".toml";
  return read_case(test::read_file(path).value(), name + ".toml", test::FileRecords(TQ_SOURCE_DIR "/cases"));
}

TEST(Run, Stages_FollowEachOtherWithoutAGap) {
  const treatment::Run run = run_station(shipped("drop_point_o1"), 0);
  ASSERT_EQ(run.spans.size(), 6u); // furnace, transfer, bath, cool, two tempers
  EXPECT_EQ(run.spans.front().from_s, 0);
  EXPECT_EQ(run.spans.front().to_s, 35 * 60);
  for (std::size_t i = 1; i < run.spans.size(); ++i)
    EXPECT_EQ(run.spans[i].from_s, run.spans[i - 1].to_s);
  EXPECT_NEAR(run.spans[1].to_s - run.spans[1].from_s, 2, 1e-9);
  EXPECT_TRUE(std::is_sorted(run.time_s.begin(), run.time_s.end()));
  EXPECT_EQ(run.spans.back().cycle, 2);
}

TEST(Run, AskedOutputTimes_AreLandedOn) {
  Case c = shipped("tapered_bar_quench");
  const treatment::Run run = run_station(c, 0);
  ASSERT_EQ(run.frames.size(), c.output_times_s.size() + 1); // and the start
  for (std::size_t i = 0; i < c.output_times_s.size(); ++i)
    EXPECT_EQ(run.frames[i + 1].time_s, c.output_times_s[i]);
}

TEST(Run, MartensiteStart_IsLocatedWhereTheTracePassesMs) {
  const treatment::Run run = run_station(shipped("drop_point_o1"), 0);
  int found = 0;
  for (const Event& e : run.events) {
    if (e.kind != EventKind::martensite_starts)
      continue;
    ++found;
    const auto& T = run.zones[e.zone].temperature;
    // the recorded trace is cubic between steps, the event's state a parabola: they differ by the step's own
    // error
    EXPECT_NEAR(trace_value(run.time_s, T, e.time_s), e.temperature_degC, 0.5) << zone_name(e.zone);
  }
  EXPECT_EQ(found, zone_count);
}

TEST(Run, PearliteStart_IsTheTimeWhenTheScheilSumReachesOne) {
  Case c = shipped("drop_point_o1");
  c.steel.transformation.pearlite_factor /= 20; // quick enough to start in the bath
  const treatment::Run run = run_station(c, 0);
  const auto event = std::find_if(run.events.begin(), run.events.end(), [](const Event& e) {
    return e.kind == EventKind::pearlite_starts && e.zone == zone_spine;
  });
  ASSERT_NE(event, run.events.end());
  const auto node = static_cast<std::size_t>((run.grid.half ? 0 : (run.grid.ny - 1) / 2) * run.grid.nx +
                                             run.zone_column[zone_spine]);
  double before = 0, after = 2;
  for (const Frame& f : run.frames) {
    if (f.stage != Stage::transfer && f.stage != Stage::bath)
      continue;
    if (f.time_s <= event->time_s)
      before = std::max(before, f.state.scheil_pearlite[node]);
    else
      after = std::min(after, f.state.scheil_pearlite[node]);
  }
  EXPECT_LE(before, 1);
  EXPECT_GE(after, 1);
}

TEST(Run, FoilStrippedOrNot_MakesTheQuenchSlower) {
  Case c = shipped("slicer_52100_foil_on");
  const treatment::Run on = run_station(c, 0);
  c.wrap.on_in_oil = c.transfer.in_foil = false;
  const treatment::Run off = run_station(c, 0);
  const auto below_ms = [](const treatment::Run& r) {
    for (const Event& e : r.events)
      if (e.kind == EventKind::martensite_starts && e.zone == zone_spine)
        return e.time_s - r.spans[2].from_s;
    return std::nan("");
  };
  EXPECT_GT(below_ms(on), below_ms(off));
}

TEST(Run, ProgressSaysStop_Interrupts) {
  EXPECT_THROW(run_station(shipped("drop_point_o1"), 0, [](double share, Stage) { return share < 0.3; }),
               Interrupted);
}

TEST(Run, ProgressRisesToOne) {
  double last = 0;
  run_station(shipped("drop_point_o1"), 0, [&](double share, Stage) {
    EXPECT_GE(share, last - 1e-12);
    last = std::max(last, share);
    return true;
  });
  EXPECT_NEAR(last, 1, 0.05);
}

TEST(Run, StepLimitTooSmall_IsASolverErrorThatNamesTheStage) {
  Case c = shipped("tapered_bar_quench");
  c.solver.tolerance_K = 1e-12; // below round-off
  c.solver.along = 8;
  c.solver.across = 2;
  c.probes.clear();
  c.output_times_s.clear();
  try {
    run_station(c, 0);
    FAIL() << "no error";
  } catch (const SolverError& e) {
    EXPECT_NE(std::string(e.what()).find("bath stage"), std::string::npos) << e.what();
  }
}

} // namespace
