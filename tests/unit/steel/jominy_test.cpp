// The end-quenched bar of ASTM A255 (25.4 mm thick, 101.6 mm long, a jet of water on one end, the rest in
// air) by the steel's own material model: hardness against the distance from the quenched end. No blade, no
// oil: the strictest check of starts, progress and hardness of products together.
#include "../../support/readme_table.hpp"
#include "shipped.hpp"
#include "steel/bar_quench.hpp"
#include "steel/bare_steel.hpp"
#include "steel/temper_model.hpp"
#include "steel/transformation.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>
#include <string>
#include <vector>

namespace tq::steel {
namespace {

using Jominy = EndQuench;

double middle_of_range(const records::SteelRecord& steel) {
  return 0.5 * (steel.austenitising.hardening_from_degC + steel.austenitising.hardening_to_degC);
}

const std::map<std::string, Jominy>& bars() {
  static const std::map<std::string, Jominy> all = [] {
    std::map<std::string, Jominy> made;
    for (const auto& [key, steel] : shipped::steels())
      made[key] = end_quench(steel, middle_of_range(steel));
    return made;
  }();
  return all;
}

/// Distance in sixteenths at which the hardness falls to 50 HRC.
double depth_of_50_hrc(const Jominy& bar) {
  const double depth = bar.reaches(bar.hrc, 50) / sixteenth_m;
  return std::isnan(depth) ? 60 : depth;
}

} // namespace

// Cooling rates at 704 degC against the distance, ASTM A255 (from memory): 125, 32, 16.3, 10, 7 degF/s at J4,
// J8, J12, J16, J20. 30 %: the bar is one-dimensional, and the rate depends on the steel.
TEST(Jominy, CoolingRates_AreThoseOfTheStandard) {
  const Jominy& bar = bars().at("5160");
  const struct { double sixteenths, degF_s; } standard[] = {{4, 125}, {8, 32}, {12, 16.3}, {16, 10}, {20, 7}};
  for (const auto& point : standard) {
    const double rate = bar.at(bar.rate_704_K_s, point.sixteenths * sixteenth_m);
    std::printf("J%-2.0f %.1f K/s (%.1f)\n", point.sixteenths, rate, point.degF_s / 1.8);
    EXPECT_NEAR(std::log(rate / (point.degF_s / 1.8)), 0, std::log(1.3)) << point.sixteenths;
  }
}

// Middle of the hardenability band of 5160H, SAE J1268 (from memory). Its pearlite factor was set within the
// published start with an eye on this band; the law of progress, bainite and the rule for mixtures were not.
TEST(Jominy, Of5160_FollowsTheBandOfSaeJ1268) {
  const struct {
    double sixteenths, hrc;
  } band[] = {{5, 61.5},  {6, 60},  {8, 55},    {10, 50},   {12, 47.5},
              {14, 45.5}, {16, 43}, {18, 40.5}, {20, 39.5}, {24, 37.5}};
  const Jominy& bar = bars().at("5160");
  double bias = 0, square = 0;
  for (const auto& point : band) {
    const double miss = bar.at(bar.hrc, point.sixteenths * sixteenth_m) - point.hrc;
    std::printf("J%-2.0f %.1f HRC (%.1f), pearlite %.2f, bainite %.2f\n", point.sixteenths,
                bar.at(bar.hrc, point.sixteenths * sixteenth_m), point.hrc,
                bar.at(bar.pearlite, point.sixteenths * sixteenth_m),
                bar.at(bar.bainite, point.sixteenths * sixteenth_m));
    bias += miss / std::size(band);
    square += miss * miss / std::size(band);
  }
  std::printf("bias %.1f, rms %.1f HRC\n", bias, std::sqrt(square));
  EXPECT_LT(std::abs(bias), 2);
  EXPECT_LT(std::sqrt(square), 3.5);
}

// The middle of a band of many heats falls less steeply than the bar of one: where the deep heats are still
// hard the shallow ones are already soft. So heats to either side of the record, 0.6 of the way to the ends
// of the analysis of 5160H (0.55-0.65 C, 0.65-1.10 Mn, 0.15-0.35 Si, 0.60-1.00 Cr, from memory; all four
// elements at once at its ends is rarer than the limits of the band), their pearlite by the factors of ASTM
// A255: half their sum is the middle of the band, to 2 HRC at every distance (its limits are whole numbers
// from memory).
TEST(Jominy, HeatsOf5160H_SpreadAsTheBandOfSaeJ1268) {
  const records::SteelRecord& record = shipped::steels().at("5160");
  const auto bar = [&](double way) {
    records::SteelRecord heat = record;
    records::Composition& wt = heat.composition;
    wt.C = 0.60 + 0.05 * way;
    wt.Mn = 0.875 + 0.225 * way;
    wt.Si = 0.25 + 0.10 * way;
    wt.Cr = 0.80 + 0.20 * way;
    heat.transformation.matrix = wt;
    heat.transformation.pearlite_factor *=
        pearlite_factor_rule(wt) / pearlite_factor_rule(record.transformation.matrix);
    return end_quench(heat, middle_of_range(record));
  };
  const Jominy deep = bar(0.6), shallow = bar(-0.6);
  const struct {
    double sixteenths, least, most; // the limits of the band
  } band[] = {{6, 56, 64}, {8, 47, 63}, {10, 39, 61}, {12, 36, 59}, {16, 34, 52}, {20, 32, 47}};
  for (const auto& point : band) {
    const double high = deep.at(deep.hrc, point.sixteenths * sixteenth_m),
                 low = shallow.at(shallow.hrc, point.sixteenths * sixteenth_m);
    std::printf("J%-2.0f %.1f to %.1f HRC, half the sum %.1f (band %.0f to %.0f, middle %.1f)\n",
                point.sixteenths, low, high, 0.5 * (low + high), point.least, point.most,
                0.5 * (point.least + point.most));
    EXPECT_NEAR(low + high, point.least + point.most, 2 * 2) << point.sixteenths;
  }
}

// Every shipped steel: hard at the quenched end, softer with distance, and in the order that the shop knows
// (water hardening W2 shallower than 1095, then the oil-hardening steels, O2 and L6 deepest; common practice,
// no source).
TEST(Jominy, ShippedSteels_HardenInTheOrderOfPractice) {
  const double places[] = {1, 2, 3, 4, 6, 8, 10, 12, 16, 20, 24, 32};
  std::printf("%-8s", "J");
  for (const double place : places)
    std::printf(" %5.0f", place);
  std::printf("  50 HRC at\n");
  for (const auto& [key, bar] : bars()) {
    std::printf("%-8s", key.c_str());
    for (const double place : places)
      std::printf(" %5.1f", bar.at(bar.hrc, place * sixteenth_m));
    std::printf("  J%.1f\n", depth_of_50_hrc(bar));
    EXPECT_GT(bar.hrc.front(), 61) << key;
    // a fall, but for a little more bainite in place of pearlite
    for (std::size_t i = 1; i < bar.hrc.size() / 2; ++i)
      EXPECT_LT(bar.hrc[i], bar.hrc[i - 1] + 1.0) << key << " " << i;
  }
  const auto depth = [](const char* key) { return depth_of_50_hrc(bars().at(key)); };
  EXPECT_LT(depth("W2"), depth("1095"));
  EXPECT_LT(depth("1095"), depth("80CrV2"));
  EXPECT_LT(depth("80CrV2"), depth("52100"));
  EXPECT_LT(depth("52100"), depth("5160"));
  EXPECT_LT(depth("O1"), depth("O2"));
  EXPECT_LT(depth("O1"), depth("L6"));
}

// The scale of ASTM A255 is no bar of that size: by its own tables of distances (from memory; diameters in
// inches that half-harden where the end-quenched bar has cooled at that rate at 704 degC) a round bar whose
// face is at once as cold as the bath cools at that rate in its middle when it is 1.3 to 1.5 times as thick
// (closed form: Carslaw & Jaeger 1959, section 7.6; austenite of 5.5e-6 m2/s, from 845 degC into 24).
double bar_over_scale() {
  const struct { double inches, degF_s; } table[] = {{0.95, 125}, {1.75, 32}, {2.45, 16.3}, {2.97, 10}};
  const double root[] = {2.404826, 5.520078, 8.653728}, J1[] = {0.519147, -0.340265, 0.271452};
  const auto middle = [&](double Fo, bool rate) { // share of the heat left in the middle, or its fall with Fo
    double sum = 0;
    for (int i = 0; i < 3; ++i)
      sum += (rate ? root[i] * root[i] : 1) * 2 / (root[i] * J1[i]) * std::exp(-root[i] * root[i] * Fo);
    return sum;
  };
  double Fo = 0.05;
  while (middle(Fo, false) > (704.0 - 24) / (845 - 24))
    Fo += 1e-4;
  double product = 1;
  for (const auto& row : table) {
    const double radius = std::sqrt((845 - 24) * 5.5e-6 * middle(Fo, true) / (row.degF_s / 1.8));
    product *= 2 * radius / (row.inches * 0.0254);
  }
  return std::pow(product, 1.0 / std::size(table));
}

// Ideal critical diameters of the shipped steels and of analyses beside those that the factors of ASTM A255
// give to what is in solution, on one scale. The factors of a diameter are good to a fifth or so (from
// memory), pearlite starts to a factor 2 in time, which is 1.4 in diameter. L6 and O2 have more alloy than
// the factors were made for.
TEST(IdealDiameter, OfSimpleSteels_IsThatOfAstmA255) {
  const double scale = bar_over_scale();
  std::printf("a bar over the scale of A255: %.2f\n", scale);
  EXPECT_NEAR(scale, 1.38, 0.1);
  double logs = 0, squares = 0;
  int n = 0;
  const auto add = [&](const std::string& name, const records::SteelRecord& steel) {
    const double T = middle_of_range(steel);
    records::Composition wt = steel.transformation.matrix;
    wt.C = saturation_carbon(steel, T);
    const double own = ideal_diameter(steel, T),
                 standard = ideal_diameter_a255(wt, steel.transformation.grain_number);
    const double ratio = own / standard / scale;
    std::printf("%-24s %5.1f mm, by A255 %5.1f mm, ratio on one scale %.2f\n", name.c_str(), 1e3 * own,
                1e3 * standard, ratio);
    if (name == "L6" || name == "O2")
      return;
    EXPECT_NEAR(std::log(ratio), 0, std::log(1.4)) << name;
    logs += std::log(ratio);
    squares += std::log(ratio) * std::log(ratio);
    ++n;
  };
  for (const auto& [key, steel] : shipped::steels())
    add(key, steel);
  const TemperModel model =
      read_temper_model(shipped::text_of(shipped::materials() / "temper_model.toml"), "temper_model.toml");
  const auto analysis = [&](const char* name, double C, double Mn, double Si, double Cr, double Ni) {
    records::Composition wt;
    wt.C = C;
    wt.Mn = Mn;
    wt.Si = Si;
    wt.Cr = Cr;
    wt.Ni = Ni;
    add(name, bare_steel(wt, shipped::phases(), model).record);
  };
  analysis("1060, by analysis", 0.60, 0.75, 0.25, 0, 0);
  analysis("1070, by analysis", 0.70, 0.75, 0.25, 0, 0);
  analysis("1080, by analysis", 0.80, 0.75, 0.25, 0, 0);
  analysis("1095, by analysis", 0.95, 0.40, 0.25, 0, 0);
  analysis("W1, by analysis", 1.00, 0.25, 0.25, 0.05, 0);
  analysis("5160, by analysis", 0.60, 0.87, 0.22, 0.80, 0);
  analysis("80CrV2, by analysis", 0.80, 0.40, 0.25, 0.50, 0);
  analysis("75Ni8, by analysis", 0.75, 0.40, 0.25, 0.10, 1.95);
  std::printf("mean %.2f, rms about 1 a factor %.2f\n", std::exp(logs / n), std::exp(std::sqrt(squares / n)));
  EXPECT_NEAR(logs / n, 0, std::log(1.15));
}

/// Ideal diameter of a bar that half-hardens at `diameter` in a bath of Grossmann's severity H [1/m] = h /
/// 2k: the one whose middle, too, loses half of its heat in that time (first term of the closed form, Carslaw
/// & Jaeger 1959, section 7.7).
double ideal_of(double diameter, double H) {
  const auto half_time = [](double biot) {
    double low = 1e-6, high = 2.404826;
    for (int i = 0; i < 60; ++i) {
      const double z = 0.5 * (low + high);
      (z * std::cyl_bessel_j(1, z) < biot * std::cyl_bessel_j(0, z) ? low : high) = z;
    }
    const double J0 = std::cyl_bessel_j(0, low), J1 = std::cyl_bessel_j(1, low);
    return std::log(2 * 2 * J1 / (low * (J0 * J0 + J1 * J1))) / (low * low);
  };
  return diameter * std::sqrt(half_time(H * diameter) / half_time(1e9));
}

// Twelve heats of water-hardening tool steel (Roberts, Krauss & Kennedy 1998, Tool Steels, 5th ed., table
// 7-3, as in a public copy): diameters that harden in brine, H = 5 per inch. Nothing was fitted to them. They
// were hardened as such steels are, from 790 degC (assumption; the table does not say). A start of pearlite
// by analysis is told to a factor 2.5, which is 1.6 in diameter; of all twelve together the factors of A255
// themselves are a quarter off.
TEST(IdealDiameter, OfTwelveMeasuredHeats_IsWithinTheBandOfTheRule) {
  struct Heat {
    records::Composition wt;
    double measured_mm;
  };
  const auto heat = [](double C, double Mn, double Si, double Cr, double Ni, double Mo, double mm) {
    records::Composition wt;
    wt.C = C, wt.Mn = Mn, wt.Si = Si, wt.Cr = Cr, wt.Ni = Ni, wt.Mo = Mo;
    return Heat{wt, mm};
  };
  const Heat heats[] = {
      heat(1.02, 0.09, 0.03, 0.05, 0.02, 0.03, 3.8),  heat(1.03, 0.28, 0.15, 0.04, 0.02, 0, 8.9),
      heat(1.07, 0.15, 0.09, 0.05, 0.10, 0, 5.1),     heat(1.07, 0.34, 0.22, 0.10, 0.03, 0, 11.4),
      heat(1.00, 0.24, 0.17, 0.09, 0.07, 0.01, 11.4), heat(1.09, 0.26, 0.26, 0.17, 0.20, 0, 11.4),
      heat(1.04, 0.29, 0.16, 0.15, 0.14, 0.03, 12.7), heat(1.00, 0.31, 0.28, 0.13, 0.07, 0.03, 15.2),
      heat(0.97, 0.46, 0.29, 0.17, 0.05, 0, 20.3),    heat(0.99, 0.36, 0.31, 0.15, 0.17, 0.03, 19.1),
      heat(0.98, 0.50, 0.37, 0.23, 0.12, 0.03, 22.9), heat(0.94, 0.45, 0.36, 0.21, 0.16, 0, 25.4)};
  constexpr double hardening_degC = 790, inch_m = 0.0254;
  const double scale = bar_over_scale();
  const TemperModel model =
      read_temper_model(shipped::text_of(shipped::materials() / "temper_model.toml"), "temper_model.toml");
  std::string t =
      "| Heat: C, Mn, Si, Cr (wt%) | Hardens in brine | Ideal diameter, measured | by analysis | ratio | by "
      "A255 |\n|---|---|---|---|---|---|\n";
  double logs = 0, squares = 0, logs_a255 = 0;
  for (const Heat& h : heats) {
    const records::SteelRecord steel = bare_steel(h.wt, shipped::phases(), model).record;
    records::Composition in_solution = steel.transformation.matrix;
    in_solution.C = saturation_carbon(steel, hardening_degC);
    const double measured = ideal_of(1e-3 * h.measured_mm, 5 / inch_m),
                 own = ideal_diameter(steel, hardening_degC) / scale,
                 a255 = ideal_diameter_a255(in_solution, steel.transformation.grain_number);
    t += test::line("| %.2f, %.2f, %.2f, %.2f | %.1f mm | %.0f mm | %.0f mm | %.2f | %.0f mm |", h.wt.C,
                    h.wt.Mn, h.wt.Si, h.wt.Cr, h.measured_mm, 1e3 * measured, 1e3 * own, own / measured,
                    1e3 * a255);
    EXPECT_NEAR(std::log(own / measured), 0, std::log(1.6)) << h.wt.Mn;
    logs += std::log(own / measured) / 12;
    squares += std::log(own / measured) * std::log(own / measured) / 12;
    logs_a255 += std::log(a255 / measured) / 12;
  }
  t += test::line("| **twelve, geometric mean** | | | | %.2f, rms about 1 a factor %.2f | %.2f times |",
                  std::exp(logs), std::exp(std::sqrt(squares)), std::exp(logs_a255));
  EXPECT_NEAR(logs, 0, std::log(1.25));
  test::expect_in_readme("tests/unit/steel", t);
}

} // namespace tq::steel
