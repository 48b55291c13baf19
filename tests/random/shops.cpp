// Does a shop learn what is true? Shops are invented: what stays in one is drawn once, what is a blade's own
// for each blade, both from the distributions that the program doubts its inputs by
// (tests/support/invented_shop.hpp). The blades are computed on the grid of their case and read with a
// tester, a thermocouple in the packet and an oven thermometer. Held against further blades of the shop: the
// bands before anything was learnt and after so many blades.
//   shops [--shops N] [--first N] [--blades 0|1|3|10] [--members N] [--threads N] [--truths N]
//         [--quench-log 0|1] [--coupon 0|1] [--each 0|1]
// --quench-log, --coupon: whether the couple stays on the blade through the oil, and whether a coupon of the
// bar is cooled and tested with each blade. --blades 0: the widths that would be left were the oil known
// exactly.
// --each: a line for each truth (blades learnt from, figure, low, middle, high, truth) and for each band (its
// width over that before), so that parts of a run can be counted together.
// Prints the share of the truths inside the 90 % band, the width left of the bands, and the error of the
// tempered hardness; exit code 1 when a share lies outside 85 to 95 %.
#include "shop_cases.hpp"

#include "../support/file_records.hpp"
#include "../support/invented_shop.hpp"
#include "../support/threaded_executor.hpp"
#include "answers/bands.hpp"
#include "shop/cooled_coupon.hpp"
#include "shop/coupon.hpp"
#include "treatment/case_reader.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <string>
#include <vector>

using namespace tq;

