// What coupons alone teach of the hardness after the temper. Shops are invented as in shops.cpp; the error of
// the tempering curve is drawn for the blades' oven and for each coupon's together, as two thirds of it are
// the same everywhere (shop/coupon.hpp), and coupons are tempered in the shop's own oven and read with its
// tester. The middle of the band of an edge's hardness is held against blades of the shop before, after one
// and after three coupons, none of them tempered as the blades are.
//   coupon_shops [--shops N] [--first N] [--members N] [--threads N] [--truths N]
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

/// Oven of the blades, then of the coupons: 15 to 45 K colder or hotter than the blades'.
std::array<double, 1 + coupons_of_a_shop> ovens(const treatment::Case& c, test::InventedShop& shop) {
  std::array<double, 1 + coupons_of_a_shop> T{c.oven().oven_degC};
  for (std::size_t i = 1; i < T.size(); ++i) {
    const double aside = 15 + 30 * answers::normal_share_below(shop.normal());
    T[i] = T[0] + (shop.normal() < 0 ? -aside : aside);
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

std::vector<shop::CouponReading> read_coupons(const treatment::Case& c, test::InventedShop& shop) {
  const auto T = ovens(c, shop);
  const Eigen::VectorXd z = curve_errors(c, T, shop);
  const double oven = shop.normal(), tester = shop.normal();
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
    const double stays = shop::share_that_stays(input);
    return std::sqrt(stays) * staying + std::sqrt(1 - stays) * shop.normal();
  };
  std::vector<shop::CouponReading> out;
  for (int i = 1; i <= coupons_of_a_shop; ++i) {
    const double at = T[static_cast<std::size_t>(i)], per_K = slope(c.steel.temper, at);
    const double off = curve_HRC * score("temper_curve", z(i)) +
                       per_K * oven_K * score("oven_reading", oven) + shop::tester_offset_HRC * tester +
                       shop::reading_HRC * shop.normal();
    out.push_back({one_hour(c, at), off, per_K});
  }
  return out;
}

double middle_of(const treatment::Case& c, int members, answers::Executor& executor) {
  std::vector<treatment::Run> runs;
  const answers::Answers nominal = answers::answer(c, runs, {}, &executor);
  const answers::Bands bands = answers::bands(c, nominal, {members, 1, false}, executor);
  const answers::Band* band = bands.stations[0].zones[treatment::zone_edge].find("hardness_tempered");
  return band == nullptr ? std::nan("") : band->middle;
}

constexpr std::array<std::size_t, 3> stops{0, 1, coupons_of_a_shop};

void print(const char* which, long n, const std::array<double, stops.size()>& sum) {
  const auto rms = [&](std::size_t s) { return std::sqrt(sum[s] / static_cast<double>(n)); };
  std::printf(", %ld %s: off by %.2f HRC rms before, %.2f after one coupon, %.2f after three", n, which,
              rms(0), rms(1), rms(2));
}

} // namespace

int main(int argc, char** argv) {
  const auto shops = static_cast<std::uint64_t>(test::option(argc, argv, "--shops", 200)),
             first = static_cast<std::uint64_t>(test::option(argc, argv, "--first", 0));
  const long truths = test::option(argc, argv, "--truths", 2);
  const auto members = static_cast<int>(test::option(argc, argv, "--members", 32));
  test::ThreadedExecutor executor(static_cast<unsigned>(test::option(argc, argv, "--threads", 2)));
  // all blades, and those whose edge the quench hardened: of a soft one no coupon tells
  std::array<double, stops.size()> squares{}, of_hard{};
  long count = 0, hard = 0;
  for (std::uint64_t k = first; k < first + shops; ++k) {
    test::InventedShop of(99999 + k);
    const treatment::Case c =
        shop::as_made(treatment::read_case(test::stated_case(k, 99), "stated", test::FileRecords()), {});
    const std::vector<shop::CouponReading> coupons = read_coupons(c, of);
    std::array<double, stops.size()> middle{};
    for (std::size_t s = 0; s < stops.size(); ++s) {
      shop::Belief belief;
      hold_coupons(belief, c, "", {coupons.begin(), coupons.begin() + static_cast<std::ptrdiff_t>(stops[s])});
      middle[s] = middle_of(as_learnt(c, belief, "", "coupons"), members, executor);
    }
    for (long i = 0; i < truths; ++i) {
      const answers::ZoneAnswer edge = of.make(c).answer.zones[treatment::zone_edge];
      const double truth = edge.tempered_HRC;
      if (std::isnan(truth) || std::isnan(middle[0]))
        continue;
      constexpr double least_HRC = 62; // as quenched
      const bool hardened = edge.as_quenched_HRC >= least_HRC;
      ++count;
      hard += hardened ? 1 : 0;
      for (std::size_t s = 0; s < stops.size(); ++s) {
        const double square = (truth - middle[s]) * (truth - middle[s]);
        squares[s] += square;
        of_hard[s] += hardened ? square : 0;
      }
    }
    if ((k + 1 - first) % 10 == 0 || k + 1 == first + shops) {
      std::printf("%llu shops", static_cast<unsigned long long>(k + 1 - first));
      print("blades", count, squares);
      print("of 62 HRC or more as quenched", hard, of_hard);
      std::printf("\n");
      std::fflush(stdout);
    }
  }
  return 0;
}
