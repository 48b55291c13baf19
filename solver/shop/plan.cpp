#include "shop/plan.hpp"

#include "answers/coarse_case.hpp"
#include "answers/sampling.hpp"
#include "answers/telling.hpp"
#include "shop/cooled_coupon.hpp"
#include "shop/linearised.hpp"
#include "shop/stays.hpp"
#include "steel/temper.hpp"
#include "treatment/run.hpp"
#include "units/math.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace tq::shop {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using treatment::Case;

/// A reading that could be taken, as the readings it gives.
struct Choice {
  std::string what, cost;
  std::vector<Observed> readings;
};

Blade blade_of(const Case& c, const std::string& bar) {
  Blade blade{c, {}, 0, {}, {}};
  blade.firing.bar = bar;
  return blade;
}

/// The log that a thermocouple would write of the blade as stated, in its packet or through the bath.
records::LogRecord log_of(const Case& c, treatment::Part from, treatment::Part to) {
  Case coarse = answers::coarse_case(c);
  coarse.output_times_s = {1e12};
  coarse.probes.clear();
  const treatment::Run run = treatment::run_station(coarse, 0);
  const treatment::StepSpan *first = treatment::span_of(run, from), *last = treatment::span_of(run, to);
  records::LogRecord log;
  for (std::size_t i = 0; i < run.time_s.size(); ++i)
    if (run.time_s[i] >= first->from_s && run.time_s[i] <= last->to_s) {
      log.time_s.push_back(run.time_s[i] - first->from_s);
      log.temperature_degC.push_back(run.zones[treatment::zone_thickest].temperature[i]);
    }
  log.level_degC = log.temperature_degC.back();
  return log;
}

/// Hardness of a piece of the bar that hardened through and was tempered with the oven set as for the blade.
double coupon_HRC(const Made& made) {
  const records::TemperCurve& curve = made.c.steel.temper;
  const treatment::Oven& oven = made.c.oven();
  const double parameter =
      steel::hollomon_jaffe(oven.oven_degC, oven.time_s * made.c.tempers(), curve.hj_constant_h);
  return steel::hrc_from_hv(steel::hv_from_hrc(curve.as_quenched_HRC) *
                            steel::TemperResponse(curve).factor(parameter));
}

std::vector<Observed> tempered_coupon(int dents, bool block) {
  Observed coupon;
  coupon.what = "coupon tempered [HRC]";
  coupon.sd = mean_reading_HRC(dents);
  coupon.offset_name = tester_offset;
  coupon.offset = tester_offset_HRC;
  coupon.predict = coupon_HRC;
  if (!block)
    return {coupon};
  Observed written = coupon;
  written.what = "test block, more than is written on it [HRC]";
  written.sd = math::hypot(block_HRC, coupon.sd);
  written.predict = [](const Made&) { return 0.0; };
  return {coupon, written};
}

/// How a coupon is made that tells most of the blades' temper.
void add_coupons(const Case& c, std::vector<Choice>& out) {
  const treatment::Oven& oven = c.oven();
  const std::string set = "a hardened piece of the bar, tempered with the oven set as for the blade, " +
                          answers::temperature_text(oven.oven_degC) + ", " + std::to_string(c.tempers()) +
                          " x " + answers::hours_text(oven.time_s) + "; ";
  out.push_back({"a tempered coupon of the bar, three dents and a test block",
                 set + "then three dents on its flat and three on the block", tempered_coupon(3, true)});
  out.push_back({"a tempered coupon of the bar, one dent", set + "then one dent on its flat",
                 tempered_coupon(1, false)});
}

