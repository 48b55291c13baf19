// The bands of a shipped case: reproducible, collapsing where nothing is in doubt, wider where more is.
#include "../../support/file_records.hpp"
#include "../../support/threaded_executor.hpp"
#include "answers/bands.hpp"

#include <gtest/gtest.h>

#include <cmath>

using namespace tq;
using namespace tq::answers;

namespace {

const std::string petty = "petty_1084_vegetable.toml";

treatment::Case read(const std::string& more = "") {
  const std::filesystem::path path = std::filesystem::path(TQ_SOURCE_DIR) / "cases" / petty;
  return treatment::read_case(*test::read_file(path) + more, petty, test::FileRecords());
}

Bands bands_of(const treatment::Case& c, BandSettings settings, Executor& executor) {
  std::vector<treatment::Run> runs;
  const Answers nominal = answer(c, runs);
  return bands(c, nominal, settings, executor);
}

BandSettings few(int members = 32, std::uint64_t seed = 1) { return {members, seed, true}; }

/// All that was drawn and computed, in order.
std::vector<double> everything(const Bands& b) {
  std::vector<double> all = b.sample;
  const auto take = [&](const std::vector<Band>& figures) {
    for (const Band& f : figures) {
      all.insert(all.end(), {f.nominal, f.low, f.middle, f.high, f.known});
      for (const Cause& cause : f.causes)
        all.insert(all.end(), {static_cast<double>(cause.input), cause.share});
    }
  };
  for (const StationBands& s : b.stations) {
    take(s.figures);
    for (const ZoneBands& z : s.zones)
      take(z.figures);
  }
  return all;
}

bool same_bits(const std::vector<double>& a, const std::vector<double>& b) {
  if (a.size() != b.size())
    return false;
  for (std::size_t i = 0; i < a.size(); ++i)
    if (!(a[i] == b[i] || (std::isnan(a[i]) && std::isnan(b[i]))))
      return false;
  return true;
}

} // namespace

TEST(Bands, SameSeed_SameBandsWhateverTheThreads) {
  const treatment::Case c = read();
  SerialExecutor serial;
  test::ThreadedExecutor two(2), five(5);
  const auto one = everything(bands_of(c, few(), serial));
  EXPECT_TRUE(same_bits(one, everything(bands_of(c, few(), two))));
  EXPECT_TRUE(same_bits(one, everything(bands_of(c, few(), five))));
  EXPECT_FALSE(same_bits(one, everything(bands_of(c, few(32, 2), two))));
}

TEST(Bands, EveryBandHoldsItsMiddle_SharesSumToAtMostOne) {
  test::ThreadedExecutor two(2);
  const Bands b = bands_of(read(), few(64), two);
  EXPECT_EQ(b.failed, 0);
  ASSERT_EQ(b.stations.size(), 1U);
  int seen = 0;
  const auto check = [&](const std::vector<Band>& figures) {
    for (const Band& f : figures) {
      ++seen;
      EXPECT_LE(f.low, f.middle) << f.key;
      EXPECT_LE(f.middle, f.high) << f.key;
      double sum = 0, last = 1;
      for (const Cause& cause : f.causes) {
        EXPECT_LE(cause.share, last) << f.key;
        EXPECT_LT(cause.input, b.inputs.size());
        last = cause.share;
        sum += cause.share;
      }
      EXPECT_LE(sum, 1 + 1e-12) << f.key;
      EXPECT_EQ(f.members.size(), 64U) << f.key;
    }
  };
  check(b.stations[0].figures);
  for (const ZoneBands& z : b.stations[0].zones)
    check(z.figures);
  EXPECT_GT(seen, 70);
  EXPECT_NE(b.stations[0].find("timer_from_door"), nullptr);
  EXPECT_EQ(b.stations[0].find("no such figure"), nullptr);
}

TEST(Bands, AllExact_NothingSpreadsAndMiddleIsThePointAnswer) {
  std::string exact = "\n[uncertainty]\n";
  for (const auto& input : read().uncertainty.usual.inputs)
    exact += input.key + " = \"exact\"\n";
  test::ThreadedExecutor two(2);
  const Bands b = bands_of(read(exact), few(), two);
  EXPECT_TRUE(b.inputs.empty());
  const Band* timer = b.stations[0].find("timer_from_door");
  ASSERT_NE(timer, nullptr);
  EXPECT_EQ(timer->low, timer->high);
  EXPECT_NEAR(timer->middle, timer->nominal, 1e-9 * timer->nominal) << "corrected to the grid of the case";
  EXPECT_TRUE(timer->causes.empty());
}

