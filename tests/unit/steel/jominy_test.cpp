// The end-quenched bar of ASTM A255 (25.4 mm thick, 101.6 mm long, a jet of water on one end, the rest in
// air) by the steel's own material model: hardness against the distance from the quenched end. No blade, no
// oil: the strictest check of starts, progress and hardness of products together.
#include "shipped.hpp"
#include "steel/hardness.hpp"
#include "steel/transformation.hpp"
#include "steel/transforming_material.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>
#include <string>
#include <vector>

namespace tq::steel {
namespace {

constexpr double length_m = 0.1016, thickness_m = 0.0254, sixteenth_m = 0.0254 / 16;
constexpr double water_degC = 24, air_degC = 22;
/// Jet on the end; from memory (10 to 20 kW/(m2 K) in published inverse solutions). Beyond J4 its size hardly
/// matters.
constexpr double jet_W_m2K = 20e3;
constexpr double air_W_m2K = 10, emissivity = 0.8; ///< of the oxidised side

struct Jominy {
  std::vector<double> hrc, rate_704_K_s, pearlite, bainite; ///< per cell
  double at(const std::vector<double>& v, double sixteenths) const {
    const double place = sixteenths * sixteenth_m / length_m * static_cast<double>(v.size()) - 0.5;
    const auto i = static_cast<std::size_t>(std::max(0.0, std::floor(place)));
    const double t = std::max(0.0, place - static_cast<double>(i));
    return v[i] + t * (v[i + 1] - v[i]);
  }
};

/// The bar, one-dimensional: explicit steps of the enthalpy of cells of 0.8 mm, small enough to be stable.
Jominy end_quench(const records::SteelRecord& steel) {
  constexpr std::size_t n = 128;
  constexpr double dx = length_m / n, dt = 0.02, sigma = 5.670374e-8;
  const records::Austenitising& a = steel.austenitising;
  const double hardening = 0.5 * (a.hardening_from_degC + a.hardening_to_degC);
  TransformingMaterial bar(steel, records::StartState::spheroidised, n);
  bar.austenitise(hardening);
  std::vector<double> u(n), clock(2 * n), T(n, hardening), before(n), mean(n), k(n), rate(2 * n);
  for (std::size_t i = 0; i < n; ++i)
    u[i] = bar.enthalpy(i, hardening);
  bar.begin(TransformMode::cooling, clock.data());
  bar.evaluate(u.data(), clock.data(), n, T.data(), k.data(), rate.data());
  Jominy result;
  result.rate_704_K_s.assign(n, 0);
  double hottest = hardening;
  for (double time = 0; time < 1500 && hottest > 120; time += dt) {
    before = T;
    double from_left =
        -jet_W_m2K * (T[0] - water_degC); // heat flowing to the right through the cell's left face
    for (std::size_t i = 0; i < n; ++i) {
      const double to_right = i + 1 < n ? -0.5 * (k[i] + k[i + 1]) * (T[i + 1] - T[i]) / dx : 0.0;
      const double side = air_W_m2K * (T[i] - air_degC) +
                          emissivity * sigma * (std::pow(T[i] + 273.15, 4) - std::pow(air_degC + 273.15, 4));
      u[i] += dt / steel.density_kg_m3 * ((from_left - to_right) / dx - side * 4 / thickness_m);
      clock[i] += dt * rate[i];
      clock[n + i] += dt * rate[n + i];
      from_left = to_right;
    }
    bar.evaluate(u.data(), clock.data(), n, T.data(), k.data(), rate.data());
    hottest = 0;
    for (std::size_t i = 0; i < n; ++i) {
      mean[i] = 0.5 * (before[i] + T[i]);
      hottest = std::max(hottest, T[i]);
      if (before[i] > 704 && T[i] <= 704)
        result.rate_704_K_s[i] = (before[i] - T[i]) / dt;
    }
    bar.commit(clock.data(), T.data(), mean.data(), n, dt);
    bar.evaluate(u.data(), clock.data(), n, T.data(), k.data(), rate.data());
  }
  EXPECT_LT(hottest, 160);
  for (std::size_t i = 0; i < n; ++i) {
    // on to room temperature, where nothing but martensite moves
    const double left = bar.austenite()[i] + bar.martensite()[i];
    const double martensite =
        std::max(bar.martensite()[i],
                 left * martensite_share(bar.ms()[i], air_degC, martensite_rate(steel, bar.carbon()[i])));
    result.pearlite.push_back(bar.pearlite()[i]);
    result.bainite.push_back(bar.bainite()[i]);
    result.hrc.push_back(hrc_from_hv(
        mixture_hv({martensite, left - martensite, bar.bainite()[i], bar.pearlite()[i], bar.ferrite()[i],
                    bar.cementite()[i], 0, bar.bainite_hv()[i], bar.pearlite_hv()[i]},
                   martensite_hv(steel, bar.carbon()[i]), steel.hardness)));
  }
  return result;
}

const std::map<std::string, Jominy>& bars() {
  static const std::map<std::string, Jominy> all = [] {
    std::map<std::string, Jominy> made;
    for (const auto& [key, steel] : shipped::steels())
      made[key] = end_quench(steel);
    return made;
  }();
  return all;
}

/// Distance in sixteenths at which the hardness falls to 50 HRC.
double depth_of_50_hrc(const Jominy& bar) {
  for (double place = 1; place < 60; place += 0.05)
    if (bar.at(bar.hrc, place) < 50)
      return place;
  return 60;
}

} // namespace

// Cooling rates at 704 degC against the distance, ASTM A255 (from memory): 125, 32, 16.3, 10, 7 degF/s at J4,
// J8, J12, J16, J20. 30 %: the bar is one-dimensional, and the rate depends on the steel.
TEST(Jominy, CoolingRates_AreThoseOfTheStandard) {
  const Jominy& bar = bars().at("5160");
  const struct { double sixteenths, degF_s; } standard[] = {{4, 125}, {8, 32}, {12, 16.3}, {16, 10}, {20, 7}};
  for (const auto& point : standard) {
    const double rate = bar.at(bar.rate_704_K_s, point.sixteenths);
    std::printf("J%-2.0f %.1f K/s (%.1f)\n", point.sixteenths, rate, point.degF_s / 1.8);
    EXPECT_NEAR(std::log(rate / (point.degF_s / 1.8)), 0, std::log(1.3)) << point.sixteenths;
  }
}

// Middle of the hardenability band of 5160H, SAE J1268 (from memory). Its pearlite factor was set within the
// published start with an eye on this band; the law of progress, bainite and the rule for mixtures were not.
TEST(Jominy, Of5160_FollowsTheBandOfSaeJ1268) {
  const struct {
    double sixteenths, hrc;
  } band[] = {{6, 60}, {8, 55}, {10, 50}, {12, 47.5}, {16, 43}, {20, 39.5}};
  const Jominy& bar = bars().at("5160");
  double bias = 0, square = 0;
  for (const auto& point : band) {
    const double miss = bar.at(bar.hrc, point.sixteenths) - point.hrc;
    std::printf("J%-2.0f %.1f HRC (%.1f), pearlite %.2f, bainite %.2f\n", point.sixteenths,
                bar.at(bar.hrc, point.sixteenths), point.hrc, bar.at(bar.pearlite, point.sixteenths),
                bar.at(bar.bainite, point.sixteenths));
    bias += miss / std::size(band);
    square += miss * miss / std::size(band);
  }
  std::printf("bias %.1f, rms %.1f HRC\n", bias, std::sqrt(square));
  EXPECT_LT(std::abs(bias), 2);
  EXPECT_LT(std::sqrt(square), 3.5);
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
      std::printf(" %5.1f", bar.at(bar.hrc, place));
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

} // namespace tq::steel
