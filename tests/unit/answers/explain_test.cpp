// Readings held against a case. Whether the likelihoods are honest on invented shops:
// tests/random/explain_trials.
#include "../../support/file_records.hpp"
#include "../../support/threaded_executor.hpp"
#include "answers/explain.hpp"
#include "records/document.hpp"
#include "records/read_faults.hpp"
#include "treatment/case_reader.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace tq;
using namespace tq::answers;
using treatment::Case;

Case shipped(const std::string& stem, const std::vector<records::Setting>& settings = {}) {
  const std::string path = TQ_SOURCE_DIR "/cases/" + stem + ".toml";
  return treatment::read_case(test::read_file(path).value(), stem + ".toml",
                              test::FileRecords(TQ_SOURCE_DIR "/cases"), settings);
}

records::FaultRecord usual_faults() {
  return records::read_faults(test::read_file(TQ_SOURCE_DIR "/materials/typical_faults.toml").value(),
                              "typical_faults.toml");
}

constexpr std::size_t spine = treatment::zone_spine, middle = treatment::zone_middle,
                      edge = treatment::zone_edge;
constexpr auto skates = steel::FileFeel::skates, just_skates = steel::FileFeel::just_skates,
               bites = steel::FileFeel::bites;

double share(const Explanation& e, const std::string& key) {
  for (const auto& one : e.causes)
    if (one.key == key)
      return one.share;
  throw std::runtime_error("no cause " + key);
}
double group_share(const Explanation& e, const std::string& key) {
  for (const auto& one : e.groups)
    if (one.key == key)
      return one.share;
  throw std::runtime_error("no group " + key);
}
bool has(const Explanation& e, const std::string& key) {
  for (const auto& one : e.causes)
    if (one.key == key)
      return true;
  return false;
}

class Explain : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    hunter = new Case(shipped("drop_point_o1"));
    SerialExecutor serial;
    sample = new FaultSample(draw_faults(*hunter, 0, usual_faults(), serial, 32));
    petty = new FaultSample(draw_faults(shipped("petty_1084_vegetable"), 0, usual_faults(), serial, 32));
  }
  static void TearDownTestSuite() {
    delete petty;
    delete sample;
    delete hunter;
  }
  static Case* hunter;
  static FaultSample *sample, *petty;
};
Case* Explain::hunter = nullptr;
FaultSample* Explain::sample = nullptr;
FaultSample* Explain::petty = nullptr;

} // namespace

TEST_F(Explain, WhatWasExpectedSpeaksForNothingWrongAndNarrowsTheForecast) {
  Reading r;
  r.hardness = {{spine, sample->middle.quenched[spine], false},
                {spine, sample->middle.tempered[spine], true}};
  r.files = {{edge, steel::file_feel(sample->middle.quenched[edge]), false}};
  const Explanation e = explain(*sample, r);
  double alone = 0; // no cause, one cause or two: those of one alone cannot sum to more than all
  for (const auto& one : e.causes)
    alone += one.alone;
  EXPECT_LE(alone, 1 + 1e-9);
  EXPECT_EQ(e.causes.front().key, "none");
  EXPECT_TRUE(e.explained);
  EXPECT_GT(e.fit, 0.3);
  EXPECT_LT(e.tempered_after.high - e.tempered_after.low, e.tempered_before.high - e.tempered_before.low);
  EXPECT_LT(e.tempered_after.low, e.tempered_after.middle);
  ASSERT_EQ(e.expected.size(), 2U);
  // the tester's doubt is in what is expected of a reading
  EXPECT_GT(e.expected[1].high - e.expected[1].low, e.tempered_before.high - e.tempered_before.low);
}

// The six patterns that practice tells apart.

TEST_F(Explain, SoftThickPlaceWithAHardEdgeIsASlowQuench) {
  for (const auto& [of, at_spine] : {std::pair{petty, 57.0}, {sample, 57.0}}) {
    Reading r;
    r.hardness = {{spine, at_spine, false}, {edge, 64, false}};
    r.files = {{edge, skates, false}};
    FaultSample own = *of;
    test::ThreadedExecutor threads(2);
    const Explanation e = explain_closely(own, r, threads);
    EXPECT_EQ(e.groups.front().key, "quench") << at_spine;
    EXPECT_LT(share(e, "short_soak"), 0.5) << at_spine;
  }
}

