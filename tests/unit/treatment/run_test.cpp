// Runs of whole treatments: stages, landings, events, books kept.
#include "../../support/file_records.hpp"
#include "steel/decomposition.hpp"
#include "steel/grain.hpp"
#include "steel/hardness.hpp"
#include "steel/reference_carbon.hpp"
#include "steel/retained_austenite.hpp"
#include "steel/temper.hpp"
#include "steel/transformation.hpp"
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
  EXPECT_EQ(run.spans.front().to_s, 28 * 60);
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
    if (f.part != Part::transfer && f.part != Part::bath)
      continue;
    if (f.time_s <= event->time_s)
      before = std::max(before, f.state.scheil_pearlite[node]);
    else
      after = std::min(after, f.state.scheil_pearlite[node]);
  }
  EXPECT_LE(before, 1);
  EXPECT_GE(after, 1);
}

// Scheil 1935: the sum is the integral of the rate over the node's own temperature, here by the trapezoid
// rule over the trace of a run at a tenth of the tolerance; the usual tolerance moves it by 1 %.
TEST(Run, ScheilSumsFarFromOne_AreTheIntegralsOverTheTrace) {
  for (const char* name : {"drop_point_o1", "snap_cold_52100", "field_knife_80crv2"}) {
    const Case usual = shipped(name);
    Case fine = usual;
    fine.solver.tolerance_K /= 10;
    const treatment::Run run = run_station(usual, 0), trace = run_station(fine, 0);
    const StepSpan *bath = span_of(trace, Part::bath), *own = span_of(run, Part::bath);
    ASSERT_TRUE(bath && own) << name;
    const Frame* last = nullptr;
    for (const Frame& f : run.frames)
      if (f.time_s <= own->to_s + 1e-6)
        last = &f;
    ASSERT_TRUE(last) << name;
    for (const int zone : {zone_middle, zone_spine}) {
      const auto node = static_cast<std::size_t>((run.grid.half ? 0 : (run.grid.ny - 1) / 2) * run.grid.nx +
                                                 run.zone_column[static_cast<std::size_t>(zone)]);
      const auto law = steel::decomposition_law(usual.steel, steel::reference_carbon(usual.steel));
      const double carbon = last->state.carbon[node], grain = steel::grain_number(last->state.grain[node]);
      for (const steel::Product product : {steel::Product::pearlite, steel::Product::bainite}) {
        const double factor = law->carbon_factor(product, carbon) * law->grain_factor(product, grain);
        double sum = 0;
        const std::vector<double>& T = trace.zones[static_cast<std::size_t>(zone)].temperature;
        for (std::size_t i = 1; i < T.size(); ++i)
          if (trace.time_s[i] > span_of(trace, Part::transfer)->from_s && trace.time_s[i] <= bath->to_s)
            sum += 0.5 * (trace.time_s[i] - trace.time_s[i - 1]) * factor *
                   (law->start_rate(product, T[i - 1]) + law->start_rate(product, T[i]));
        const double told = product == steel::Product::pearlite ? last->state.scheil_pearlite[node]
                                                                : last->state.scheil_bainite[node];
        EXPECT_LT(told, 0.6) << name; // rests all the way
        EXPECT_NEAR(told, sum, 0.015 * sum) << name << " " << zone;
      }
    }
  }
}

TEST(Run, FoilStrippedOrNot_MakesTheQuenchSlower) {
  Case c = shipped("slicer_52100_foil_on");
  const treatment::Run on = run_station(c, 0);
  c.wrap.on_in_oil = false;
  for (std::size_t k = 1; k < c.steps.size(); ++k)
    c.steps[k].foil = false;
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
  EXPECT_THROW(run_station(shipped("drop_point_o1"), 0, [](double share, Part) { return share < 0.3; }),
               Interrupted);
}