namespace {

struct Compared {
  const char* key;
  int zone;
  double (*value)(const answers::StationAnswer&);
  bool ratio; ///< widths are compared as logarithms
};
using S = answers::StationAnswer;
const std::array<Compared, 10> compared{{
    {"reaches_temperature", 3, [](const S& s) { return s.zones[3].reaches_temperature_s; }, false},
    {"timer_from_door", 2, [](const S& s) { return s.zones[2].timer_from_door_s; }, false},
    {"carbon_in_solution", 3, [](const S& s) { return s.zones[3].carbon_in_solution; }, false},
    {"into_bath", 0, [](const S& s) { return s.zones[0].into_bath_degC; }, false},
    {"transformed", 3, [](const S& s) { return s.zones[3].transformed; }, false},
    {"rate_margin", 3, [](const S& s) { return s.zones[3].rate_margin; }, true},
    {"retained_austenite", 1, [](const S& s) { return s.zones[1].retained_austenite; }, false},
    {"hardness_as_quenched", 0, [](const S& s) { return s.zones[0].as_quenched_HRC; }, false},
    {"hardness_tempered", 0, [](const S& s) { return s.zones[0].tempered_HRC; }, false},
    {"bath_rise", -1, [](const S& s) { return s.bath_rise_K; }, false},
}};

/// What happened over all shops after so many blades.
struct Tally {
  std::array<long, compared.size()> inside{}, all{};
  std::array<std::vector<double>, compared.size()> left; ///< width of the band after over before, by shop
  double squares = 0;                                    ///< of the tempered hardness against the middle
  long errors = 0;
};

const answers::Band* band_of(const answers::Bands& bands, const Compared& c) {
  return c.zone < 0 ? bands.stations[0].find(c.key)
                    : bands.stations[0].zones[static_cast<std::size_t>(c.zone)].find(c.key);
}

double width(const answers::Band* band, const Compared& c) {
  if (band == nullptr)
    return std::nan("");
  return c.ratio ? std::log(band->high / band->low) : band->high - band->low;
}

answers::Bands bands_of(const treatment::Case& c, int members, answers::Executor& executor) {
  // as answers::bands(), without what the ten figures do not need: the ways to spare and remarks
  const treatment::Run run = treatment::run_station(c, 0);
  answers::Answers nominal;
  nominal.stations = {answers::answer_station(c, run, answers::soak_margins(c, 0, run))};
  const answers::Draws draws(c, {*c.furnace().timer_s, {}}, {members, 1, false});
  std::vector<std::vector<double>> pieces(draws.pieces());
  executor.for_each_index(pieces.size(),
                          [&](std::size_t i) {
                            try {
                              pieces[i] = draws.piece(i);
                            } catch (const treatment::SolverError&) {
                              // one member less
                            }
                          },
                          {});
  return draws.reduce(nominal, std::move(pieces));
}

bool each_told = false; ///< --each

void hold(const answers::Bands& bands, const answers::Bands& before, const std::vector<S>& truths,
          Tally& tally, long blades) {
  for (std::size_t f = 0; f < compared.size(); ++f) {
    const answers::Band* band = band_of(bands, compared[f]);
    if (band == nullptr)
      continue;
    const double left = width(band, compared[f]) / width(band_of(before, compared[f]), compared[f]);
    if (std::isfinite(left))
      tally.left[f].push_back(left);
    if (each_told)
      std::printf("width %ld %s %.4f\n", blades, compared[f].key, left);
    for (const S& truth : truths) {
      const double value = compared[f].value(truth);
      if (std::isnan(value))
        continue;
      if (each_told)
        std::printf("truth %ld %s %.6g %.6g %.6g %.6g\n", blades, compared[f].key, band->low, band->middle,
                    band->high, value);
      ++tally.all[f];
      tally.inside[f] += value >= band->low && value <= band->high ? 1 : 0;
      if (std::strcmp(compared[f].key, "hardness_tempered") == 0) {
        tally.squares += (value - band->middle) * (value - band->middle);
        ++tally.errors;
      }
    }
  }
}

void print(const char* heading, const Tally& t) {
  std::printf(
      "\n%s: tempered hardness off by %.2f HRC rms\n\n| figure | truths | inside | width left, median |\n"
      "|---|---|---|---|\n",
      heading, std::sqrt(t.squares / static_cast<double>(std::max(t.errors, 1L))));
  for (std::size_t f = 0; f < compared.size(); ++f) {
    std::vector<double> left = t.left[f];
    std::sort(left.begin(), left.end());
    std::printf("| %s | %ld | %.1f %% | %.2f |\n", compared[f].key, t.all[f],
                100 * static_cast<double>(t.inside[f]) / static_cast<double>(std::max(t.all[f], 1L)),
                left.empty() ? 1.0 : left[left.size() / 2]);
  }
}

/// What is read of every blade beside the packet's log, oven, oil and the tester as quenched and tempered.
struct Readings {
  bool quench_log, coupon;
};

/// How fast the next coupon is cooled, by what came of those before.
class Coupons {
 public:
  explicit Coupons(const treatment::Case& stated) {
    // a plate of 3 mm, which is thin: rate of cooling times heat capacity times half its thickness
    constexpr double J_m3K = 7800 * 650.0, half_m = 1.5e-3, from_K = 670, to_K = 470;
    htc_ = std::log(from_K / to_K) / shop::half_soft_cooling(stated).t700_500_s * J_m3K * half_m;
  }
  void read(test::InventedShop& truth, const test::InventedShop::Made& made, shop::Blade& blade) {
    constexpr double by_hand = 0.25, other = 2, hard_HRC = 62, soft_HRC = 47;
    const auto coupon = truth.coupon(made, htc_ * std::exp(by_hand * truth.normal()));
    blade.coupon = coupon.log;
    blade.firing.coupon_hrc = coupon.hrc;
    htc_ *= coupon.hrc > hard_HRC ? 1 / other : coupon.hrc < soft_HRC ? other : 1;
  }

 private:
  double htc_;
};

shop::Blade made_and_read(test::InventedShop& truth, treatment::Case stated, const Readings& readings,
                          Coupons& coupons) {
  shop::Blade one{std::move(stated), {}, 0, {}, {}};
  const auto made = truth.make(one.made);
  one.packet = truth.packet_log(made);
  one.oven = truth.oven_log(made);
  one.firing.oil_before_degC = made.answer.bath_start_degC;
  one.firing.oil_after_degC = made.answer.bath_end_degC + 1.5 * truth.normal();
  const auto& thickest = made.answer.zones[treatment::zone_thickest];
  one.firing.quenched = {{treatment::zone_thickest, truth.hardness_read(thickest.as_quenched_HRC), false}};
  one.firing.tempered = {{{treatment::zone_thickest, truth.hardness_read(thickest.tempered_HRC), true}}};
  if (readings.quench_log)
    one.quench = truth.quench_log(made);
  if (readings.coupon)
    coupons.read(truth, made, one);
  return one;
}

double processor_s() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

constexpr std::array<long, 3> stops{1, 3, 10};

struct Trial {
  std::uint64_t first, shops;
  long most, truths;
  int members;
  Readings readings;
  Tally before{}, oil_known{};
  std::array<Tally, stops.size()> after{};
  double effective = 0, lesson_s = 0, all_s = 0;
  long lessons = 0, rounds = 0, collapsed = 0;