TEST(Bands, ALooserFoil_WidensTheTimerAndIsNamed) {
  test::ThreadedExecutor two(2);
  const auto timer = [&](const std::string& gap) {
    const Bands b = bands_of(read("\n[uncertainty]\nfoil_gap = " + gap + "\n"), few(64), two);
    const Band* band = b.stations[0].find("timer_from_door");
    const bool named = !band->causes.empty() && b.inputs[band->causes[0].input].key == "foil_gap";
    return std::pair(band->high - band->low, named);
  };
  const auto tight = timer("1.1"), loose = timer("5");
  EXPECT_GT(loose.first, tight.first);
  EXPECT_TRUE(loose.second);
  EXPECT_FALSE(tight.second);
}

TEST(Bands, ProgressMayStop) {
  const treatment::Case c = read();
  std::vector<treatment::Run> runs;
  const Answers nominal = answer(c, runs);
  SerialExecutor serial;
  int calls = 0;
  EXPECT_THROW(bands(c, nominal, few(), serial, [&](double) { return ++calls < 4; }), treatment::Interrupted);
  EXPECT_EQ(calls, 4);
}

// Nine in ten pass and hardly any fails; most fail and hardly any passes; marginal draws are no failures.
TEST(Bands, VerdictOfTheSharesThatPassAndFail) {
  EXPECT_EQ(verdict_of(1, 0), Verdict::pass);
  EXPECT_EQ(verdict_of(0.9, 0), Verdict::pass);
  EXPECT_EQ(verdict_of(0.9, 0.1), Verdict::marginal) << "one in ten fails";
  EXPECT_EQ(verdict_of(0.89, 0), Verdict::marginal);
  EXPECT_EQ(verdict_of(0, 0), Verdict::marginal) << "all are marginal";
  EXPECT_EQ(verdict_of(0.5, 0.5), Verdict::marginal);
  EXPECT_EQ(verdict_of(0.2, 0.51), Verdict::fail);
  EXPECT_EQ(verdict_of(0.21, 0.79), Verdict::marginal) << "more than one in five passes";
}

TEST(Bands, HardnessByTheChanceOfLanding_AsksForABetterOven) {
  EXPECT_EQ(hardness_verdict_of({0.7, 0.75, 200}, 0.1), Verdict::pass) << "nothing does noticeably better";
  EXPECT_EQ(hardness_verdict_of({0.5, 0.7, 215}, 0.1), Verdict::marginal) << "another oven does";
  EXPECT_EQ(hardness_verdict_of({0.3, 0.35, 200}, 0.2), Verdict::marginal)
      << "a narrow wish, none does better";
  EXPECT_EQ(hardness_verdict_of({0.7, 0.75, 200}, 0.11), Verdict::marginal)
      << "more than one in ten misses by more than a tester errs";
  EXPECT_EQ(hardness_verdict_of({0.2, 0.7, 230}, 0.4), Verdict::marginal) << "the better oven is named";
  EXPECT_EQ(hardness_verdict_of({0.1, 0.15, 200}, 0.75), Verdict::marginal);
  EXPECT_EQ(hardness_verdict_of({0.1, 0.15, 200}, 0.76), Verdict::fail)
      << "three in four miss by more than a tester errs";
}

// The oven that the chance names is tried: it does what it says, to what 128 draws tell (10 points, 2 sigma
// of a share) and the shift along the tempering curve leaves.
TEST(Bands, TheBetterOvenDoesBetter) {
  test::ThreadedExecutor two(2);
  treatment::Case c = read();
  c.wishes.hrc_from = 57;
  c.wishes.hrc_to = 59;
  std::vector<treatment::Run> runs;
  const auto chance = [&] {
    const Answers nominal = answer(c, runs, {}, &two);
    return bands(c, nominal, few(128), two).oven;
  };
  const OvenChance before = chance();
  ASSERT_GE(before.best, before.here + noticeably_better) << before.here;
  c.for_each_temper([&](treatment::Oven& o) { o.oven_degC = before.best_degC; });
  const OvenChance after = chance();
  EXPECT_NEAR(after.here, before.best, 0.1);
  EXPECT_LT(after.best, after.here + noticeably_better) << "and then nothing does noticeably better";
}
