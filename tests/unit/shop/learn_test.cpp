#include "shop/learn.hpp"

#include "../../support/file_records.hpp"
#include "../../support/invented_shop.hpp"
#include "../../support/threaded_executor.hpp"
#include "answers/bands.hpp"
#include "answers/timer.hpp"
#include "shop/cooled_coupon.hpp"
#include "shop/plan.hpp"
#include "shop/readings.hpp"
#include "shop/stays.hpp"
#include "steel/hardness.hpp"
#include "treatment/case_reader.hpp"

#include <gtest/gtest.h>

#include <algorithm>

using namespace tq;

namespace {

treatment::Case a_case() {
  return treatment::read_case(*test::read_file(std::string(TQ_SOURCE_DIR) + "/cases/drop_point_o1.toml"),
                              "drop_point_o1.toml", test::FileRecords());
}

/// Score that stays of an input of the case.
std::string name_of(const std::string& input, const treatment::Case& c) {
  for (const answers::UncertainInput& i : answers::uncertain_inputs(c))
    if (i.key == input)
      return shop::score_name(i.key, i.width, c, "");
  return {};
}

/// A blade of a shop in which nothing is off but what `off` sets.
shop::Blade blade_with(const treatment::Case& c, const std::vector<std::pair<const char*, double>>& off,
                       bool packet, bool oven) {
  test::InventedShop of(1);
  of.average_blades = true;
  for (const auto& [input, score] : off)
    of.set(input, score);
  const auto made = of.make(c);
  shop::Blade blade{c, {}, 0, {}, {}};
  if (packet)
    blade.packet = of.packet_log(made);
  if (oven)
    blade.oven = of.oven_log(made);
  return blade;
}

} // namespace

TEST(Learning, PacketLogOfAFurnaceThatReadsWrong_MovesTheFurnaceTowardsTheTruth) {
  const treatment::Case c = a_case();
  const shop::Blade blade = blade_with(c, {{"furnace_reading", 2}}, true, false);
  shop::Belief belief;
  test::ThreadedExecutor executor(2);
  const shop::Lesson lesson = learn(belief, blade, executor);
  EXPECT_GE(lesson.rounds, 2);
  EXPECT_GT(lesson.effective, 0.05);
  const Eigen::Index k = belief.find(name_of("furnace_reading", c));
  ASSERT_GE(k, 0);
  // what the couple's own 3 K and the blade's own share leave: the prior of 6 K against an error of some 4 K
  EXPECT_GT(belief.mean()(k), 0.8);
  EXPECT_LT(belief.mean()(k), 2.2);
  EXPECT_LT(belief.covariance()(k, k), 0.75);
  // the end of the soak is expected where it was read
  const auto end = std::find_if(lesson.held.begin(), lesson.held.end(), [](const shop::Held& h) {
    return h.what.find("end of the soak") != std::string::npos;
  });
  ASSERT_NE(end, lesson.held.end());
  EXPECT_LT(std::abs(end->after - end->read), std::abs(end->before - end->read));
}

TEST(Learning, OvenLog_MovesTheOvenAndNothingOfTheFurnace) {
  const treatment::Case c = a_case();
  const shop::Blade blade = blade_with(c, {{"oven_reading", 1.5}}, false, true);
  shop::Belief belief;
  test::ThreadedExecutor executor(2);
  learn(belief, blade, executor);
  const Eigen::Index oven = belief.find(name_of("oven_reading", c)),
                     furnace = belief.find(name_of("furnace_reading", c));
  // 15 K either way against a thermometer of 2 K: nearly believed, but for what is each blade's own (0.15)
  EXPECT_NEAR(belief.mean()(oven), 1.5 * 0.85, 0.15);
  EXPECT_NEAR(belief.covariance()(oven, oven), 0.15, 0.05);
  EXPECT_NEAR(belief.mean()(furnace), 0, 1e-6);
  EXPECT_NEAR(belief.covariance()(furnace, furnace), 1, 1e-6);
}

TEST(Learning, SameBits_WhateverTheExecutor) {
  const treatment::Case c = a_case();
  const shop::Blade blade = blade_with(c, {{"foil_gap", 1}}, true, false);
  shop::Belief one, other;
  answers::SerialExecutor serial;
  test::ThreadedExecutor threaded(3);
  learn(one, blade, serial);
  learn(other, blade, threaded);
  EXPECT_EQ(one.mean(), other.mean());
  EXPECT_EQ(one.covariance(), other.covariance());
}

