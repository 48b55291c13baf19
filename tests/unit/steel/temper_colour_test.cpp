#include "../../support/readme_table.hpp"
#include "steel/temper_colour.hpp"
#include "units/temperature.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <cstdio>
#include <string>
#include <vector>

namespace tq::steel {
namespace {

constexpr double hour = 3600;

std::vector<HistoryPoint> hold(double T, double seconds) { return {{0, T}, {seconds, T}}; }

/// Temperatures [degC] of one hour between which a name is shown.
std::pair<double, double> one_hour(const std::string& name) {
  double from = NAN, to = NAN;
  for (double T = 150; T <= 420; T += 0.5)
    if (oxide_colour(oxide_over(hold(T, hour))).name == name) {
      if (std::isnan(from))
        from = T;
      to = T;
    }
  return {from, to};
}

// Hand formula for a bare metal: ((n-1)^2 + k^2) / ((n+1)^2 + k^2), with n, k of Johnson & Christy 1974 at
// 582 nm; and the formula for two interfaces written out apart (Born & Wolf, Principles of Optics, 1.6).
TEST(TemperColour, Reflectance_MeetsTheClosedForms) {
  const double n = 2.94, k = 2.99;
  EXPECT_NEAR(oxide_reflectance(0, 582e-9), ((n - 1) * (n - 1) + k * k) / ((n + 1) * (n + 1) + k * k), 1e-9);
  using C = std::complex<double>;
  const C n1(2.349, 0.083), n2(2.86 - 1e-3 * (2.86 - 2.74) / 25e-3, 2.91 - 1e-3 * (2.91 - 2.88) / 25e-3);
  const C beta = 2 * 3.14159265358979 / 520e-9 * n1 * 40e-9, i(0, 1);
  const C cosine = std::cos(beta), sine = std::sin(beta); // characteristic matrix of the film
  const C B = cosine - i * sine / n1 * n2, D = n2 * cosine - i * n1 * sine;
  EXPECT_NEAR(oxide_reflectance(40e-9, 520e-9), std::norm((B - D) / (B + D)), 1e-6);
  for (double nm = 380; nm <= 780; nm += 20)
    for (double film = 0; film < 150e-9; film += 7e-9) {
      EXPECT_GE(oxide_reflectance(film, nm * 1e-9), 0);
      EXPECT_LT(oxide_reflectance(film, nm * 1e-9), 1);
    }
}

// White point of D65 and the 1931 observer: x 0.3127, y 0.3290 (CIE). Bare iron is a warm, light grey.
TEST(TemperColour, BareIron_IsALightGreyInDaylight) {
  const Colour bare = oxide_colour(0);
  EXPECT_EQ(bare.name, "bright");
  EXPECT_LT(std::hypot(bare.lab[1], bare.lab[2]), 4);
  EXPECT_GT(bare.srgb[2], 170);
  EXPECT_EQ(bare.hex().size(), 7u);
  // a grey of the same reflectance at all wavelengths has the chromaticity of the white point
  const double X = bare.xyz[0], Y = bare.xyz[1], Z = bare.xyz[2];
  EXPECT_NEAR(X / (X + Y + Z), 0.3127, 0.006);
  EXPECT_NEAR(Y / (X + Y + Z), 0.3290, 0.006);
}

TEST(TemperColour, Names_ComeInTheOrderOfTheTrade) {
  const std::vector<std::string> order = {"bright", "faint straw", "straw", "dark straw", "brown",
                                          "purple", "dark blue",   "blue",  "light blue", "grey"};
  std::size_t at = 0;
  for (double film = 0; film < 130e-9; film += 0.1e-9) {
    const std::string name = oxide_colour(film).name;
    if (name == order[at])
      continue;
    ++at;
    ASSERT_LT(at, order.size()) << film << ' ' << name;
    EXPECT_EQ(name, order[at]) << film;
  }
  EXPECT_EQ(at + 1, order.size());
}

// Colours after about 1 h against temperature [degC], five tables in circulation: two published steel data
// pages and a how-to page, a handbook and a 1 h table for 0.35 %C steel (the last two from memory; the last
// one gave the two constants). They stand 10-15 K apart for one colour; the computed range of the colour must
// come within 15 K of each entry.
struct Entry {
  const char* name;
  std::vector<double> tables;
};
const std::vector<Entry>& usual_tables() {
  static const std::vector<Entry> all = {
      {"faint straw", {199, 221, 210, 221, 204}}, {"straw", {229, 238, 225, 235, 227}},
      {"dark straw", {241, 249, 240, 246, 246}},  {"brown", {249, 260, 255, 257, 271}},
      {"purple", {271, 277, 270, 280, 282}},      {"dark blue", {282, 288, 280, 288}},
      {"blue", {302, 299, 295, 296, 310}},        {"light blue", {321, 310, 338, 338}}};
  return all;
}

/// Thinnest and thickest film [m] that is called so.
std::pair<double, double> films(const std::string& name) {
  double from = NAN, to = NAN;
  for (double film = 0; film < 130e-9; film += 0.25e-9)
    if (oxide_colour(film).name == name) {
      if (std::isnan(from))
        from = film;
      to = film;
    }
  return {from, to};
}

TEST(TemperColour, UsualTables_AreMetWithinTheirScatter) {
  double sum = 0;
  int count = 0;
  for (const Entry& e : usual_tables()) {
    const auto [from, to] = one_hour(e.name);
    const double within = e.name == std::string("light blue") ? 20 : 15;
    std::printf("%-12s %3.0f-%3.0f degC computed for 1 h; tables", e.name, from, to);
    for (const double T : e.tables) {
      std::printf(" %.0f", T);
      EXPECT_GE(T, from - within) << e.name;
      EXPECT_LE(T, to + within) << e.name;
      const double miss = std::max({0.0, from - T, T - to});
      sum += miss * miss;
      ++count;
    }
    std::printf("\n");
  }
  std::printf("rms distance of the entries from the computed range: %.1f K\n", std::sqrt(sum / count));
  EXPECT_LT(std::sqrt(sum / count), 8);
}

// 177 degC first tint, 427 degC dark grey (published steel data page and how-to page; not used in the fit).
TEST(TemperColour, Ends_AreThoseOfTheTables) {
  EXPECT_EQ(oxide_colour(oxide_over(hold(165, hour))).name, "bright");
  EXPECT_NEAR(one_hour("bright").second, 190, 15);
  EXPECT_EQ(oxide_colour(oxide_over(hold(427, hour))).name, "grey");
}

// What the header says of the law: twice the time is worth 10 K near 250 degC; a parabola with the same
// activation energy would crowd faint straw to light blue (15 to 71 nm here) into some 45 K.
TEST(TemperColour, Time_CountsAsTheHeaderSays) {
  const double film = oxide_over(hold(250, hour));
  EXPECT_NEAR(oxide_over(hold(240, 2 * hour)), film, 0.5e-9);
  const double K = kelvin(250);
  const double parabola_K = 2 * std::log(71.0 / 15.0) * gas_constant_J_molK * K * K / oxide_activation_J_mol;
  EXPECT_LT(parabola_K, 50);
  // a long hold at 205 degC goes on from straw (steel data page: to brown or purple)
  EXPECT_EQ(oxide_colour(oxide_over(hold(205, hour))).name, "faint straw");
  EXPECT_EQ(oxide_colour(oxide_over(hold(205, 12 * hour))).name, "dark straw");
}

TEST(TemperColour, Histories_AddUp) {
  std::vector<HistoryPoint> cut;
  for (int i = 0; i <= 720; ++i)
    cut.push_back({10.0 * i, 220});
  EXPECT_NEAR(oxide_over(cut), oxide_over(hold(220, 7200)), 1e-13);
  EXPECT_NEAR(oxide_over(hold(220, hour), oxide_over(hold(220, hour))), oxide_over(hold(220, 7200)), 1e-13);
  EXPECT_LT(oxide_over(hold(20, 1e6)), 0.5e-9);
  const std::vector<HistoryPoint> ramp = {{0, 20}, {600, 250}, {1200, 20}};
  EXPECT_GT(oxide_over(ramp), 0);
  EXPECT_LT(oxide_over(ramp), oxide_over(hold(250, 1200)));
}

TEST(TemperColour, Hint_NamesItsDoubt) {
  const ColourHint hint = colour_over(hold(245, hour));
  EXPECT_EQ(hint.colour.name, "dark straw");
  EXPECT_EQ(hint.from, "straw");
  EXPECT_EQ(hint.to, "purple");
}

// Laws tried for the film; what they miss of the tables stands in README.md beside this file. With one fitted
// constant, the rate, and the published activation energy of growing magnetite (140-170 kJ/mol, from memory)
// neither the parabola (diffusion through the film) nor the cubic law of thin films (Cabrera & Mott 1949,
// Rep. Prog. Phys. 12, 163) comes near: some entry is missed by more than the tables differ among themselves
// (15 K). The fourth power does, but nobody is known here to have found or derived it for iron. The inverse
// logarithmic law of the same paper ends at some 10 nm, before the first straw.
struct Law {
  const char* name;
  const char* source;
  double power, activation_J_mol;
};
constexpr std::array<Law, 6> laws{{{"parabola x^2 = k t", "magnetite by diffusion, from memory", 2, 140e3},
                                   {"parabola x^2 = k t", "magnetite by diffusion, from memory", 2, 170e3},
                                   {"cubic x^3 = k t", "Cabrera & Mott 1949; energy of magnetite", 3, 140e3},
                                   {"cubic x^3 = k t", "Cabrera & Mott 1949; energy of magnetite", 3, 170e3},
                                   {"fourth power x^4 = k t", "none known; energy of magnetite", 4, 140e3},
                                   {"fourth power x^4 = k t", "none known; energy of magnetite", 4, 170e3}}};

struct Miss {
  double greatest_K = 0, rms_K = 0;
};

/// How far the entries of the tables lie from the temperatures between which each name is shown after 1 h.
template <class Temperature>
Miss miss_of(Temperature at_degC) {
  static const std::vector<std::pair<double, double>> ranges = [] {
    std::vector<std::pair<double, double>> out;
    for (const Entry& e : usual_tables())
      out.push_back(films(e.name));
    return out;
  }();
  Miss out;
  int count = 0;
  for (std::size_t i = 0; i < ranges.size(); ++i)
    for (const double T : usual_tables()[i].tables) {
      const double miss = std::max({0.0, at_degC(ranges[i].first) - T, T - at_degC(ranges[i].second)});
      out.greatest_K = std::max(out.greatest_K, miss);
      out.rms_K += miss * miss;
      ++count;
    }
  out.rms_K = std::sqrt(out.rms_K / count);
  return out;
}

/// The least of either that any rate gives.
Miss best_of(const Law& law) {
  Miss best{INFINITY, INFINITY};
  for (double film_250 = 10e-9; film_250 < 80e-9; film_250 += 0.1e-9) { // after 1 h at 250 degC
    const Miss miss = miss_of([&](double film) {
      const double ln_rate = law.power * std::log(film / film_250);
      return 1 / (1 / kelvin(250) - gas_constant_J_molK / law.activation_J_mol * ln_rate) - kelvin(0);
    });
    best = {std::min(best.greatest_K, miss.greatest_K), std::min(best.rms_K, miss.rms_K)};
  }
  return best;
}

TEST(TemperColour, LawsWithOneConstant_MissTheTables) {
  for (const Law& law : laws)
    if (law.power < 4) {
      EXPECT_GT(best_of(law).greatest_K, 20) << law.name;
    }
}

TEST(TemperColour, TableInTheReadme_IsTrue) {
  std::string t = "| Law of the film | Source | Activation energy | Fitted | Greatest miss | Rms miss |\n"
                  "|---|---|---|---|---|---|\n";
  for (const Law& law : laws) {
    const Miss best = best_of(law);
    t += test::line("| %s | %s | %.0f kJ/mol | rate | %.0f K | %.1f K |", law.name, law.source,
                    law.activation_J_mol / 1e3, best.greatest_K, best.rms_K);
  }
  // The shipped law after 1 h, turned round.
  const Miss shipped_one = miss_of([](double film) {
    double low = 20, high = 600;
    while (high - low > 0.01)
      (oxide_over(hold(0.5 * (low + high), hour)) < film ? low : high) = 0.5 * (low + high);
    return low;
  });
  t += test::line(
      "| logarithmic x = L ln(1 + k t), shipped | Davies, Evans & Agar 1954, form from memory | %.0f "
      "kJ/mol | rate "
      "and L | %.0f K | %.1f K |",
      oxide_activation_J_mol / 1e3, shipped_one.greatest_K, shipped_one.rms_K);
  test::expect_in_readme("tests/unit/steel", t);
}

} // namespace
} // namespace tq::steel