TEST_F(Explain, WideDrawsCountLessSoThatWhatTheyAreOfIsTheSame) {
  const std::size_t d = sample->inputs.size();
  const std::vector<double> weights = sample->weights_of_draws(0);
  double all = 0;
  for (std::size_t i = 0; i < d; ++i) {
    double whole = 0, squares = 0, sum = 0;
    for (std::size_t m = 0; m < sample->members; ++m) {
      const double z = sample->scores[m * d + i];
      whole += weights[m];
      sum += weights[m] * z;
      squares += weights[m] * z * z;
    }
    EXPECT_NEAR(whole, 1, 0.25) << sample->inputs[i].key; // 32 draws
    EXPECT_NEAR(sum / whole, 0, 0.5) << sample->inputs[i].key;
    EXPECT_NEAR(squares / whole, 1, 0.6) << sample->inputs[i].key;
    all += squares / whole;
  }
  EXPECT_NEAR(all / static_cast<double>(d), 1, 0.1);
}

TEST_F(Explain, SoftSpineAloneWithAGoodEdgeIsNoPoorBar) {
  for (const FaultSample* each : {sample, petty}) {
    Reading r;
    r.hardness = {{spine, each->middle.quenched[spine] - 6, false}};
    r.files = {{edge, skates, false}};
    const Explanation e = explain(*each, r);
    EXPECT_LT(share(e, "low_carbon"), 0.3);
    EXPECT_NE(e.causes.front().key, "low_carbon");
  }
}

TEST_F(Explain, ABitingFileAloneIsNotSurelySkinInAPressedPacket) {
  Case pressed = *hunter;
  pressed.wrap.gap_m = {0.03e-3, 0.03e-3};
  SerialExecutor serial;
  const FaultSample packet = draw_faults(pressed, 0, usual_faults(), serial, 32);
  Reading r;
  r.files = {{edge, bites, false}};
  const Explanation e = explain(packet, r);
  EXPECT_LT(share(e, "soft_skin"), 0.8);
  ASSERT_TRUE(e.next); // and it says what settles it
  EXPECT_EQ(packet.record.tests[e.next->test].key, "file_ground");
  EXPECT_GT(e.next->with, e.next->without + 0.1);
}

TEST_F(Explain, SoftUntilTheSkinIsGroundOffIsTheSkin) {
  Reading r;
  r.hardness = {{spine, 59, false}, {edge, 59, false}};
  r.files = {{edge, bites, false}, {edge, skates, true}};
  const Explanation e = explain(*sample, r);
  EXPECT_EQ(e.causes.front().key, "soft_skin");
  EXPECT_GT(e.causes.front().share, 0.9);
}

TEST_F(Explain, SoftOnlyAfterTheTemperIsTheOven) {
  Reading r;
  r.hardness = {{spine, sample->middle.quenched[spine], false},
                {spine, sample->middle.tempered[spine] - 4, true}};
  EXPECT_EQ(explain(*sample, r).causes.front().key, "hot_oven");
}

TEST_F(Explain, AllALittleSoftWithTheSkinOffIsSoakOrCarbon) {
  Reading r;
  r.ground = true;
  r.hardness = {{treatment::zone_thickest, 61, false}, {middle, 61, false}, {edge, 60.5, false}};
  r.files = {{edge, just_skates, true}};
  // parallel flats, on which a tester may stand
  const Case flats = shipped("drop_point_o1",
                             {{"blade.station.1.grind", "bevel"}, {"blade.station.1.bevel_height", "15 mm"}});
  test::ThreadedExecutor threads(2);
  const Explanation e = explain(draw_faults(flats, 0, usual_faults(), threads, 64), r);
  const double soak_or_bar = group_share(e, "soak") + group_share(e, "bar");
  for (const char* other : {"quench", "skin", "place", "none"})
    EXPECT_GT(soak_or_bar, group_share(e, other)) << other;
}