TEST(Learning, BladeWithoutReadings_TeachesNothing) {
  shop::Belief belief;
  answers::SerialExecutor serial;
  const shop::Lesson lesson = learn(belief, {a_case(), {}, 0, {}, {}}, serial);
  EXPECT_EQ(lesson.rounds, 0);
  EXPECT_TRUE(lesson.held.empty());
  EXPECT_LT(belief.mean().norm(), 1e-12);
}

TEST(Learning, AReadingOutOfThisWorld_IsSetAsideAndSaid) {
  const treatment::Case c = a_case();
  shop::Blade blade{c, {}, 0, {}, {}};
  blade.firing.quenched = shop::read_places("thickest 30 HRC", false);
  shop::Belief belief;
  test::ThreadedExecutor executor(2);
  const shop::Lesson lesson = learn(belief, blade, executor);
  ASSERT_EQ(lesson.held.size(), 1U);
  EXPECT_TRUE(lesson.held[0].set_aside);
  EXPECT_LT(belief.mean().cwiseAbs().maxCoeff(), 2.5);
}

TEST(Learning, CaseOfAShop_IsMovedAndItsBandsNarrow) {
  const treatment::Case c = a_case();
  shop::Belief belief;
  test::ThreadedExecutor executor(2);
  learn(belief, blade_with(c, {{"oven_reading", 1}}, true, true), executor);
  belief.blades = 1;
  const treatment::Case known = as_learnt(c, belief, "", "from 1 blade of this shop");
  // what is set stays as it is set; the draws know better
  EXPECT_EQ(known.oven().oven_degC, c.oven().oven_degC);
  EXPECT_EQ(known.transfer().time_s, c.transfer().time_s);
  EXPECT_EQ(known.cool().air_degC, c.cool().air_degC);
  for (const answers::UncertainInput& input : answers::uncertain_inputs(known))
    if (input.key == "oven_reading") {
      EXPECT_GT(input.distribution.middle(), 4);
    }
  ASSERT_TRUE(known.uncertainty.learnt.has_value());
  EXPECT_EQ(known.uncertainty.learnt->from, "from 1 blade of this shop");
  const auto width = [&](const treatment::Case& of) {
    std::vector<treatment::Run> runs;
    const answers::Answers nominal = answers::answer(of, runs);
    const answers::Bands bands = answers::bands(of, nominal, {64, 1, false}, executor);
    const answers::Band* timer = bands.stations[0].find("timer_from_door");
    return timer->high - timer->low;
  };
  EXPECT_LT(width(known), 0.9 * width(c));
}

TEST(Learning, Coupons_CorrectTheCurveOfTheirSteelAtThisTemper) {
  const treatment::Case c = a_case();
  shop::Belief near, far;
  shop::hold_coupons(near, c, "", {{214, -1.5, -0.05}});
  shop::hold_coupons(far, c, "", {{500, -1.5, -0.05}});
  const auto curve = [&](const shop::Belief& b) { return b.mean()(b.find(name_of("temper_curve", c))); };
  EXPECT_LT(curve(near), -0.4);
  EXPECT_LT(curve(far), 0);
  EXPECT_GT(curve(far), curve(near));
  // part of a soft coupon may be a hot oven
  EXPECT_GT(near.mean()(near.find(name_of("oven_reading", c))), 0.05);
}

// A tester that reads its block as much too low as the coupon: then most of what the coupon misses is the
// tester's.
TEST(Learning, ATestBlockBesideACoupon_TakesTheTestersErrorOffTheCurve) {
  const treatment::Case c = a_case();
  shop::CouponReading plain{214, -1.5, -0.05}, three = plain, proved = plain;
  three.dents = 3;
  const double block_sd = 0.5 / 1.6449;
  proved.block = {60, -1.5, block_sd};
  shop::Belief one, many, block;
  shop::hold_coupons(one, c, "", {plain});
  shop::hold_coupons(many, c, "", {three});
  shop::hold_coupons(block, c, "", {proved});
  const auto curve = [&](const shop::Belief& b) { return b.mean()(b.find(name_of("temper_curve", c))); };
  const auto tester = [&](const shop::Belief& b) { return b.mean()(b.find("tester")); };
  EXPECT_LT(curve(many), curve(one));  // is believed more
  EXPECT_GT(curve(block), curve(one)); // the tester is to blame
  EXPECT_LT(tester(block), tester(one));
  // by hand: the block alone, its error and a dent's against the tester's offset
  const double sd = shop::tester_offset_HRC;
  const double alone = -1.5 * sd / (sd * sd + block_sd * block_sd + std::pow(shop::mean_reading_HRC(1), 2));
  shop::CouponReading right{214, 0, -0.05}; // tells against it
  right.block = {60, -1.5, block_sd};
  shop::Belief against;
  shop::hold_coupons(against, c, "", {right});
  EXPECT_LT(tester(block), alone);
  EXPECT_GT(tester(against), alone);
  EXPECT_LT(tester(against), 0);
  // by hand: of one block that is read twice what is written stays in doubt, of two blocks half of it does
  const auto twice = [&](double other_HRC) {
    shop::CouponReading again = right;
    right.block = {60, -1.5, block_sd};
    again.block = {other_HRC, -1.5, block_sd};
    shop::Belief b;
    shop::hold_coupons(b, c, "", {right, again});
    return b.covariance()(b.find("tester"), b.find("tester"));
  };
  shop::Belief unread;
  shop::CouponReading bare{214, 0, -0.05};
  shop::hold_coupons(unread, c, "", {bare, bare});
  const double before = unread.covariance()(unread.find("tester"), unread.find("tester"));
  const auto after = [&](double variance) { return 1 / (1 / before + sd * sd / variance); };
  const double dent = std::pow(shop::mean_reading_HRC(1), 2);
  EXPECT_NEAR(twice(60), after(block_sd * block_sd + dent / 2), 1e-5);
  EXPECT_NEAR(twice(45), after((block_sd * block_sd + dent) / 2), 1e-5);
}

