// What coupons alone teach of the hardness after the temper. Shops are invented as in shops.cpp; the error of
// the tempering curve is drawn for the blades' oven and for each coupon's together, as two thirds of it are
// the same everywhere (shop/coupon.hpp), and coupons are tempered in the shop's own oven and read with its
// tester. The middle of the band of an edge's hardness is held against blades of the shop before, after one
// and after three coupons, tempered beside the blades' setting or at it. Since coupons are weighed by the
// very model that draws them, linear and normal, no judge does better: what the posterior expects of its own
// error is printed beside it, and what would be left were all of curve and oven known that stays from blade
// to blade.
//   coupon_shops [--shops N] [--first N] [--members N] [--threads N] [--truths N] [--dents N] [--block 0|1]
//                [--aside 0|1] [--certified 0|1]
// --dents: readings of each coupon, their mean is taken. --block: the shop's test block was read beside each;
// --certified 1: its certificate says +/- 0.3 HRC (k = 2).
// --aside 0: coupons are tempered with the oven set as for the blades, else 15 to 45 K colder or hotter.
#include "shop_cases.hpp"

#include "../support/file_records.hpp"
#include "../support/invented_shop.hpp"
#include "../support/threaded_executor.hpp"
#include "answers/bands.hpp"
#include "shop/coupon.hpp"
#include "steel/temper.hpp"
#include "treatment/case_reader.hpp"

#include <Eigen/Cholesky>

#include <array>
#include <cmath>
#include <cstdio>

using namespace tq;

namespace {

constexpr int coupons_of_a_shop = 3;

/// How coupons are made and read.
struct Reading {
  int dents;
  bool block, aside, certified;
};

/// Oven of the blades, then of the coupons.
std::array<double, 1 + coupons_of_a_shop> ovens(const treatment::Case& c, const Reading& reading,
                                                test::InventedShop& shop) {
  std::array<double, 1 + coupons_of_a_shop> T{c.oven().oven_degC};
  for (std::size_t i = 1; i < T.size(); ++i) {
    const double aside = 15 + 30 * answers::normal_share_below(shop.normal());
    T[i] = T[0] + (reading.aside ? (shop.normal() < 0 ? -aside : aside) : 0);
  }
  return T;
}

double one_hour(const treatment::Case& c, double oven_degC) {
  const double constant = c.steel.temper.hj_constant_h;
  return steel::equivalent_temperature(
      steel::hollomon_jaffe(oven_degC, c.oven().time_s * c.tempers(), constant), 3600, constant);
}

/// Hardness per kelvin of the record's table there.
double slope(const records::TemperCurve& curve, double T_degC) {
  for (std::size_t i = 1; i < curve.temperature_degC.size(); ++i)
    if (T_degC < curve.temperature_degC[i] || i + 1 == curve.temperature_degC.size())
      return (curve.hardness_HRC[i] - curve.hardness_HRC[i - 1]) /
             (curve.temperature_degC[i] - curve.temperature_degC[i - 1]);
  return 0;
}

/// Scores of the curve's error that stay, at each of the ovens.
Eigen::VectorXd curve_errors(const treatment::Case& c, const std::array<double, 1 + coupons_of_a_shop>& T,
                             test::InventedShop& shop) {
  const auto n = static_cast<Eigen::Index>(T.size());
  Eigen::MatrixXd together(n, n);
  Eigen::VectorXd z(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    z(i) = shop.normal();
    for (Eigen::Index j = 0; j < n; ++j)
      together(i, j) =
          (i == j ? 1e-9 : 0) + shop::error_correlation(one_hour(c, T[static_cast<std::size_t>(i)]),
                                                        one_hour(c, T[static_cast<std::size_t>(j)]));
  }
  return Eigen::LLT<Eigen::MatrixXd>(together).matrixL() * z;
}

/// The shop's own, as it truly is.
struct Stays {
  double curve, oven;
};

std::vector<shop::CouponReading> read_coupons(const treatment::Case& c, const Reading& reading,
                                              test::InventedShop& shop, Stays& stays) {
  const auto T = ovens(c, reading, shop);
  const Eigen::VectorXd z = curve_errors(c, T, shop);
  const double oven = shop.normal(), tester = shop.normal();
  stays = {z(0), oven};
  shop.set("temper_curve", z(0));
  shop.set("oven_reading", oven);
  double curve_HRC = 0, oven_K = 0;
  for (const answers::UncertainInput& input : answers::uncertain_inputs(c)) {
    const double one = input.distribution.at_score(1) - input.distribution.at_score(0);
    if (input.key == "temper_curve")
      curve_HRC = one;
    else if (input.key == "oven_reading")
      oven_K = one;
  }
  const auto score = [&](const char* input, double staying) {
    const double share = shop::share_that_stays(input);
    return std::sqrt(share) * staying + std::sqrt(1 - share) * shop.normal();
  };
  std::vector<shop::CouponReading> out;
  for (int i = 1; i <= coupons_of_a_shop; ++i) {
    const double at = T[static_cast<std::size_t>(i)], per_K = slope(c.steel.temper, at);
    const double off = curve_HRC * score("temper_curve", z(i)) +
                       per_K * oven_K * score("oven_reading", oven) + shop::tester_offset_HRC * tester +
                       shop::mean_reading_HRC(reading.dents) * shop.normal();
    out.push_back({one_hour(c, at), off, per_K, reading.dents});
  }
  if (reading.block) {
    const double sd = reading.certified ? 0.15 : shop::block_HRC, written = sd * shop.normal();
    for (shop::CouponReading& one : out)
      one.block = {60,
                   shop::tester_offset_HRC * tester + written +
                       shop::mean_reading_HRC(reading.dents) * shop.normal(),
                   sd};
  }
  return out;
}

/// Of the edge's hardness after the temper over the draws; the variance of those that came out hard.
struct Told {
  double middle = std::nan(""), hard_variance = std::nan("");
};

constexpr double hard_HRC = 62; // as quenched

Told told_of(const treatment::Case& c, int members, answers::Executor& executor) {
  std::vector<treatment::Run> runs;
  const answers::Answers nominal = answers::answer(c, runs, {}, &executor);
  const answers::Bands bands = answers::bands(c, nominal, {members, 1, true}, executor);
  const answers::ZoneBands& edge = bands.stations[0].zones[treatment::zone_edge];
  const answers::Band *tempered = edge.find("hardness_tempered"),
                      *quenched = edge.find("hardness_as_quenched");
  Told out;
  if (tempered == nullptr || quenched == nullptr)
    return out;
  out.middle = tempered->middle;
  double n = 0, sum = 0, squares = 0;
  for (std::size_t m = 0; m < tempered->members.size(); ++m)
    if (quenched->members[m] >= hard_HRC) {
      const double off = tempered->members[m] - out.middle;
      n += 1;
      sum += off;
      squares += off * off;
    }
  if (2 * n > members)
    out.hard_variance = (squares - sum * sum / n) / (n - 1);
  return out;
}

/// A belief in which curve and oven are known.
shop::Belief all_that_stays(const treatment::Case& c, const Stays& stays) {
  shop::Belief belief;
  for (const answers::UncertainInput& input : answers::uncertain_inputs(c))
    if (input.key == "temper_curve" || input.key == "oven_reading")
      belief.at(shop::score_name(input.key, input.width, c, ""));
  const auto n = static_cast<Eigen::Index>(belief.size());
  Eigen::VectorXd mean(n);
  for (Eigen::Index i = 0; i < n; ++i)
    mean(i) =
        belief.names()[static_cast<std::size_t>(i)].starts_with("temper_curve") ? stays.curve : stays.oven;
  belief.set(mean, 1e-6 * Eigen::MatrixXd::Identity(n, n));
  return belief;
}

/// Before, after one coupon and after all of them, and with all known that stays.
constexpr std::array<std::size_t, 3> stops{0, 1, coupons_of_a_shop};
constexpr std::size_t columns = stops.size() + 1;
using Sums = std::array<double, columns>;

void print(const char* which, long n, const Sums& sum) {
  std::printf("; %ld %s", n, which);
  for (const double squares : sum)
    std::printf(" %.2f", std::sqrt(squares / static_cast<double>(std::max(n, 1L))));
}

} // namespace

