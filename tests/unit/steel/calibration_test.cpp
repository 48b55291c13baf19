// What the shipped decomposition factors give, beside what they were fitted to. Every target is from memory
// of published diagrams and carries a doubt of a factor 2; a fit that has drifted off its stated target
// fails.
#include "known_figures.hpp"
#include "steel/decomposition.hpp"
#include "steel/diagram.hpp"
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

// Isothermal diagrams and critical rates, all from memory. Those of 1075 and 1095 are the 140-200 K/s of eutectoid
// steel with 0.79 %C and 0.76 %Mn, carried to their analysis by the ideal diameters of ASTM A255 (its square on the
// time). W2: shallower than 1095 (common practice, no source).
constexpr Target targets[] = {
    {"O1", 8, 15, 15, 25},        {"O2", 20, 60, 0, 0},         {"1075", 0.5, 0.7, 230, 330},
    {"1084", 0.8, 1.0, 140, 210}, {"1095", 0.5, 0.8, 280, 400}, {"W2", 0.4, 0.8, 0, 0},
    {"52100", 3, 6, 40, 60},      {"80CrV2", 2, 4, 0, 0},       {"5160", 5, 8, 0, 0},
    {"L6", 30, 300, 0, 0},        {"75Ni8", 2, 3, 0, 0}};

struct Nose {
  double T = 0, time = INFINITY;
};

template <class Rate>
Nose nose(Rate rate) {
  Nose best;
  for (double T = 200; T < 760; T += 0.5)
    if (const double r = rate(T); r > 0 && 1 / r < best.time)
      best = {T, 1 / r};
  return best;
}

