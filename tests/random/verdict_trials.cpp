// Are the verdicts right? Shops are invented: what a shop states is a case (steel, section, foil, oil, way,
// oven by chance; half of them set a timer of their own, every third another oil than suits; the wish lies up
// to three points beside what the stated case would give, and is two points wide, or three, or four). Every
// fifth shop is careless, so that there is something to fail: any oil, up to twice the thickness, up to 15 s
// on the way, a timer of a tenth to all of the program's.
// Verdicts by draws know only what is stated. What is true there is the case with every uncertain input drawn
// afresh by chance and computed on the fine grid; each shop makes a few blades, each with doubts of its own.
//   verdict_trials [--shops N] [--from N] [--blades N] [--members N] [--threads N]
// A PASS is right when the blade passes; for the hardness, as its rule says, when it lands in the wish or
// within 1 HRC of it (no bench tester tells these apart). A FAIL is right when the blade is beyond the same
// line: when it does not pass; for the hardness, when it misses the wish by more than that. The chance of
// landing in the wish itself, which stands beside the word, is held against how often blades do. Exit code 1
// when a PASS is right in less than 90 % or a FAIL in less than 80 %, or the chance is off, by more than
// chance allows.
#include "../support/file_records.hpp"
#include "../support/threaded_executor.hpp"
#include "answers/bands.hpp"
#include "answers/station_answer.hpp"
#include "treatment/case_reader.hpp"
#include "treatment/run.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <random>
#include <string>
#include <vector>

using namespace tq;
using answers::Verdict;

