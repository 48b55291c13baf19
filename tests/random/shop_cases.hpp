// What the trials of shops share: the cases that their invented shops state, and their options.
#pragma once

#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <random>
#include <string>
#include <vector>

namespace tq::test {

/// Steel, oil, furnace and oven are the shop's, the section is the blade's.
inline std::string stated_case(std::uint64_t number, std::uint64_t blade) {
  std::mt19937_64 of_shop(1000 + number), of_blade(500000 + 100 * number + blade);
  const auto chance = [](std::mt19937_64& random) { return static_cast<double>(random() >> 11) * 0x1p-53; };
  const auto between = [&](std::mt19937_64& random, double from, double to) {
    return std::to_string(from + (to - from) * chance(random));
  };
  const auto one_of = [&](const std::vector<std::string>& words) {
    return words[static_cast<std::size_t>(chance(of_shop) * static_cast<double>(words.size()))];
  };
  const std::string steel = one_of({"O1", "O2", "1075", "1084", "1095", "52100", "80CrV2", "5160"});
  const bool deep = steel == "O1" || steel == "O2" || steel == "5160";
  const std::string oil = one_of(deep ? std::vector<std::string>{"medium-oil", "slow-oil", "vegetable-oil"}
                                      : std::vector<std::string>{"fast-oil", "fast-oil", "vegetable-oil"});
  const std::string fold = one_of({"hand folded", "pressed"}), droop = between(of_shop, 5, 20),
                    litres = between(of_shop, 4, 20), oven = between(of_shop, 170, 260);
  return "format = 1\n[blade]\nsteel = \"" + steel +
         "\"\nlength = \"120 mm\"\n[[blade.station]]\nwidth = \"" + between(of_blade, 22, 45) +
         " mm\"\nspine = \"" + between(of_blade, 1.8, 4.5) + " mm\"\nedge = \"" +
         between(of_blade, 0.4, 1.2) + " mm\"\n[furnace]\ndroop = \"" + droop + " K\"\n[wrap]\nfold = \"" +
         fold + "\"\n[transfer]\ntime = \"2.5 s\"\n[bath]\ncoolant = \"" + oil + "\"\nvolume = \"" + litres +
         " L\"\n[temper]\noven = \"" + oven + " degC\"\ncount = 2\n";
}

inline long option(int argc, char** argv, const char* name, long otherwise) {
  for (int i = 1; i + 1 < argc; ++i)
    if (std::strcmp(argv[i], name) == 0)
      return std::atol(argv[i + 1]);
  return otherwise;
}

} // namespace tq::test