  void run(std::uint64_t k, answers::Executor& executor);
  bool report(std::uint64_t done) const;
};

/// The same case with an oil of which everything is known.
treatment::Case with_known_oil(treatment::Case c) {
  for (const char* input : {"oil_h", "oil_blanket", "oil_temperature", "oil_volume", "oil_agitation",
                            "oil_by_temperature", "oil_by_agitation"})
    c.uncertainty.stated.push_back({input, records::Knowledge::measured, 0.0});
  return c;
}

void Trial::run(std::uint64_t k, answers::Executor& executor) {
  const double begin = processor_s();
  test::InventedShop truth(77777 + k);
  const auto stated = [&](std::uint64_t blade) {
    return shop::as_made(treatment::read_case(test::stated_case(k, blade), "stated", test::FileRecords()),
                         {});
  };
  const treatment::Case next = stated(99);
  std::vector<S> made;
  for (long i = 0; i < truths; ++i)
    made.push_back(truth.make(next).answer);
  const answers::Bands unlearnt = bands_of(next, members, executor);
  hold(unlearnt, unlearnt, made, before, 0);
  if (most == 0) // of no use otherwise: what the oil alone could give
    hold(bands_of(with_known_oil(next), members, executor), unlearnt, {}, oil_known, 0);
  shop::Belief belief;
  Coupons coupons(next);
  for (long blade = 1; blade <= most; ++blade) {
    const shop::Blade one =
        made_and_read(truth, stated(static_cast<std::uint64_t>(blade)), readings, coupons);
    const double lesson_begin = processor_s();
    const shop::Lesson lesson = learn(belief, one, executor);
    lesson_s += processor_s() - lesson_begin;
    ++lessons;
    ++belief.blades;
    rounds += lesson.rounds;
    effective += lesson.effective;
    collapsed += lesson.effective < 0.1 ? 1 : 0;
    for (std::size_t s = 0; s < stops.size(); ++s)
      if (blade == stops[s])
        hold(bands_of(as_learnt(next, belief, "", "the shop"), members, executor), unlearnt, made, after[s],
             blade);
  }
  all_s += processor_s() - begin;
}

bool Trial::report(std::uint64_t done) const {
  const auto n = static_cast<double>(std::max(lessons, 1L));
  std::printf(
      "%llu shops, %ld truths each, %d members, %.1f s of processor time for a shop; a lesson takes "
      "%.2f s and %.1f rounds, %.0f %% of its last draws are effective, under a tenth in %ld of %ld\n",
      static_cast<unsigned long long>(done), truths, members, all_s / static_cast<double>(done), lesson_s / n,
      static_cast<double>(rounds) / n, 100 * effective / n, collapsed, lessons);
  print("before", before);
  if (most == 0)
    print("with an oil that is known exactly", oil_known);
  bool good = true;
  for (std::size_t s = 0; s < stops.size() && stops[s] <= most; ++s) {
    print(("after " + std::to_string(stops[s]) + " blades").c_str(), after[s]);
    for (std::size_t f = 0; f < compared.size(); ++f) {
      const double share =
          static_cast<double>(after[s].inside[f]) / static_cast<double>(std::max(after[s].all[f], 1L));
      good = good && share >= 0.85 && share <= 0.95;
    }
  }
  return good;
}

} // namespace

int main(int argc, char** argv) {
  Trial trial{
      static_cast<std::uint64_t>(test::option(argc, argv, "--first", 0)),
      static_cast<std::uint64_t>(test::option(argc, argv, "--shops", 200)),
      test::option(argc, argv, "--blades", 3),
      test::option(argc, argv, "--truths", 4),
      static_cast<int>(test::option(argc, argv, "--members", 64)),
      {test::option(argc, argv, "--quench-log", 1) != 0, test::option(argc, argv, "--coupon", 1) != 0}};
  each_told = test::option(argc, argv, "--each", 0) != 0;
  test::ThreadedExecutor executor(static_cast<unsigned>(test::option(argc, argv, "--threads", 2)));
  for (std::uint64_t k = trial.first; k < trial.first + trial.shops; ++k) {
    trial.run(k, executor);
    std::fprintf(stderr, "%llu\n", static_cast<unsigned long long>(k));
    constexpr std::uint64_t now_and_then = 20;
    if ((k + 1 - trial.first) % now_and_then == 0 && k + 1 < trial.first + trial.shops) {
      trial.report(k + 1 - trial.first);
      std::fflush(stdout);
    }
  }
  return trial.report(trial.shops) ? 0 : 1;
}