int main(int argc, char** argv) {
  const auto shops = static_cast<std::uint64_t>(test::option(argc, argv, "--shops", 200)),
             first = static_cast<std::uint64_t>(test::option(argc, argv, "--first", 0));
  const long truths = test::option(argc, argv, "--truths", 2);
  const auto members = static_cast<int>(test::option(argc, argv, "--members", 32));
  const Reading reading{
      static_cast<int>(test::option(argc, argv, "--dents", 1)), test::option(argc, argv, "--block", 0) != 0,
      test::option(argc, argv, "--aside", 1) != 0, test::option(argc, argv, "--certified", 0) != 0};
  test::ThreadedExecutor executor(static_cast<unsigned>(test::option(argc, argv, "--threads", 2)));
  std::printf(
      "tempered hardness, HRC rms before, after one coupon, after three, with all known that stays\n");
  // all blades, and those whose edge the quench hardened: of a soft one no coupon tells
  Sums squares{}, of_hard{}, expected{};
  long count = 0, hard = 0, foretold = 0;
  for (std::uint64_t k = first; k < first + shops; ++k) {
    test::InventedShop of(99999 + k);
    const treatment::Case c =
        shop::as_made(treatment::read_case(test::stated_case(k, 99), "stated", test::FileRecords()), {});
    Stays stays{};
    const std::vector<shop::CouponReading> coupons = read_coupons(c, reading, of, stays);
    std::array<Told, columns> told{};
    for (std::size_t s = 0; s < columns; ++s) {
      shop::Belief belief;
      if (s == stops.size()) {
        belief = all_that_stays(c, stays);
      } else {
        std::vector<shop::CouponReading> some(coupons.begin(),
                                              coupons.begin() + static_cast<std::ptrdiff_t>(stops[s]));
        hold_coupons(belief, c, "", some);
      }
      told[s] = told_of(as_learnt(c, belief, "", "coupons"), members, executor);
    }
    if (std::none_of(told.begin(), told.end(), [](const Told& t) { return std::isnan(t.hard_variance); })) {
      ++foretold;
      for (std::size_t s = 0; s < columns; ++s)
        expected[s] += told[s].hard_variance;
    }
    for (long i = 0; i < truths; ++i) {
      const answers::ZoneAnswer edge = of.make(c).answer.zones[treatment::zone_edge];
      const double truth = edge.tempered_HRC;
      if (std::isnan(truth) || std::isnan(told[0].middle))
        continue;
      const bool hardened = edge.as_quenched_HRC >= hard_HRC;
      ++count;
      hard += hardened ? 1 : 0;
      for (std::size_t s = 0; s < columns; ++s) {
        const double square = (truth - told[s].middle) * (truth - told[s].middle);
        squares[s] += square;
        of_hard[s] += hardened ? square : 0;
      }
    }
    if ((k + 1 - first) % 10 == 0 || k + 1 == first + shops) {
      std::printf("%llu shops", static_cast<unsigned long long>(k + 1 - first));
      print("blades", count, squares);
      print("of 62 HRC or more as quenched", hard, of_hard);
      print("shops, as their own posterior expects of such", foretold, expected);
      std::printf("\n");
      std::fflush(stdout);
    }
  }
  return 0;
}