// Constant cooling rate at which the Scheil sum of the 1 % start reaches 1 on the way from Ae1 to Ms.
template <class Rate>
double critical_rate(const Decomposition& d, Rate rate) {
  double sum = 0;
  const double step = 0.25;
  for (double T = d.ms() + 0.5 * step; T < d.ae1(); T += step)
    sum += rate(T) * step;
  return sum;
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

// Start of bainite in eutectoid plain carbon steel: 3-4 s at 425, 10 s at 370, 50 s at 315, 250 s at 260 degC
// (from memory, factor 2). Nothing was fitted to these: the law stands on 100Cr6. 1084 is the record with the
// manganese of that steel.
TEST(Calibration, BainiteStartOfPlainCarbonSteel_IsWithinAFactorTwoOfItsTargets) {
  const SteelRecord& steel = shipped::steels().at("1084");
  const Decomposition d(steel, steel.transformation.matrix.C);
  const struct { double T, start_s; } targets_s[] = {{425, 3.5}, {370, 10}, {315, 50}, {260, 250}};
  for (const auto& target : targets_s) {
    std::printf("1084: bainite at %.0f degC after %.1f s, target %.1f s\n", target.T,
                1 / d.bainite_rate(target.T), target.start_s);
    EXPECT_NEAR(std::log(1 / d.bainite_rate(target.T) / target.start_s), 0, std::log(2)) << target.T;
  }
}

// Isothermal diagram of 100Cr6, 1 and 99 % bainite (Kaymak 2007, dissertation, Magdeburg; facts read from an
// open digitisation). Issue of the fit: start and finish within a factor 2 from 240 to 430 degC.
TEST(Calibration, BainiteOf52100_IsThatOfTheDiagramOf100Cr6) {
  const struct {
    double T, start_s, finish_s;
  } measured[] = {{240, 258, 1557}, {270, 111.5, 722}, {300, 47.9, 361}, {330, 22.7, 205},
                  {360, 10.3, 110}, {390, 8.0, 79.6},  {410, 7.7, 76.7}, {430, 7.9, 88}};
  const SteelRecord& steel = shipped::steels().at("52100");
  const Decomposition d(steel, steel.transformation.matrix.C);
  for (const auto& row : measured) {
    const double start_s = 1 / d.bainite_rate(row.T), finish_s = start_s * d.clock_at(Product::bainite, 0.99);
    std::printf("52100 at %.0f degC: start %.1f s (%.1f), finish %.0f s (%.0f)\n", row.T, start_s,
                row.start_s, finish_s, row.finish_s);
    EXPECT_NEAR(std::log(start_s / row.start_s), 0, std::log(1.3)) << row.T; // the fit's own, 25 %
    EXPECT_NEAR(std::log(finish_s / row.finish_s), 0, std::log(2)) << row.T;
  }
}

// Bs of 13 steels of 0.55 to 1.02 %C, open compilation of Schuscha et al. 2025, Acta Mater., 121131. The
// formula was published in 2012 and nothing was fitted here.
TEST(Calibration, BainiteStartTemperature_HasNoBiasAboveHalfAPerCentCarbon) {
  const struct {
    double C, Mn, Si, Ni, Cr, Mo, bs;
  } rows[] = {{0.55, 0.60, 0, 0, 1.03, 0.19, 550},       {0.57, 0.82, 0, 1.16, 1.07, 0.26, 490},
              {0.60, 0.45, 0, 3.33, 1.52, 0, 425},       {0.62, 0.54, 0.67, 1.79, 0.60, 0.32, 505},
              {1.02, 0.33, 0.35, 0, 2.90, 0, 405},       {0.80, 0.45, 0, 3.33, 1.52, 0, 430},
              {0.97, 0.72, 0.32, 1.54, 0.80, 0.26, 460}, {0.86, 0.66, 0.38, 2.47, 1.21, 0.50, 415},
              {0.98, 1.89, 1.46, 0, 1.26, 0.26, 335},    {0.83, 1.98, 1.57, 0, 1.02, 0.24, 360},
              {0.78, 1.95, 1.49, 0, 0.97, 0.24, 385},    {0.60, 0.89, 1.48, 0, 1.19, 0.68, 455},
              {0.80, 0.29, 1.35, 0, 0, 0.56, 585}};
  double bias = 0, square = 0;
  for (const auto& row : rows) {
    records::Composition wt;
    wt.Mn = row.Mn;
    wt.Si = row.Si;
    wt.Ni = row.Ni;
    wt.Cr = row.Cr;
    wt.Mo = row.Mo;
    const double miss = bainite_start(wt, row.C) - row.bs;
    bias += miss / std::size(rows);
    square += miss * miss / std::size(rows);
  }
  EXPECT_LT(std::abs(bias), 10);
  EXPECT_LT(std::sqrt(square), 20);
}

// Start of bainite in O1 at 300-400 degC: tens of seconds to minutes (from memory).
TEST(Calibration, BainiteStartOfO1_IsTensOfSecondsToMinutes) {
  const SteelRecord& steel = shipped::steels().at("O1");
  const Decomposition d(steel, steel.transformation.matrix.C);
  EXPECT_GT(1 / d.bainite_rate(400), 10);
  EXPECT_GT(bainite_nose(d).T, 300); // the lower nose; at 450 degC diagrams show a bay
  EXPECT_LT(bainite_nose(d).T, 415);
  EXPECT_LT(1 / d.bainite_rate(300), 600);
}

// As-quenched hardness of data sheets (O1 65, O2 64, 1095 66, W2 67, L6 65) and from memory for the rest,
// against the mixture after the usual soak of annealed bar in the middle of the hardening range, cooled to 20
// degC with no pearlite or bainite. The curve of fresh martensite was fitted with these in sight, and each
// record takes six tenths of what its sheet has over it: so this holds the records to the fit.
TEST(Calibration, AsQuenchedHardness_MeetsTheDataSheets) {
  std::printf("%-8s %6s %6s %8s %8s %8s %8s\n", "steel", "C", "RA %", "carbide", "HRC", "sheet", "unmoved");
  double sum = 0, sizes = 0;
  for (const auto& [key, steel] : shipped::steels()) {
    const records::Austenitising& a = steel.austenitising;
    const double T = 0.5 * (a.hardening_from_degC + a.hardening_to_degC);
    const SoundQuench q = sound_quench(steel, T, a.asked_soak_s);
    SteelRecord common = steel;
    common.hardness.martensite_offset_HV = 0;
    const double off = q.hrc - steel.temper.as_quenched_HRC;
    const double unmoved = sound_quench(common, T, a.asked_soak_s).hrc - steel.temper.as_quenched_HRC;
    std::printf("%-8s %6.3f %6.1f %8.4f %8.1f %8.1f %+8.1f\n", key.c_str(), q.carbon,
                100 * q.retained_austenite, q.cementite, q.hrc, steel.temper.as_quenched_HRC, unmoved);
    EXPECT_LT(std::abs(off), steel.temper.uncertainty_HRC) << key;
    // the band of the hardness as quenched holds what the formula for all steels misses too
    EXPECT_LT(std::abs(unmoved), as_quenched_band_HRC(q.retained_austenite, 0)) << key;
    EXPECT_NEAR(steel.hardness.martensite_offset_HV,
                -0.6 *
                    (hv_from_hrc(unmoved + steel.temper.as_quenched_HRC) -
                     hv_from_hrc(steel.temper.as_quenched_HRC)) /
                    (1 - q.cementite - q.retained_austenite),
                3)
        << key;
    sum += off;
    sizes += std::abs(off);
  }
  const auto n = static_cast<double>(shipped::steels().size());
  EXPECT_LT(std::abs(sum / n), 0.3);
  EXPECT_LT(sizes / n, 0.3);
}

// Hardness as quenched is greatest where the sheets harden: O1 802, 1095 800, W2 788 degC (data sheets); 15
// K.
TEST(Calibration, HardnessAgainstHardeningTemperature_PeaksWhereTheSheetsHarden) {
  const struct {
    const char* key;
    double sheet_degC;
  } sheets[] = {{"O1", 802}, {"1095", 800}, {"W2", 788}};
  for (const auto& sheet : sheets) {
    const SteelRecord& steel = shipped::steels().at(sheet.key);
    double best = 0, at = 0;
    for (double T = 740; T <= 880; T += 2)
      if (const double hrc = sound_quench(steel, T, steel.austenitising.asked_soak_s).hrc; hrc > best) {
        best = hrc;
        at = T;
      }
    EXPECT_NEAR(at, sheet.sheet_degC, 15) << sheet.key;
  }
}

} // namespace
} // namespace tq::steel