namespace {

/// Strictly between 0 and 1, the same on every machine.
double chance(std::mt19937_64& random) { return (static_cast<double>(random() >> 11) + 0.5) * 0x1p-53; }

std::string one_of(std::mt19937_64& random, const std::vector<std::string>& words) {
  return words[static_cast<std::size_t>(chance(random) * static_cast<double>(words.size()))];
}

long option(int argc, char** argv, const char* name, long otherwise) {
  for (int i = 1; i + 1 < argc; ++i)
    if (std::strcmp(argv[i], name) == 0)
      return std::atol(argv[i + 1]);
  return otherwise;
}

bool careless(std::uint64_t number) { return number % 5 == 4; }

std::string stated_text(std::mt19937_64& random, bool careless) {
  const auto between = [&](double from, double to) {
    return std::to_string(from + (to - from) * chance(random));
  };
  const std::string steel = one_of(random, {"O1", "O2", "1075", "1084", "1095", "52100", "80CrV2", "5160"});
  const bool deep = steel == "O1" || steel == "O2" || steel == "5160";
  const std::vector<std::string> suits =
      deep ? std::vector<std::string>{"medium-oil", "slow-oil", "vegetable-oil"}
           : std::vector<std::string>{"fast-oil", "fast-oil", "vegetable-oil"};
  const std::vector<std::string> any{"fast-oil", "medium-oil", "slow-oil", "vegetable-oil"};
  const bool sensible = chance(random) < 2.0 / 3 && !careless;
  std::string text = "format = 1\n[blade]\nsteel = \"" + steel + "\"\nlength = \"120 mm\"\nstart = \"" +
                     one_of(random, {"spheroidised", "fine pearlite"}) + "\"\n[[blade.station]]\nwidth = \"" +
                     between(22, 45) + " mm\"\nspine = \"" + between(1.6, careless ? 8 : 5) +
                     " mm\"\nedge = \"" + between(0.4, 1.2) + " mm\"\n[furnace]\ndroop = \"" +
                     between(5, 20) + " K\"\n";
  if (chance(random) < 0.7)
    text += "[wrap]\nfold = \"" + one_of(random, {"hand folded", "pressed"}) + "\"\n";
  return text + "[transfer]\ntime = \"" + between(1.5, careless ? 15 : 6) + " s\"\n[bath]\ncoolant = \"" +
         one_of(random, sensible ? suits : any) + "\"\nvolume = \"" + between(4, 20) +
         " L\"\n[temper]\noven = \"" + between(170, 260) + " degC\"\ncount = 2\n";
}

double mean_tempered(const answers::StationAnswer& s) {
  double sum = 0, n = 0;
  for (const auto& z : s.zones)
    if (z.wanted == treatment::Wanted::hard) {
      sum += z.tempered_HRC;
      ++n;
    }
  return sum / n;
}

/// What a shop states; `nominal` is what the program says of it as stated.
treatment::Case stated_case(std::uint64_t number, answers::Answers& nominal) {
  std::mt19937_64 random(31000 + number);
  treatment::Case c =
      treatment::read_case(stated_text(random, careless(number)), "stated", test::FileRecords());
  std::vector<treatment::Run> runs;
  nominal = answers::answer(c, runs);
  double timer_s = nominal.stations[0].timer_used_s;
  constexpr double minute_s = 60;
  const double least = careless(number) ? 0.1 : 0.4, most = careless(number) ? 1 : 1.4; // of the program's
  if (chance(random) < 0.5)
    timer_s =
        minute_s * std::max(1.0, std::round(timer_s * (least + (most - least) * chance(random)) / minute_s));
  c.furnace().timer_s = timer_s;
  constexpr double beside_HRC = 3;
  const double middle =
      std::round(mean_tempered(nominal.stations[0]) + beside_HRC * (2 * chance(random) - 1));
  const double half_HRC = std::array{1.0, 1.0, 1.5, 2.0}[static_cast<std::size_t>(4 * chance(random))];
  c.wishes.hrc_from = middle - half_HRC;
  c.wishes.hrc_to = middle + half_HRC;
  runs.clear();
  nominal = answers::answer(c, runs);
  return c;
}

struct Three {
  Verdict soak = Verdict::not_asked, quench = soak, hardness = soak;
};

/// How the blade itself is; hardness by the same rule as a draw.
Three true_verdicts(const treatment::Case& real) {
  std::vector<treatment::Run> runs;
  const answers::Answers a = answers::answer(real, runs);
  double miss = 0;
  for (const auto& z : a.stations[0].zones)
    if (z.wanted == treatment::Wanted::hard)
      miss = std::max({miss, real.wishes.hrc_from - z.tempered_HRC, z.tempered_HRC - real.wishes.hrc_to});
  return {a.soak.verdict, a.quench.verdict,
          miss <= 0                        ? Verdict::pass
          : miss <= answers::near_miss_HRC ? Verdict::marginal
                                           : Verdict::fail};
}

/// Blades by what was said (first) and what they are (second).
struct Count {
  std::array<std::array<long, 3>, 3> blades{};

  void add(Verdict said, Verdict is) {
    if (said != Verdict::not_asked && is != Verdict::not_asked)
      ++blades[index(said)][index(is)];
  }
  static std::size_t index(Verdict v) { return v == Verdict::pass ? 0 : v == Verdict::marginal ? 1 : 2; }
  long of(std::size_t said) const { return blades[said][0] + blades[said][1] + blades[said][2]; }
};

/// Whether so many right ones of n are too few for `least` by more than chance allows.
bool too_few(long right, long n, double least) {
  constexpr double chance_allows = 3;
  const auto m = static_cast<double>(n);
  return static_cast<double>(right) < least * m - chance_allows * std::sqrt(m * least * (1 - least));
}

double percent(long part, long whole) {
  return 100.0 * static_cast<double>(part) / static_cast<double>(std::max(whole, 1L));
}

bool report(const char* name, const Count& c, bool near_counts) {
  const long all = c.of(0) + c.of(1) + c.of(2);
  const long pass_right = c.blades[0][0] + (near_counts ? c.blades[0][1] : 0),
             fail_right = c.blades[2][2] + (near_counts ? 0 : c.blades[2][1]);
  std::printf(
      "| %s | %ld | %.0f %% | %ld | %.1f %% (%.1f %%) | %.0f %% | %.0f %% | %ld | %.1f %% (%.1f %%) |\n",
      name, all, percent(c.of(0), all), c.of(0), percent(pass_right, c.of(0)),
      percent(c.blades[0][0], c.of(0)), percent(c.of(1), all), percent(c.of(2), all), c.of(2),
      percent(fail_right, c.of(2)), percent(c.blades[2][2], c.of(2)));
  return !too_few(pass_right, c.of(0), 0.9) && !too_few(fail_right, c.of(2), 0.8);
}

/// Chances of landing in the wish as told, in fifths, against how often blades did.
struct Calibration {
  struct Fifth {
    double told = 0;
    long landed = 0, blades = 0;
  };
  std::array<Fifth, 5> fifths{};