std::vector<Choice> choices_of(const Case& c, const std::string& bar) {
  std::vector<Choice> out;
  const auto add = [&](const std::string& what, const std::string& cost, const Blade& blade) {
    std::vector<Observed> readings = readings_of(blade);
    if (!readings.empty())
      out.push_back({what, cost, std::move(readings)});
  };
  constexpr double some_HRC = 60; // what will be read is no matter here
  if (c.heated()) {
    Blade blade = blade_of(c, bar);
    blade.packet = log_of(c, treatment::Part::furnace, treatment::Part::furnace);
    add("a bare thermocouple in the packet, logged",
        "a wire through the seam and a logger; no blade is spoilt", blade);
  }
  if (c.quenched()) {
    Blade blade = blade_of(c, bar);
    blade.firing.quenched = {{treatment::zone_thickest, some_HRC, false}};
    add("the tester at the thickest place, as quenched", "a minute, and a small mark on the flat", blade);
    blade = blade_of(c, bar);
    blade.firing.oil_before_degC = c.bath().temperature_degC;
    blade.firing.oil_after_degC = c.bath().temperature_degC;
    add("the oil's thermometer before and after", "a minute, a kitchen thermometer and a stir", blade);
    blade = blade_of(c, bar);
    blade.quench =
        log_of(c, c.carried() ? treatment::Part::transfer : treatment::Part::bath, treatment::Part::bath);
    add("the couple left on the blade through the oil",
        "a logger that reads ten times a second, and an oily wire", blade);
    blade = blade_of(c, bar);
    const HalfSoftCooling cooling = half_soft_cooling(c);
    blade.coupon = cooling.log;
    const CooledCoupon coupon = cooled_coupon(cooling.log, c.steel, usual_austenite(c));
    blade.firing.coupon_hrc = 0.5 * (coupon.hard_HRC + coupon.soft_HRC);
    add("a coupon of the bar, cooled slower with its couple and tested",
        units::formatted(
            "a piece of the bar soaked with the blade, then cooled in foil, hot oil or moving air "
            "so that 700 to 500 degC take some %.0f s",
            cooling.t700_500_s),
        blade);
  }
  if (c.tempered()) {
    Blade blade = blade_of(c, bar);
    blade.firing.tempered = {{{treatment::zone_thickest, some_HRC, true}}};
    add("the tester at the thickest place, after the temper", "a minute, and a small mark on the flat",
        blade);
    blade = blade_of(c, bar);
    blade.oven = records::LogRecord{{0, 1}, {c.oven().oven_degC, c.oven().oven_degC}, c.oven().oven_degC, {}};
    add("a thermometer beside the blade in the oven, over a whole cycle",
        "an oven thermometer; no blade is needed", blade);
    add_coupons(c, out);
  }
  if (c.quenched() && c.tempered()) {
    Blade blade = blade_of(c, bar);
    blade.firing.quenched = {{treatment::zone_thickest, some_HRC, false}};
    blade.firing.tempered = {{{treatment::zone_thickest, some_HRC, true}}};
    add("the tester as quenched and after the temper", "two minutes, and two small marks on the flat", blade);
  }
  return out;
}

/// The figure as one more column of the fit: of the station where it is one of the station, else of the
/// thickest place.
Observed figure_column(const std::string& name) {
  const answers::Figure* of_station = nullptr;
  const answers::Figure* of_zone = nullptr;
  for (const answers::Figure& figure : answers::figures())
    if (figure.meaning.name == name && figure.spread.drawn)
      (figure.of_zone != nullptr ? of_zone : of_station) = &figure;
  if (of_station == nullptr && of_zone == nullptr)
    throw std::invalid_argument("'" + name + "' is no figure that has a band");
  Observed column;
  column.what = name;
  column.predict = [of_station, of_zone](const Made& made) {
    if (of_zone != nullptr)
      return of_zone->of_zone(made.answer.zones[treatment::zone_thickest]);
    return (of_station->drawn != nullptr ? of_station->drawn : of_station->of_station)(made.answer);
  };
  return column;
}

/// Variance of the figure of another blade of the shop.
double variance(const Scores& scores, const MatrixXd& shop, const Eigen::RowVectorXd& effect, double missed) {
  MatrixXd all = MatrixXd::Identity(scores.of_all.cols(), scores.of_all.cols());
  all.topLeftCorner(scores.shop, scores.shop) = shop;
  return effect * all * effect.transpose() + missed;
}

} // namespace

Plan plan_next(const Case& stated, const Belief& given, const std::string& bar, const std::string& figure,
               answers::Executor& executor, const answers::Executor::GoOn& go_on) {
  Belief belief = given;
  const Scores scores(stated, bar, belief);
  std::vector<Choice> choices = choices_of(stated, bar);
  std::vector<Observed> columns{figure_column(figure)};
  for (const Choice& choice : choices)
    columns.insert(columns.end(), choice.readings.begin(), choice.readings.end());
  Linearised line(stated, 0, scores, std::move(columns), executor, go_on);
  const Proposal from(scores, scores.all);
  constexpr int draws = 96;
  const Round round = line.draw(from, draws, 1);
  if (round.read.rows() < line.least_draws())
    throw std::invalid_argument("'" + figure + "' does not exist in too many of the draws");
  line.fit(round, from);
  const MatrixXd effect = line.effect_on_all();
  const MatrixXd shop = scores.all.covariance().topLeftCorner(scores.shop, scores.shop);
  const double now = variance(scores, shop, effect.row(0), line.missed()(0, 0));
  Plan plan;
  plan.now = answers::normal_half_90 * std::sqrt(now);
  Index at = 1;
  for (const Choice& choice : choices) {
    const auto n = static_cast<Index>(choice.readings.size());
    MatrixXd noise = line.missed().block(at, at, n, n);
    for (Index j = 0; j < n; ++j)
      for (Index k = 0; k < n; ++k)
        noise(j, k) += error_covariance(choice.readings[static_cast<std::size_t>(j)],
                                        choice.readings[static_cast<std::size_t>(k)], j == k);
    Belief after = scores.all;
    after.observe(effect.middleRows(at, n), VectorXd::Zero(n), noise);
    at += n;
    const double left = variance(scores, after.covariance().topLeftCorner(scores.shop, scores.shop),
                                 effect.row(0), line.missed()(0, 0));
    plan.readings.push_back({choice.what, choice.cost, std::sqrt(left / now)});
  }
  std::stable_sort(plan.readings.begin(), plan.readings.end(),
                   [](const NextReading& a, const NextReading& b) { return a.left < b.left; });
  return plan;
}

} // namespace tq::shop
