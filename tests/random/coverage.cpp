// Do the bands hold what they promise? Shops are invented: what a shop states is a case, what is true there
// is that case with every uncertain input drawn afresh from its distribution (by chance, not by the sample
// that made the bands) and computed on the fine grid of the case. The bands know only what is stated.
//   coverage [--shops N] [--cases N] [--members N] [--threads N]
// Prints the share of the shops whose truth lies inside the 90 % band, figure by figure; exit code 1 when one
// is outside 85 to 95 %.
#include "../support/file_records.hpp"
#include "../support/threaded_executor.hpp"
#include "answers/bands.hpp"
#include "answers/station_answer.hpp"
#include "treatment/case_reader.hpp"

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <random>
#include <string>
#include <vector>

using namespace tq;

namespace {

/// A number in [0, 1), the same on every machine (distributions of the standard library are not).
double chance(std::mt19937_64& random) { return static_cast<double>(random() >> 11) * 0x1p-53; }

std::string one_of(std::mt19937_64& random, const std::vector<std::string>& words) {
  return words[static_cast<std::size_t>(chance(random) * static_cast<double>(words.size()))];
}

std::string stated_case(std::uint64_t number) {
  std::mt19937_64 random(1000 + number);
  const auto between = [&](double from, double to) {
    return std::to_string(from + (to - from) * chance(random));
  };
  const std::string steel = one_of(random, {"O1", "O2", "1075", "1084", "1095", "52100", "80CrV2", "5160"});
  const bool deep = steel == "O1" || steel == "O2" || steel == "5160";
  std::string text = "format = 1\n[blade]\nsteel = \"" + steel + "\"\nlength = \"120 mm\"\nstart = \"" +
                     one_of(random, {"spheroidised", "fine pearlite"}) + "\"\n[[blade.station]]\nwidth = \"" +
                     between(22, 45) + " mm\"\nspine = \"" + between(1.8, 4.5) + " mm\"\nedge = \"" +
                     between(0.4, 1.2) + " mm\"\n[furnace]\ndroop = \"" + between(5, 20) + " K\"\n";
  if (chance(random) < 0.7)
    text += "[wrap]\nfold = \"" + one_of(random, {"hand folded", "pressed"}) + "\"\n";
  text += "[transfer]\ntime = \"" + between(1.5, 4) + " s\"\n[bath]\ncoolant = \"" +
          one_of(random, deep ? std::vector<std::string>{"medium-oil", "slow-oil", "vegetable-oil"}
                              : std::vector<std::string>{"fast-oil", "fast-oil", "vegetable-oil"}) +
          "\"\nvolume = \"" + between(4, 20) + " L\"\n[temper]\noven = \"" + between(170, 260) +
          " degC\"\ncount = 2\n";
  return text;
}

/// What is compared: the figure of one zone, or of the station when `zone` is below 0.
struct Compared {
  const char* key;
  int zone;
  double (*value)(const answers::StationAnswer&);
};

using S = answers::StationAnswer;
const std::array<Compared, 10> compared{{
    {"reaches_temperature", treatment::zone_thickest,
     [](const S& s) { return s.zones[3].reaches_temperature_s; }},
    {"timer_from_door", treatment::zone_spine, [](const S& s) { return s.zones[2].timer_from_door_s; }},
    {"carbon_in_solution", treatment::zone_thickest,
     [](const S& s) { return s.zones[3].carbon_in_solution; }},
    {"into_bath", treatment::zone_edge, [](const S& s) { return s.zones[0].into_bath_degC; }},
    {"transformed", treatment::zone_thickest, [](const S& s) { return s.zones[3].transformed; }},
    {"rate_margin", treatment::zone_thickest, [](const S& s) { return s.zones[3].rate_margin; }},
    {"retained_austenite", treatment::zone_middle, [](const S& s) { return s.zones[1].retained_austenite; }},
    {"hardness_as_quenched", treatment::zone_edge, [](const S& s) { return s.zones[0].as_quenched_HRC; }},
    {"hardness_tempered", treatment::zone_edge, [](const S& s) { return s.zones[0].tempered_HRC; }},
    {"bath_rise", -1, [](const S& s) { return s.bath_rise_K; }},
}};

long option(int argc, char** argv, const char* name, long otherwise) {
  for (int i = 1; i + 1 < argc; ++i)
    if (std::strcmp(argv[i], name) == 0)
      return std::atol(argv[i + 1]);
  return otherwise;
}

struct Count {
  long inside = 0, below = 0, above = 0;
};

} // namespace