TEST_F(Explain, SoftUnderTheTesterButNotUnderTheFileIsThePlace) {
  Reading r;
  r.hardness = {{spine, sample->middle.quenched[spine] - 6, false}};
  r.files = {{edge, skates, false}};
  ASSERT_FALSE(sample->tester_valid[spine]) << "a full flat grind is nowhere parallel";
  EXPECT_EQ(explain(*sample, r).causes.front().key, "bad_place");
}

TEST_F(Explain, JudgesOnlyWhatTheReadingsCanFeel) {
  Reading r;
  r.hardness = {{spine, 60, false}};
  EXPECT_FALSE(has(explain(*sample, r), "hot_oven"));
  EXPECT_TRUE(has(explain(*sample, r), "soft_skin"));
  r.ground = true;
  EXPECT_FALSE(has(explain(*sample, r), "soft_skin"));
  r.hardness.clear();
  r.files = {{edge, bites, false}};
  EXPECT_FALSE(has(explain(*sample, r), "bad_place"));
}

TEST_F(Explain, SaysSoWhenNothingExplainsTheReading) {
  Reading r;
  r.hardness = {{spine, sample->middle.quenched[spine] + 4.5, false}}; // harder than any of its martensite
  EXPECT_FALSE(explain(*sample, r).explained);
  r.hardness = {{spine, 25, false}, {edge, 65, false}}; // no section hardens so
  EXPECT_FALSE(explain(*sample, r).explained);
}

TEST_F(Explain, NoForecastIsHarderAfterTheTemper) {
  for (const double hrc : {54.0, 60.0, 66.0})
    for (const bool tempered : {false, true}) {
      Reading r;
      r.hardness = {{spine, hrc, tempered}};
      const Explanation e = explain(*sample, r);
      EXPECT_LE(e.tempered_after.low, e.quenched_after.low) << hrc;
      EXPECT_LE(e.tempered_after.middle, e.quenched_after.middle) << hrc;
      EXPECT_LE(e.tempered_after.high, e.quenched_after.high) << hrc;
    }
}

TEST_F(Explain, FewDrawsAreFoundOutAndMoreAreDrawn) {
  Reading r;
  r.hardness = {{spine, 52, false}, {edge, 63, false}};
  const Explanation few = explain(*petty, r);
  FaultSample own = *petty;
  SerialExecutor serial;
  const Explanation more = explain_closely(own, r, serial);
  EXPECT_GT(more.draws, few.draws);
  EXPECT_GE(more.smoothing, few.smoothing);
  EXPECT_GE(more.effective_draws, 11.9); // the least that weighed_faults.cpp asks for
}

TEST_F(Explain, AReadingMovesTheNextBladeItsOwnWay) {
  Reading r;
  r.ground = true;
  r.hardness = {{spine, sample->middle.tempered[spine] - 1, true}};
  const Explanation softer = explain(*sample, r);
  r.hardness.front().hrc += 2;
  const Explanation harder = explain(*sample, r);
  EXPECT_LT(softer.tempered_after.middle, harder.tempered_after.middle);
  ASSERT_TRUE(softer.oven_degC && harder.oven_degC);
  EXPECT_LT(*softer.oven_degC, *harder.oven_degC); // what comes out softer wants a colder oven
}

TEST_F(Explain, IsTheSameWhateverTheExecutor) {
  test::ThreadedExecutor threads(3);
  const FaultSample other = draw_faults(*hunter, 0, usual_faults(), threads, 32);
  for (std::size_t s = 0; s < sample->strata.size(); ++s)
    for (std::size_t m = 0; m < sample->members; ++m)
      EXPECT_EQ(sample->draws[s][m].quenched, other.draws[s][m].quenched);
}