  void add(double told, Verdict is) {
    if (is == Verdict::not_asked || std::isnan(told))
      return;
    Fifth& f = fifths[static_cast<std::size_t>(std::min(4.0, 5 * told))];
    f.told += told;
    f.landed += is == Verdict::pass ? 1 : 0;
    ++f.blades;
  }
  /// Prints them; false when one is off by more than chance allows. The draws of a shop share its case, so
  /// that their number counts for less: for as many as there are shops.
  bool report(std::size_t blades_of_a_shop) const {
    std::printf("\n| chance told | blades | landed in the wish |\n|---|---|---|\n");
    bool good = true;
    for (const Fifth& f : fifths) {
      if (f.blades == 0)
        continue;
      const auto n = static_cast<double>(f.blades);
      const double told = f.told / n, landed = static_cast<double>(f.landed) / n;
      const double shops = std::max(1.0, n / static_cast<double>(blades_of_a_shop));
      constexpr double chance_allows = 3;
      good = good && std::abs(landed - told) <= chance_allows * std::sqrt(0.25 / shops);
      std::printf("| %.0f %% | %ld | %.0f %% |\n", 100 * told, f.blades, 100 * landed);
    }
    return good;
  }
};

} // namespace

int main(int argc, char** argv) {
  const auto shops = static_cast<std::size_t>(option(argc, argv, "--shops", 200));
  const auto from = static_cast<std::size_t>(option(argc, argv, "--from", 0));
  const auto blades = static_cast<std::size_t>(option(argc, argv, "--blades", 4));
  const auto members = static_cast<int>(option(argc, argv, "--members", 128));
  test::ThreadedExecutor executor(static_cast<unsigned>(option(argc, argv, "--threads", 2)));
  Count soak, quench, hardness;
  Calibration landing;
  for (std::size_t k = from; k < from + shops; ++k) {
    answers::Answers nominal;
    const treatment::Case stated = stated_case(k, nominal);
    const answers::Bands bands = answers::bands(stated, nominal, {members, 1, false}, executor);
    std::vector<Three> truths(blades);
    executor.for_each_index(blades, [&](std::size_t n) {
      std::mt19937_64 random(55555 + 1000 * k + n);
      std::vector<double> changes;
      for (const answers::UncertainInput& input : bands.inputs)
        changes.push_back(input.distribution.quantile(chance(random)));
      truths[n] = true_verdicts(perturbed(stated, bands.inputs, changes.data()));
    });
    for (const Three& t : truths) {
      soak.add(bands.soak.verdict, t.soak);
      quench.add(bands.quench.verdict, t.quench);
      hardness.add(bands.hardness.verdict, t.hardness);
      landing.add(bands.oven.here, t.hardness);
    }
  }
  std::printf("%zu shops with %zu blades each, %d members\n\n", shops, blades, members);
  std::printf("| verdict | blades | PASS | blades | right (strictly) | MARGINAL | FAIL | blades | right "
              "(strictly) |\n"
              "|---|---|---|---|---|---|---|---|---|\n");
  const bool good_soak = report("soak", soak, false), good_quench = report("quench", quench, false),
             good_hardness = report("hardness", hardness, true), good_chance = landing.report(blades);
  return good_soak && good_quench && good_hardness && good_chance ? 0 : 1;
}