int main(int argc, char** argv) {
  const auto shops = static_cast<std::size_t>(option(argc, argv, "--shops", 200));
  const auto cases = std::min(shops, static_cast<std::size_t>(option(argc, argv, "--cases", 200)));
  const auto members = static_cast<int>(option(argc, argv, "--members", 256));
  test::ThreadedExecutor executor(static_cast<unsigned>(option(argc, argv, "--threads", 2)));
  std::array<Count, compared.size()> counts{};
  long failed = 0;

  for (std::size_t k = 0; k < cases; ++k) {
    const treatment::Case stated = treatment::read_case(stated_case(k), "stated", test::FileRecords());
    std::vector<treatment::Run> runs;
    const answers::Answers nominal = answers::answer(stated, runs);
    const answers::Bands bands = answers::bands(stated, nominal, {members, 1, false}, executor);
    failed += bands.failed;
    treatment::Case set = stated; // what the shop sets is set, whatever is true
    set.furnace().timer_s = nominal.stations[0].timer_used_s;

    const std::size_t of_this = shops / cases + (k < shops % cases ? 1 : 0);
    std::vector<answers::StationAnswer> truths(of_this);
    executor.for_each_index(of_this, [&](std::size_t shop) {
      std::mt19937_64 random(77777 + 1000 * k + shop);
      std::vector<double> changes;
      for (const answers::UncertainInput& input : bands.inputs)
        changes.push_back(input.distribution.quantile(std::max(chance(random), 0x1p-54)));
      const treatment::Case real = perturbed(set, bands.inputs, changes.data());
      truths[shop] =
          answers::answer_station(real, treatment::run_station(real, 0), answers::soak_margins(real, 0));
      for (std::size_t i = 0; i < changes.size(); ++i)
        if (bands.inputs[i].adjust)
          bands.inputs[i].adjust(truths[shop], changes[i]);
    });
    for (const answers::StationAnswer& truth : truths)
      for (std::size_t f = 0; f < compared.size(); ++f) {
        const Compared& c = compared[f];
        const answers::Band* band =
            c.zone < 0 ? bands.stations[0].find(c.key)
                       : bands.stations[0].zones[static_cast<std::size_t>(c.zone)].find(c.key);
        const double value = c.value(truth);
        if (band == nullptr || std::isnan(value))
          continue;
        ++(value < band->low ? counts[f].below : value > band->high ? counts[f].above : counts[f].inside);
      }
  }

  std::printf("%zu shops of %zu stated cases, %d members, %ld of all failed\n\n", shops, cases, members,
              failed);
  std::printf("| figure | shops | inside | below | above |\n|---|---|---|---|---|\n");
  bool good = true;
  long inside = 0, all = 0;
  for (std::size_t f = 0; f < compared.size(); ++f) {
    const long n = counts[f].inside + counts[f].below + counts[f].above;
    const double share = static_cast<double>(counts[f].inside) / static_cast<double>(std::max(n, 1L));
    std::printf("| %s | %ld | %.1f %% | %ld | %ld |\n", compared[f].key, n, 100 * share, counts[f].below,
                counts[f].above);
    good = good && n > 0 && share >= 0.85 && share <= 0.95;
    inside += counts[f].inside;
    all += n;
  }
  std::printf("| together | %ld | %.1f %% | | |\n", all,
              100 * static_cast<double>(inside) / static_cast<double>(std::max(all, 1L)));
  return good ? 0 : 1;
}