TEST_F(Explain, DrawsGoTogetherAsTheShopHasLearnt) {
  Case c = *hunter;
  c.uncertainty.learnt = treatment::Learnt{{"oil_h", "foil_gap", "fresh_hardness"},
                                           {0, 0, 0.8},
                                           {0.5, -0.4, 0, -0.4, 0.5, 0, 0, 0, 0.25},
                                           3,
                                           "from 3 blades of this shop"};
  SerialExecutor serial;
  const FaultSample known = draw_faults(c, 0, usual_faults(), serial, 32);
  const std::size_t d = known.inputs.size();
  const std::vector<double> weights = known.weights_of_draws(0);
  double sum = 0, gap = 0, oil = 0;
  for (std::size_t m = 0; m < known.members; ++m) {
    double of_gap = 0, of_oil = 0;
    for (std::size_t i = 0; i < d; ++i) {
      of_gap += known.inputs[i].key == "foil_gap" ? known.scores[m * d + i] : 0;
      of_oil += known.inputs[i].key == "oil_h" ? known.scores[m * d + i] : 0;
    }
    sum += weights[m] * of_gap * of_oil;
    gap += weights[m] * of_gap * of_gap;
    oil += weights[m] * of_oil * of_oil;
  }
  EXPECT_NEAR(sum / std::sqrt(gap * oil), -0.8, 0.15); // 32 draws
  // what is harder than the formula says is in the draws, and its doubt is the half of it that was left
  EXPECT_NEAR(known.fresh_middle_HRC, 0.8 / normal_half_90, 0.02);
  EXPECT_NEAR(known.fresh_sd_HRC, 0.5 * sample->fresh_sd_HRC, 0.02);
  EXPECT_GT(known.draws[0][0].quenched[spine], sample->draws[0][0].quenched[spine]);
}

TEST_F(Explain, RefusesWhatACaseCannotHave) {
  Reading r;
  EXPECT_THROW(explain(*sample, r), records::InputError);
  r.hardness = {{spine, 80, false}};
  EXPECT_THROW(explain(*sample, r), records::InputError);
  SerialExecutor serial;
  EXPECT_THROW(draw_faults(shipped("tapered_bar_quench"), 0, usual_faults(), serial, 32), // inert
               records::InputError);
  Case untempered = *hunter;
  untempered.steps.resize(untempered.hardening().after(treatment::Part::cool));
  const FaultSample without = draw_faults(untempered, 0, usual_faults(), serial, 8);
  r.hardness = {{spine, 58, true}};
  EXPECT_THROW(explain(without, r), records::InputError);
}

// The closed form against the sum over a fine grid of the formula's doubt and of the mixture's at one place,
// which the reading after the temper feels too.
TEST(ReadingError, CommonDoubtsAreTheIntegralOverThem) {
  constexpr double fresh = 0.8, curve = 0.6, mixture = 1.1, step = 0.02, two_pi = 6.283185307179586;
  const std::vector<CommonDoubts::Read> reads{{0, false, 0.6}, {1, false, 1.5}, {0, true, 0.9}};
  const std::vector<double> misses{1.2, -0.4, 2.0};
  const auto density = [&](double x, double sd) {
    return std::exp(-0.5 * x * x / (sd * sd)) / (sd * std::sqrt(two_pi));
  };
  double whole = 0, first = 0;
  for (double a = -5; a <= 5; a += step)
    for (double o = -6; o <= 6; o += step) {
      // the curve's doubt is on the third reading alone
      const double p = density(a, fresh) * density(o, mixture) * density(misses[0] - a - o, reads[0].sd) *
                       density(misses[1] - a, reads[1].sd) *
                       density(misses[2] - o, std::hypot(reads[2].sd, curve));
      whole += p * step * step;
      first += p * a * step * step;
    }
  const CommonDoubts doubts(fresh, curve, {mixture, 0}, reads);
  const CommonDoubts::Told told = doubts.told(misses);
  EXPECT_NEAR(told.log_likelihood, std::log(whole), 1e-8);
  EXPECT_NEAR(told.fresh, first / whole, 1e-8);
  EXPECT_NEAR(doubts.middle_at(told, 1), told.fresh, 1e-12);
  EXPECT_NEAR(doubts.variance_at(1), doubts.fresh_variance(), 1e-12);
}