// What a coupon takes off the variance of the next blade's hardness, by hand: the square of what both have in
// common over the variance of the reading. Curve and oven of the steel's table, 2 HRC and 15 K nine times in
// ten.
TEST(Plan, ATemperedCoupon_TellsOfTheNextBladeWhatTheFormulaSays) {
  treatment::Case c = a_case();
  answers::set_timer_from_door(c, 1800);
  test::ThreadedExecutor executor(2);
  const shop::Plan plan = shop::plan_next(c, {}, "", "hardness_tempered", executor);
  const auto taken = [&](const std::string& begins) {
    for (const shop::NextReading& r : plan.readings)
      if (r.what.starts_with(begins))
        return plan.now * plan.now * (1 - r.left * r.left) / (1.6449 * 1.6449);
    return std::nan("");
  };
  const double per_K = (57.0 - 62.0) / (316 - 204), // O1's sheet from 204 to 316 degC
      curve = std::pow(2 / 1.6449, 2), oven = std::pow(15 / 1.6449 * per_K, 2),
               common = curve * shop::share_that_stays("temper_curve") +
                        oven * shop::share_that_stays("oven_reading"),
               tester = std::pow(shop::tester_offset_HRC, 2);
  const auto by_hand = [&](double reading, double of_tester) {
    return common * common / (curve + oven + of_tester + reading);
  };
  const double three = std::pow(shop::mean_reading_HRC(3), 2), block = std::pow(shop::block_HRC, 2) + three;
  // a tenth: hardness of the whole blade follows its martensite's not quite one to one
  EXPECT_NEAR(taken("a tempered coupon of the bar, three dents") /
                  by_hand(three, tester * block / (tester + block)),
              1, 0.1);
  EXPECT_NEAR(taken("a tempered coupon of the bar, one dent") /
                  by_hand(std::pow(shop::reading_HRC, 2), tester),
              1, 0.1);
  EXPECT_LT(taken("the oil's thermometer"), 0.05 * by_hand(three, tester));
}

TEST(Learning, ACoupleThroughTheOil_TellsHowFastTheOilIs) {
  const treatment::Case c = a_case();
  test::InventedShop of(1);
  of.average_blades = true;
  of.set("oil_h", 1.5);
  const auto made = of.make(c);
  shop::Blade blade{c, {}, 0, {}, {}};
  blade.quench = of.quench_log(made);
  shop::Belief belief;
  test::ThreadedExecutor executor(2);
  learn(belief, blade, executor);
  const Eigen::Index h = belief.find(name_of("oil_h", c));
  // 40 % either way against a couple that follows to 10 %; what is each blade's own stays in doubt (0.15)
  EXPECT_GT(belief.mean()(h), 0.7);
  EXPECT_LT(belief.mean()(h), 1.8);
  EXPECT_LT(belief.covariance()(h, h), 0.5);
}

