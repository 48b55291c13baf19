// Readings held against a case. Whether the likelihoods are honest on invented shops:
// tests/random/explain_trials.
#include "../../support/file_records.hpp"
#include "../../support/threaded_executor.hpp"
#include "answers/explain.hpp"
#include "records/document.hpp"
#include "treatment/case_reader.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace tq;
using namespace tq::answers;
using treatment::Case;

Case shipped(const std::string& stem) {
  const std::string path = TQ_SOURCE_DIR "/cases/" + stem + ".toml";
  return treatment::read_case(test::read_file(path).value(), stem + ".toml",
                              test::FileRecords(TQ_SOURCE_DIR "/cases"));
}

class Explain : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    hunter = new Case(shipped("drop_point_o1"));
    SerialExecutor serial;
    sample = new FaultSample(draw_faults(*hunter, 0, serial, 32));
  }
  static void TearDownTestSuite() {
    delete sample;
    delete hunter;
  }
  static const Explanation::Cause& cause(const Explanation& e, const std::string& key) {
    for (const auto& one : e.causes)
      if (sample->faults[one.fault].key == key)
        return one;
    throw std::runtime_error("no cause " + key);
  }
  static bool has(const Explanation& e, const std::string& key) {
    for (const auto& one : e.causes)
      if (sample->faults[one.fault].key == key)
        return true;
    return false;
  }
  static constexpr std::size_t spine = treatment::zone_spine, edge = treatment::zone_edge;
  static Case* hunter;
  static FaultSample* sample;
};
Case* Explain::hunter = nullptr;
FaultSample* Explain::sample = nullptr;

} // namespace

TEST_F(Explain, WhatWasExpectedSpeaksForNothingWrongAndNarrowsTheForecast) {
  Reading r;
  r.hardness = {{spine, sample->stated.quenched[spine], false},
                {spine, sample->stated.tempered[spine], true}};
  r.file = steel::file_feel(sample->stated.quenched[edge]);
  const Explanation e = explain(*hunter, *sample, r);
  double sum = 0;
  for (const auto& one : e.causes)
    sum += one.probability;
  EXPECT_NEAR(sum, 1, 1e-9);
  EXPECT_EQ(sample->faults[e.causes.front().fault].key, "none");
  EXPECT_GT(e.causes.front().probability, sample->faults.front().weight);
  EXPECT_LT(e.farthest, 1);
  EXPECT_LT(e.tempered_after.high - e.tempered_after.low, e.tempered_before.high - e.tempered_before.low);
  EXPECT_LT(e.tempered_after.low, e.tempered_after.middle);
  ASSERT_EQ(e.expected.size(), 2U);
  // the tester's doubt is in what is expected of a reading
  EXPECT_GT(e.expected[1].high - e.expected[1].low, e.tempered_before.high - e.tempered_before.low);
}

TEST_F(Explain, SoftOnlyAfterTheTemperIsTheOven) {
  Reading r;
  r.hardness = {{spine, sample->stated.quenched[spine], false},
                {spine, sample->stated.tempered[spine] - 3.5, true}};
  EXPECT_EQ(sample->faults[explain(*hunter, *sample, r).causes.front().fault].key, "hot_oven");
}

TEST_F(Explain, SoftUnderTheTesterButNotUnderTheFileIsThePlace) {
  Reading r;
  r.hardness = {{spine, sample->stated.quenched[spine] - 6, false}};
  r.file = steel::FileFeel::skates;
  ASSERT_FALSE(sample->tester_valid[spine]) << "a full flat grind is nowhere parallel";
  EXPECT_EQ(sample->faults[explain(*hunter, *sample, r).causes.front().fault].key, "bad_place");
  r.file = steel::FileFeel::bites;
  const Explanation bites = explain(*hunter, *sample, r);
  EXPECT_GT(cause(bites, "soft_skin").probability, cause(bites, "bad_place").probability);
}

TEST_F(Explain, JudgesOnlyWhatTheReadingsCanFeel) {
  Reading r;
  r.hardness = {{spine, 60, false}};
  EXPECT_FALSE(has(explain(*hunter, *sample, r), "hot_oven"));
  EXPECT_TRUE(has(explain(*hunter, *sample, r), "soft_skin"));
  r.ground = true;
  EXPECT_FALSE(has(explain(*hunter, *sample, r), "soft_skin"));
  r.hardness.clear();
  r.file = steel::FileFeel::bites;
  EXPECT_FALSE(has(explain(*hunter, *sample, r), "bad_place"));
}

TEST_F(Explain, SaysSoWhenNothingExplainsTheReading) {
  Reading r;
  r.hardness = {
      {spine, sample->stated.quenched[spine] + 5, false}}; // harder than any martensite of this steel
  EXPECT_GT(explain(*hunter, *sample, r).farthest, 3);
}

TEST_F(Explain, AReadingMovesTheNextBladeItsOwnWay) {
  Reading r;
  r.ground = true;
  r.hardness = {{spine, sample->stated.tempered[spine] - 1, true}};
  const Explanation softer = explain(*hunter, *sample, r);
  r.hardness.front().hrc += 2;
  const Explanation harder = explain(*hunter, *sample, r);
  EXPECT_LT(softer.tempered_after.middle, harder.tempered_after.middle);
  ASSERT_TRUE(softer.oven_degC && harder.oven_degC);
  EXPECT_LT(*softer.oven_degC, *harder.oven_degC); // what comes out softer wants a colder oven
}

TEST_F(Explain, IsTheSameWhateverTheExecutor) {
  test::ThreadedExecutor threads(3);
  const FaultSample other = draw_faults(*hunter, 0, threads, 32);
  for (std::size_t f = 0; f < sample->faults.size(); ++f)
    for (std::size_t m = 0; m < sample->members; ++m)
      EXPECT_EQ(sample->draws[f][m].quenched, other.draws[f][m].quenched);
}

TEST_F(Explain, RefusesWhatACaseCannotHave) {
  Reading r;
  EXPECT_THROW(explain(*hunter, *sample, r), records::InputError);
  r.hardness = {{spine, 80, false}};
  EXPECT_THROW(explain(*hunter, *sample, r), records::InputError);
  SerialExecutor serial;
  EXPECT_THROW(draw_faults(shipped("tapered_bar_quench"), 0, serial, 32), records::InputError); // inert
  Case untempered = *hunter;
  untempered.steps.resize(untempered.hardening().after(treatment::Part::cool));
  const FaultSample without = draw_faults(untempered, 0, serial, 32);
  r.hardness = {{spine, 58, true}};
  EXPECT_THROW(explain(untempered, without, r), records::InputError);
}
