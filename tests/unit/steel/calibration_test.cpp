// What the shipped decomposition factors give, beside what they were fitted to. Every target is from memory
// of published diagrams and carries a doubt of a factor 2; a fit that has drifted off its stated target
// fails.
#include "known_figures.hpp"
#include "steel/hardness.hpp"
#include "steel/transformation.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

namespace tq::steel {
namespace {

using records::SteelRecord;

struct Target {
  const char* key;
  double nose_from_s, nose_to_s; ///< 1 % start at the pearlite nose
  double rate_from, rate_to;     ///< critical linear cooling rate [K/s]; 0 where none is known
};

// Isothermal diagrams and critical rates, all from memory.
constexpr Target targets[] = {
    {"O1", 8, 15, 15, 25},        {"O2", 20, 60, 0, 0},         {"1075", 0.5, 0.9, 140, 210},
    {"1084", 0.8, 1.0, 140, 210}, {"1095", 0.5, 0.9, 140, 210}, {"W2", 0.5, 0.9, 140, 212},
    {"52100", 3, 6, 40, 60},      {"80CrV2", 2, 4, 0, 0},       {"5160", 5, 8, 0, 0},
    {"L6", 30, 300, 0, 0},        {"75Ni8", 2, 3, 0, 0}};

struct Nose {
  double T = 0, time = INFINITY;
};

template <class Rate>
Nose nose(Rate rate) {
  Nose best;
  for (double T = 200; T < 760; T += 0.5)
    if (const double r = rate(T); r > 0 && li_progress_start / r < best.time)
      best = {T, li_progress_start / r};
  return best;
}

// Constant cooling rate at which the Scheil sum of the 1 % start reaches 1 on the way from Ae1 to Ms.
template <class Rate>
double critical_rate(const Decomposition& d, Rate rate) {
  double sum = 0;
  const double step = 0.25;
  for (double T = d.ms() + 0.5 * step; T < d.ae1(); T += step)
    sum += rate(T) * step;
  return sum / li_progress_start;
}

TEST(Calibration, PearliteNoseAndCriticalRate_StandOnTheirTargets) {
  std::printf("%-8s %5s %6s %16s %14s %16s %16s %5s\n", "steel", "C", "Ms", "pearlite nose", "target",
              "bainite nose", "critical K/s", "target");
  for (const Target& target : targets) {
    const SteelRecord& steel = shipped::steels().at(target.key);
    const double C = steel.transformation.matrix.C;
    const Decomposition d(steel, C);
    const Nose p = nose([&](double T) { return d.pearlite_rate(T); });
    const Nose b = nose([&](double T) { return d.bainite_rate(T); });
    const double rate = critical_rate(d, [&](double T) { return d.pearlite_rate(T); });
    const double bainite_rate = critical_rate(d, [&](double T) { return d.bainite_rate(T); });
    std::printf("%-8s %5.2f %6.0f %6.2f s at %3.0f %6g-%g s %8.2f s at %3.0f %7.1f + %5.1f  %g-%g\n",
                target.key, C, d.ms(), p.time, p.T, target.nose_from_s, target.nose_to_s, b.time, b.T, rate,
                bainite_rate, target.rate_from, target.rate_to);
    EXPECT_GE(p.time, target.nose_from_s) << target.key;
    EXPECT_LE(p.time, target.nose_to_s) << target.key;
    if (target.rate_to > 0) {
      EXPECT_GE(rate, target.rate_from) << target.key;
      EXPECT_LE(rate, target.rate_to) << target.key;
    }
    // the matrix carbon of the record is what its model dissolves in the middle of its hardening range
    const double middle =
        0.5 * (steel.austenitising.hardening_from_degC + steel.austenitising.hardening_to_degC);
    EXPECT_NEAR(C, saturation_carbon(steel, middle), 0.006) << target.key;
  }
  EXPECT_EQ(std::size(targets), shipped::steels().size());
}

// Start of bainite in eutectoid plain carbon steel: 3-4 s at 425, 10 s at 370, 50 s at 315 degC (from memory,
// factor 2). The factors of the plain steels were fitted to these three.
TEST(Calibration, BainiteStartOfPlainCarbonSteel_StandsOnItsTargets) {
  for (const char* key : {"1075", "1084", "1095", "W2"}) {
    const SteelRecord& steel = shipped::steels().at(key);
    const Decomposition d(steel, steel.transformation.matrix.C);
    EXPECT_NEAR(std::log(li_progress_start / d.bainite_rate(425) / 3.5), 0, std::log(1.25)) << key;
    EXPECT_NEAR(std::log(li_progress_start / d.bainite_rate(370) / 10.0), 0, std::log(1.25)) << key;
    EXPECT_NEAR(std::log(li_progress_start / d.bainite_rate(315) / 50.0), 0, std::log(1.25)) << key;
    // not fitted: 1.5 s at 480, 250 s at 260 degC
    EXPECT_NEAR(std::log(li_progress_start / d.bainite_rate(480) / 1.5), 0, std::log(2)) << key;
    EXPECT_NEAR(std::log(li_progress_start / d.bainite_rate(260) / 250.0), 0, std::log(2)) << key;
  }
}

// The alloyed steels follow one rule, exp(-10.18 (C - 0.47)); a record that leaves it must say what it was
// fitted to instead.
TEST(Calibration, BainiteFactorOfAlloyedSteels_FollowsTheRule) {
  for (const char* key : {"O1", "O2", "52100", "80CrV2", "5160", "L6", "75Ni8"}) {
    const records::Transformation& t = shipped::steels().at(key).transformation;
    EXPECT_NEAR(t.bainite_factor / std::exp(-10.18 * (t.matrix.C - 0.47)), 1, 0.03) << key;
  }
}

// Start of bainite in O1 at 300-400 degC: tens of seconds to minutes (from memory).
TEST(Calibration, BainiteStartOfO1_IsTensOfSecondsToMinutes) {
  const SteelRecord& steel = shipped::steels().at("O1");
  const Decomposition d(steel, steel.transformation.matrix.C);
  EXPECT_GT(li_progress_start / d.bainite_rate(400), 10);
  EXPECT_LT(li_progress_start / d.bainite_rate(300), 600);
}

// As-quenched hardness of data sheets (O1 65, O2 64, 1095 66, W2 67, L6 65) and from memory for the rest,
// against the mixture after the usual soak of annealed bar in the middle of the hardening range, cooled to 20
// degC with no pearlite or bainite. Independent: nothing was fitted to these. The model reads low, on average
// by 0.8 HRC, most on W2 (2.2 HRC; its sheet quenches in water).
TEST(Calibration, AsQuenchedHardness_IsNearTheDataSheets) {
  std::printf("%-8s %6s %6s %8s %8s %8s\n", "steel", "C", "RA %", "carbide", "HRC", "sheet");
  for (const auto& [key, steel] : shipped::steels()) {
    const records::Austenitising& a = steel.austenitising;
    const double T = 0.5 * (a.hardening_from_degC + a.hardening_to_degC);
    const SoundQuench q = sound_quench(steel, T, a.asked_soak_s);
    std::printf("%-8s %6.3f %6.1f %8.4f %8.1f %8.1f\n", key.c_str(), q.carbon, 100 * q.retained_austenite,
                q.cementite, q.hrc, steel.temper.as_quenched_HRC);
    EXPECT_NEAR(q.hrc, steel.temper.as_quenched_HRC, 2.5) << key;
    EXPECT_GT(q.hrc, 62) << key;
  }
}

} // namespace
} // namespace tq::steel