TEST(Learning, ACouponThatCooledAsLogged_TellsWhenTheBarStartsToTurn) {
  const treatment::Case c = a_case();
  test::InventedShop of(1);
  of.average_blades = true;
  of.set("steel_pearlite", -1.5); // a bar that turns sooner than its record
  const auto made = of.make(c);
  const double half_s = shop::half_soft_cooling(c).t700_500_s;
  // O1 in slack air: some half a minute or more from 700 to 500 degC
  EXPECT_GT(half_s, 10);
  EXPECT_LT(half_s, 120);
  constexpr double J_m2K = 7800 * 650 * 1.5e-3; // of half a plate of 3 mm
  const auto coupon = of.coupon(made, std::log(670.0 / 470) / half_s * J_m2K * 1.4);
  shop::Blade blade{c, {}, 0, {}, {}};
  blade.coupon = coupon.log;
  blade.firing.coupon_hrc = coupon.hrc;
  shop::Belief belief;
  test::ThreadedExecutor executor(2);
  learn(belief, blade, executor);
  const Eigen::Index pearlite = belief.find(name_of("steel_pearlite", c)),
                     h = belief.find(name_of("oil_h", c));
  EXPECT_LT(belief.mean()(pearlite), -0.4);
  EXPECT_GT(belief.mean()(pearlite), -2.2);
  EXPECT_LT(belief.covariance()(pearlite, pearlite), 0.7);
  EXPECT_NEAR(belief.mean()(h), 0, 0.1); // whatever cooled it
}

// By hand: a log at constant temperature is an isothermal hold, so that the share turned is Avrami's.
TEST(CooledCoupon, HoldAtOneTemperature_TurnsAsTheLawSays) {
  const treatment::Case c = a_case();
  const double T = 660; // pearlite alone; at 600 degC bainite, of a smaller exponent, takes half a hundredth
  const auto hold = [&](double s) {
    return records::LogRecord{{0, 0.001, 0.002 + s, 0.003 + s}, {800, T, T, 100}, 800, {}};
  };
  const shop::Austenite usual = shop::usual_austenite(c);
  const double one = shop::cooled_coupon(hold(10), c.steel, usual).softness,
               four = shop::cooled_coupon(hold(40), c.steel, usual).softness;
  const double n = c.steel.phases.pearlite_exponent;
  EXPECT_NEAR(four - one, n * std::log(4.0), 0.02);
  const shop::CooledCoupon coupon = shop::cooled_coupon(hold(10), c.steel, usual);
  for (const double turned : {0.2, 0.5, 0.8}) {
    const double hrc = coupon.soft_HRC + (coupon.hard_HRC - coupon.soft_HRC) * (1 - turned);
    EXPECT_NEAR(steel::martensite_weight(1 - shop::turned_at(coupon, hrc)), 1 - turned, 1e-3);
  }
}

// What the solver lets turn in the middle of a piece, and how hard that is, against the law along the curve
// of a couple that stands there. Additivity is exact (steel/decomposition.hpp), so that only steps and the
// logger's readings part the shares; a couple at the rim of the first would tell a quarter of it. The second
// cools so slowly that its martensite tempers itself: else 58 HRC would tell of twice as much that turned.
TEST(CooledCoupon, ACoupleInThePiece_TellsWhatTurnsWhereItStandsAndHowHardItIs) {
  for (const auto& [steel, htc_W_m2K] : {std::pair{"1084", 1000.0}, {"O2", 30.0}}) {
    const treatment::Case blade = treatment::read_case(
        *test::read_file(std::string(TQ_SOURCE_DIR) + "/cases/petty_1084_vegetable.toml"),
        "petty_1084_vegetable.toml", test::FileRecords(),
        {{"blade.steel", std::string("\"") + steel + "\""}});
    treatment::Case c = shop::as_made(shop::piece_case(blade, 3e-3), {});
    c.for_each_bath([h = htc_W_m2K](treatment::Bath& b) {
      b.fixed_htc_W_m2K = h;
      b.time_s = 1000;
    });
    const treatment::Run run = treatment::run_station(c, 0);
    const auto& trace = run.zones[treatment::zone_thickest].temperature;
    const treatment::StepSpan* bath = treatment::span_of(run, treatment::Part::bath);
    records::LogRecord log;
    for (double t = bath->from_s; t <= bath->to_s; t += 0.1) {
      log.time_s.push_back(t - bath->from_s);
      log.temperature_degC.push_back(treatment::trace_value(run.time_s, trace, t));
    }
    const answers::ZoneAnswer middle =
        answers::answer_station(c, run, answers::soak_margins(c, 0, run)).zones[treatment::zone_thickest];
    ASSERT_GT(middle.transformed, 0.05) << steel;
    ASSERT_LT(middle.transformed, 0.95) << steel;
    const shop::CooledCoupon coupon = shop::cooled_coupon(log, c.steel, shop::austenite_of(run));
    const double turned = shop::softness_of(middle.transformed);
    EXPECT_NEAR(coupon.softness, turned, 0.1) << steel;
    EXPECT_NEAR(shop::softness_of(shop::turned_at(coupon, middle.as_quenched_HRC)), turned, 0.2) << steel;
  }
}