TEST(Run, ProgressRisesToOne) {
  double last = 0;
  run_station(shipped("drop_point_o1"), 0, [&](double share, Part) {
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

std::size_t thickest_node(const treatment::Run& run) {
  return static_cast<std::size_t>((run.grid.half ? 0 : (run.grid.ny - 1) / 2) * run.grid.nx +
                                  run.zone_column[zone_thickest]);
}

// The solver integrates the decay as a clock in its state; here it is summed over the recorded trace.
TEST(Run, RetainedAustenite_LeavesInTheTempersAsItsLawSays) {
  const Case c = shipped("drop_point_o1");
  const treatment::Run run = run_station(c, 0);
  const std::size_t n = thickest_node(run);
  std::vector<steel::HistoryPoint> history;
  for (std::size_t i = 0; i < run.time_s.size(); ++i)
    if (run.time_s[i] >= run.spans[4].from_s)
      history.push_back({run.time_s[i], run.zones[zone_thickest].temperature[i]});
  const double left = steel::temper_over(history, c.steel.temper.hj_constant_h).austenite_left;
  EXPECT_GT(left, 0.5); // bearing practice: most of it survives 200-210 degC for hours (from memory)
  EXPECT_LT(left, 1.0);
  EXPECT_NEAR(run.final_state.austenite[n], run.after_cool.austenite[n] * left,
              0.01 * run.after_cool.austenite[n]);
  EXPECT_NEAR(run.final_state.austenite[n] + run.final_state.bainite[n],
              run.after_cool.austenite[n] + run.after_cool.bainite[n], 1e-9);
  EXPECT_DOUBLE_EQ(run.final_state.martensite[n], run.after_cool.martensite[n]);
}

// Koistinen & Marburger 1959 with the carbon of the node, and the lag of the pause.
TEST(Run, ColdTreatment_TurnsAustenite_LessAfterAPause) {
  Case c = shipped("drop_point_o1");
  c.steps.resize(c.hardening().after(Part::cool));
  const treatment::Run room = run_station(c, 0);
  EXPECT_TRUE(room.austenite_before_cold.empty());
  c.cool_to(-78);
  const treatment::Run at_once = run_station(c, 0);
  c.steps.back().as<treatment::Cold>()->wait_s = 24 * 3600;
  const treatment::Run next_day = run_station(c, 0);
  const std::size_t n = thickest_node(room);
  const double ms = steel::martensite_start(c.steel, room.after_cool.carbon[n]);
  for (const treatment::Run* run : {&at_once, &next_day}) {
    ASSERT_FALSE(run->austenite_before_cold.empty());
    const auto& s = run->after_cool;
    const double before = run->austenite_before_cold[n];
    EXPECT_NEAR(before, room.after_cool.austenite[n], 5e-4); // either stops within 0.2 K, 3e-4 on the curve
    const double wait = run == &at_once ? 0 : c.wait_s();
    // ends within 0.2 K of the medium
    EXPECT_NEAR(s.austenite[n],
                steel::austenite_after_cold(before, s.martensite[n] + s.austenite[n] - before, ms,
                                            steel::martensite_rate(c.steel, room.after_cool.carbon[n]), -78,
                                            wait),
                5e-4);
  }
  EXPECT_GT(next_day.after_cool.austenite[n], at_once.after_cool.austenite[n] + 0.01);
}

// Martensite tempers itself on the way down from Ms: hardly in oil, by much in still air.
TEST(Run, SlowCoolingFromMs_TempersTheMartensite) {
  Case c = shipped("drop_point_o1");
  c.steps.resize(c.hardening().after(Part::cool));
  const treatment::Run quick = run_station(c, 0);
  c.bath().temperature_degC = 170;
  c.bath().time_s = 1800;
  const treatment::Run slow = run_station(c, 0);
  const std::size_t n = thickest_node(quick);
  EXPECT_GT(slow.after_cool.tempering[n], quick.after_cool.tempering[n]);
  EXPECT_LT(steel::hrc_from_hv(slow.as_quenched_HV[n]), steel::hrc_from_hv(quick.as_quenched_HV[n]) - 0.2);
  EXPECT_NEAR(steel::hrc_from_hv(quick.as_quenched_HV[n]), 64.5, 1); // data sheets: 64 to 65 in oil
}

} // namespace
