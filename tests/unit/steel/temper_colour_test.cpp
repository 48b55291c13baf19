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
// pages and a how-to page, a handbook and a 1 h table for 0.35 %C steel (the last two from memory); all five
// gave the one fitted constant. They stand 10-15 K apart for one colour (bronze or brown 22 K); the computed
// range of the colour must come within 15 K of each entry.
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

TEST(TemperColour, UsualTables_AreMetWithinTheirScatter) {
  double sum = 0;
  int count = 0;
  for (const Entry& e : usual_tables()) {
    const auto [from, to] = one_hour(e.name);
    constexpr double within = 15;
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
  EXPECT_LT(std::sqrt(sum / count), 5);
}

// 177 degC first tint, 427 degC dark grey (published steel data page and how-to page; not used in the fit);
// faint straw at 204 degC in the 1 h table.
TEST(TemperColour, Ends_AreThoseOfTheTables) {
  EXPECT_GE(one_hour("bright").second, 177);
  EXPECT_LE(one_hour("bright").second, 204);
  EXPECT_EQ(oxide_colour(oxide_over(hold(427, hour))).name, "grey");
}

/// Temperature [degC] that gives in `seconds` the film of an hour at T_degC.
double same_film(double T_degC, double seconds) {
  const double film = oxide_over(hold(T_degC, hour));
  double low = 20, high = 800;
  while (high - low > 1e-3)
    (oxide_over(hold(0.5 * (low + high), seconds)) < film ? low : high) = 0.5 * (low + high);
  return low;
}

// What the header says: with 140-170 kJ/mol twice the time is worth 9-11 K near 250 degC (arithmetic: R T^2
// ln 2 / Q = 10.5 K at 150), and the rate grows by the Arrhenius factor.
TEST(TemperColour, Time_CountsAsTheActivationEnergySays) {
  EXPECT_NEAR(250 - same_film(250, 2 * hour), 10.5, 0.5);
  EXPECT_NEAR(250 - same_film(250, 8 * hour), 31, 1.5);
  EXPECT_NEAR(oxide_rate(300) / oxide_rate(250), 20.27, 0.02); // exp(150e3 / R (1 / 523.15 - 1 / 573.15))
  // a very long hold at 204 degC goes on from faint straw, in the end to brown or purple (steel data page)
  EXPECT_EQ(oxide_colour(oxide_over(hold(204, hour))).name, "faint straw");
  EXPECT_EQ(oxide_colour(oxide_over(hold(204, 12 * hour))).name, "straw");
  EXPECT_EQ(oxide_colour(oxide_over(hold(204, 72 * hour))).name, "brown");
}

// Ten seconds are an hour's work at 358 degC instead of 250 (arithmetic of the same energy: 1 / T falls by
// R / Q ln 360): the flash of a belt that turns an edge blue has been far above the 300 degC of the tables.
TEST(TemperColour, Flash_NeedsMoreHeatForTheSameColour) {
  const double flash = 1 / (1 / kelvin(250) - gas_constant_J_molK / 150e3 * std::log(360)) - kelvin(0);
  EXPECT_NEAR(same_film(250, 10), flash, 0.1);
  EXPECT_EQ(oxide_colour(oxide_over(hold(302, 10))).name, "faint straw"); // blue after an hour in the tables
  EXPECT_EQ(oxide_colour(oxide_over(hold(425, 10))).name, "blue");
  EXPECT_EQ(oxide_colour(oxide_over(hold(205, 10))).name, "bright");
}

TEST(TemperColour, Histories_AddUp) {
  std::vector<HistoryPoint> cut;
  for (int i = 0; i <= 720; ++i)
    cut.push_back({10.0 * i, 220});
  EXPECT_NEAR(oxide_over(cut), oxide_over(hold(220, 7200)), 1e-13);
  EXPECT_NEAR(oxide_over(hold(220, hour), oxide_over(hold(220, hour))), oxide_over(hold(220, 7200)), 1e-13);
  // two unequal holds, either way round: fourth powers add up
  const double a = oxide_over(hold(200, hour)), b = oxide_over(hold(260, 600));
  EXPECT_NEAR(oxide_over(hold(260, 600), a), std::pow(std::pow(a, 4) + std::pow(b, 4), 0.25), 1e-13);
  EXPECT_NEAR(oxide_over(hold(200, hour), b), oxide_over(hold(260, 600), a), 1e-13);
  EXPECT_LT(oxide_over(hold(20, 1e6)), 0.5e-9);
  const std::vector<HistoryPoint> ramp = {{0, 20}, {600, 250}, {1200, 20}};
  EXPECT_GT(oxide_over(ramp), 0);
  EXPECT_LT(oxide_over(ramp), oxide_over(hold(250, 1200)));
}

TEST(TemperColour, Hint_NamesItsDoubt) {
  const ColourHint hint =
      colour_over(hold(250, hour)); // four of five tables: dark straw at 240-249, brown from 249
  EXPECT_EQ(hint.colour.name, "dark straw");
  EXPECT_EQ(hint.from, "straw");
  EXPECT_EQ(hint.to, "purple");
}

// Laws tried for the film; what they miss of the tables stands in README.md beside this file. With one fitted
// constant, the rate, and the published activation energy of growing magnetite (140-170 kJ/mol, from memory)
// neither the parabola (diffusion through the film) nor the cubic law of thin films (Cabrera & Mott 1949,
// Rep. Prog. Phys. 12, 163) comes near: some entry is missed by more than the tables differ among themselves
// (15 K). The fourth power (Engell, Hauffe & Ilschner 1954, on nickel) does. The fifth stands there to show
// what the tables would like best: nobody is known here to have found or derived it. The inverse logarithmic
// law of Cabrera & Mott ends at some 10 nm, before the first straw.
struct Law {
  const char* name;
  const char* source;
  double power, activation_J_mol;
};
constexpr const char* magnetite = "magnetite by diffusion, from memory";
constexpr const char* thin = "Cabrera & Mott 1949; energy of magnetite";
constexpr const char* charged = "Engell, Hauffe & Ilschner 1954 on nickel, from memory; energy of magnetite";
constexpr std::array<Law, 8> laws{{{"parabola x^2 = k t", magnetite, 2, 140e3},
                                   {"parabola x^2 = k t", magnetite, 2, 170e3},
                                   {"cubic x^3 = k t", thin, 3, 140e3},
                                   {"cubic x^3 = k t", thin, 3, 170e3},
                                   {"fourth power x^4 = k t", charged, 4, 140e3},
                                   {"fourth power x^4 = k t", charged, 4, 150e3},
                                   {"fourth power x^4 = k t", charged, 4, 170e3},
                                   {"fifth power x^5 = k t", "none known; energy of magnetite", 5, 150e3}}};

struct Miss {
  double greatest_K = 0, rms_K = 0;
};

/// Thinnest and thickest film [m] called as each entry of the tables, in their order.
const std::vector<std::pair<double, double>>& films() {
  static const std::vector<std::pair<double, double>> all = [] {
    std::vector<std::pair<double, double>> out(usual_tables().size(), {NAN, NAN});
    for (double film = 0; film < 100e-9; film += 0.05e-9) {
      const std::string name = oxide_colour(film).name;
      for (std::size_t i = 0; i < out.size(); ++i)
        if (usual_tables()[i].name == name)
          out[i] = {std::isnan(out[i].first) ? film : out[i].first, film};
    }
    return out;
  }();
  return all;
}

/// How far the entries of the tables lie from the temperatures between which each name is shown after 1 h.
template <class Temperature>
Miss miss_of(Temperature at_degC) {
  Miss out;
  int count = 0;
  for (std::size_t i = 0; i < films().size(); ++i)
    for (const double T : usual_tables()[i].tables) {
      const double miss = std::max({0.0, at_degC(films()[i].first) - T, T - at_degC(films()[i].second)});
      out.greatest_K = std::max(out.greatest_K, miss);
      out.rms_K += miss * miss;
      ++count;
    }
  out.rms_K = std::sqrt(out.rms_K / count);
  return out;
}

/// The same for a law that gives `film_250` [m] in 1 h at 250 degC.
Miss miss_of(const Law& law, double film_250) {
  return miss_of([&](double film) {
    const double ln_rate = law.power * std::log(film / film_250);
    return 1 / (1 / kelvin(250) - gas_constant_J_molK / law.activation_J_mol * ln_rate) - kelvin(0);
  });
}

struct Best {
  Miss least{INFINITY, INFINITY}; ///< of either measure, each with the rate that suits it best
  double fitted_film_250 = 0;     ///< with the least rms
};

Best best_of(const Law& law) {
  Best best;
  for (double film_250 = 10e-9; film_250 < 80e-9; film_250 += 0.05e-9) {
    const Miss miss = miss_of(law, film_250);
    best.least.greatest_K = std::min(best.least.greatest_K, miss.greatest_K);
    if (miss.rms_K < best.least.rms_K) {
      best.least.rms_K = miss.rms_K;
      best.fitted_film_250 = film_250;
    }
  }
  return best;
}

TEST(TemperColour, LowerPowersWithOneConstant_MissTheTables) {
  for (const Law& law : laws)
    if (law.power < 4) {
      EXPECT_GT(best_of(law).least.greatest_K, 20) << law.name;
    }
}

// The rate is fitted as the header says, and nothing else is: the least rms miss, to 0.05 nm of film.
TEST(TemperColour, ShippedRate_IsTheFit) {
  const Law shipped{"", "", 4, oxide_activation_J_mol};
  EXPECT_NEAR(oxide_over(hold(250, hour)), best_of(shipped).fitted_film_250, 0.05e-9);
}

TEST(TemperColour, TableInTheReadme_IsTrue) {
  std::string t = "| Law of the film | Source | Activation energy | Fitted | Greatest miss | Rms miss |\n"
                  "|---|---|---|---|---|---|\n";
  for (const Law& law : laws) {
    const Miss best = best_of(law).least;
    t += test::line("| %s | %s | %.0f kJ/mol | rate | %.1f K | %.1f K |", law.name, law.source,
                    law.activation_J_mol / 1e3, best.greatest_K, best.rms_K);
  }
  // Two constants, both set on the 1 h table of 0.35 %C steel.
  constexpr double rate_250_per_s = 0.0579, decay_m = 6.33e-9, activation_J_mol = 150e3;
  const Miss logarithmic = miss_of([](double film) {
    const double ln_rate = std::log(std::expm1(film / decay_m) / (hour * rate_250_per_s));
    return 1 / (1 / kelvin(250) - gas_constant_J_molK / activation_J_mol * ln_rate) - kelvin(0);
  });
  t += test::line(
      "| logarithmic x = L ln(1 + k t) | Davies, Evans & Agar 1954 on iron, form from memory | %.0f kJ/mol "
      "| rate and L | %.1f K | %.1f K |",
      activation_J_mol / 1e3, logarithmic.greatest_K, logarithmic.rms_K);
  // The shipped law after 1 h, turned round from the function that the program calls.
  const Miss shipped = miss_of([](double film) {
    double low = 20, high = 600;
    while (high - low > 0.01)
      (oxide_over(hold(0.5 * (low + high), hour)) < film ? low : high) = 0.5 * (low + high);
    return low;
  });
  EXPECT_LT(shipped.greatest_K, 15);
  t += test::line(
      "| **shipped: fourth power** | as above, rate with the least rms miss | %.0f kJ/mol | rate | %.1f K | "
      "%.1f K |",
      oxide_activation_J_mol / 1e3, shipped.greatest_K, shipped.rms_K);
  test::expect_in_readme("tests/unit/steel", t);
}

} // namespace
} // namespace tq::steel
