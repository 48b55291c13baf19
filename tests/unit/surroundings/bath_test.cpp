#include "surroundings/bath.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace {

using namespace tq::surroundings;
using tq::records::CoolantRecord;
using tq::records::Interpolation;
using tq::records::Table;

// An oil with all three stages, round figures.
CoolantRecord example_oil() {
  CoolantRecord oil;
  oil.htc_W_m2K = {{60, 280, 370, 500, 720, 900}, {300, 350, 1800, 6000, 800, 800}, Interpolation::log};
  oil.table_bath_degC = 60;
  oil.convection_start_degC = 280;
  oil.blanket_end_degC = 720;
  oil.by_bath_temperature = {{40, 1, 0.97, 0.85, 0}, {60, 1, 1, 1, 0}, {80, 1, 1.02, 1.2, -15}};
  oil.by_agitation = {
      {0, 1, 1, 1, 0}, {0.25, 1.2, 1.1, 1.6, 25}, {0.5, 1.5, 1.2, 2.2, 50}, {1, 2, 1.3, 3, 90}};
  oil.density_kg_m3 = 860;
  oil.specific_heat_J_kgK = 2000;
  return oil;
}

void expect_sound(const Table& table) {
  ASSERT_EQ(table.x.size(), table.y.size());
  for (std::size_t n = 0; n < table.x.size(); ++n) {
    EXPECT_TRUE(std::isfinite(table.y[n]) && table.y[n] > 0.0) << table.x[n];
    if (n > 0) {
      EXPECT_GT(table.x[n], table.x[n - 1]);
    }
  }
}

TEST(BathHtc, OwnTemperatureStill_IsTheTableItself) {
  const CoolantRecord oil = example_oil();
  const Table table = bath_htc(oil, 60.0, 0.0);
  EXPECT_EQ(table.x, oil.htc_W_m2K.x);
  EXPECT_EQ(table.y, oil.htc_W_m2K.y);
  EXPECT_EQ(table.interpolation, Interpolation::log);
}

TEST(BathHtc, NoCorrections_IsTheTableItself) {
  CoolantRecord oil = example_oil();
  oil.by_bath_temperature.clear();
  oil.by_agitation.clear();
  const Table table = bath_htc(oil, 80.0, 1.0);
  EXPECT_EQ(table.x, oil.htc_W_m2K.x);
  EXPECT_EQ(table.y, oil.htc_W_m2K.y);
}

TEST(BathHtc, EachStage_GetsItsOwnMultiplier) {
  const CoolantRecord oil = example_oil();
  const Table stirred = bath_htc(oil, 60.0, 0.5);
  expect_sound(stirred);
  EXPECT_NEAR(stirred(100.0), 2.2 * oil.htc_W_m2K(100.0), 1e-9 * 1000);
  EXPECT_NEAR(stirred(280.0), 2.2 * 350.0, 1e-6);
  EXPECT_NEAR(stirred(500.0), 1.2 * 6000.0, 1e-6);
  EXPECT_NEAR(stirred(770.0), 1.5 * 800.0, 1e-6); // the blanket's end, 50 K higher
  EXPECT_NEAR(stirred(900.0), 1.5 * 800.0, 1e-6);
}

TEST(BathHtc, BlanketShift_MovesTheFlankAboveThePeak) {
  const CoolantRecord oil = example_oil();
  CoolantRecord shift_only = oil;
  shift_only.by_agitation = {{0, 1, 1, 1, 0}, {1, 1, 1, 1, 90}};
  const Table moved = bath_htc(shift_only, 60.0, 1.0);
  expect_sound(moved);
  EXPECT_NEAR(moved(500.0), 6000.0, 1e-6);
  EXPECT_NEAR(moved(810.0), 800.0, 1e-6);
  EXPECT_NEAR(moved(500.0 + 0.5 * 310.0), oil.htc_W_m2K(500.0 + 0.5 * 220.0), 1e-6);
  EXPECT_NEAR(moved(350.0), oil.htc_W_m2K(350.0), 1e-6);
}

TEST(BathHtc, MoreAgitation_NeverCoolsLess) {
  const CoolantRecord oil = example_oil();
  Table before = bath_htc(oil, 60.0, 0.0);
  for (double velocity = 0.1; velocity < 1.05; velocity += 0.1) {
    const Table now = bath_htc(oil, 60.0, velocity);
    expect_sound(now);
    for (double T = 60.0; T <= 900.0; T += 5.0)
      EXPECT_GE(now(T), before(T) * (1.0 - 1e-9)) << velocity << " m/s at " << T;
    before = now;
  }
}

TEST(BathHtc, WarmerBath_ConvectsBetterAndBlanketEndsLower) {
  const CoolantRecord oil = example_oil();
  const Table cold = bath_htc(oil, 40.0, 0.0), hot = bath_htc(oil, 80.0, 0.0);
  expect_sound(cold);
  expect_sound(hot);
  EXPECT_LT(cold(150.0), hot(150.0));
  EXPECT_NEAR(hot(705.0), 800.0, 1e-6);
  EXPECT_LT(hot(690.0), cold(690.0));
}

TEST(BathHtc, BlendBetweenStages_HasNoJumps) {
  CoolantRecord flat = example_oil();
  flat.htc_W_m2K.y.assign(flat.htc_W_m2K.x.size(), 1000.0); // what is seen is the multiplier alone
  flat.by_agitation = {{0, 1, 1, 1, 0}, {1, 2.0, 1.3, 3.0, 0}};
  const Table table = bath_htc(flat, 60.0, 1.0);
  expect_sound(table);
  for (double T = 60.0; T < 900.0; T += 1.0)
    EXPECT_LT(std::abs(std::log(table(T + 1.0) / table(T))), 0.015) << T;
}

TEST(BathHtc, StronglyStirred_KeepsOneHump) {
  CoolantRecord oil = example_oil(); // a low peak far above the onset of boiling
  oil.htc_W_m2K.y = {300, 370, 1800, 2400, 1200, 1200};
  const Table table = bath_htc(oil, 60.0, 0.5);
  expect_sound(table);
  for (double T = 60.0; T < 500.0; T += 5.0)
    EXPECT_LE(table(T), table(T + 5.0) + 1e-9) << T;
  for (double T = 500.0; T < 900.0; T += 5.0)
    EXPECT_GE(table(T), table(T + 5.0) - 1e-9) << T;
}

TEST(BathHtc, BeyondTheLastRow_HoldsIt) {
  const CoolantRecord oil = example_oil();
  const Table last = bath_htc(oil, 80.0, 1.0), beyond = bath_htc(oil, 150.0, 5.0);
  EXPECT_EQ(last.y, beyond.y);
}

TEST(BathHtc, ColderBath_TableReachesDownToIt) {
  const CoolantRecord oil = example_oil();
  const Table table = bath_htc(oil, 20.0, 0.0);
  EXPECT_DOUBLE_EQ(table.x.front(), 20.0);
  EXPECT_NEAR(table(20.0), 0.85 * 300.0, 1e-6);
}

TEST(BathHtc, AbsurdShift_StaysATable) {
  CoolantRecord oil = example_oil();
  oil.by_agitation = {{0, 1, 1, 1, 0}, {1, 1, 1, 1, -1000}};
  const Table table = bath_htc(oil, 60.0, 1.0);
  expect_sound(table);
  EXPECT_NEAR(table(500.0), 6000.0, 1e-6);
}

TEST(BathHtc, LinearTable_StaysLinear) {
  CoolantRecord oil = example_oil();
  oil.htc_W_m2K.interpolation = Interpolation::linear;
  const Table table = bath_htc(oil, 60.0, 0.25);
  EXPECT_EQ(table.interpolation, Interpolation::linear);
  expect_sound(table);
  EXPECT_NEAR(table(100.0), 1.6 * oil.htc_W_m2K(100.0), 1e-6);
}

TEST(BathHtc, StagesNotGiven_StillSound) {
  CoolantRecord oil = example_oil();
  oil.convection_start_degC = oil.blanket_end_degC = 0;
  expect_sound(bath_htc(oil, 80.0, 1.0));
}

TEST(BathHtc, StillAir_HasNoTable) { EXPECT_TRUE(bath_htc(CoolantRecord{}, 20.0, 0.0).empty()); }

TEST(BathHeatCapacity, IsVolumeTimesVolumetricHeat) {
  EXPECT_DOUBLE_EQ(bath_heat_capacity(example_oil(), 8e-3), 860.0 * 2000.0 * 8e-3);
}

// Between the corners the curve is the table; at a corner of ln h that turns by s it is off by s w / 4, which
// is the parabola that touches both pieces w to either side, and its slope nowhere jumps.
TEST(BathCurve, CornersOfALogTable_AreRoundedAndNothingElse) {
  const Table table = example_oil().htc_W_m2K;
  const BathCurve curve(table);
  constexpr double w = BathCurve::rounding_K;
  for (double T = 20; T < 950; T += 0.5) {
    const bool near =
        std::any_of(table.x.begin(), table.x.end(), [&](double x) { return std::abs(x - T) < w; });
    if (near) {
      EXPECT_NEAR(std::log(curve(T) / table(T)), 0, 0.06) << T;
    } else {
      EXPECT_EQ(curve(T), table(T)) << T;
    }
  }
  const double rise = std::log(6000.0 / 1800) / 130, fall = std::log(800.0 / 6000) / 220;
  EXPECT_NEAR(std::log(curve(500) / 6000), (fall - rise) * w / 4, 1e-12);
  constexpr double step = 0.01;
  double before = 0;
  for (double T = 61; T < 899; T += step) { // the parabola turns by s over 2 w
    const double slope = std::log(curve(T + step) / curve(T)) / step;
    if (T > 61) {
      EXPECT_NEAR(slope, before, 1.01 * (rise - fall) / (2 * w) * step + 1e-9) << T;
    }
    before = slope;
  }
  for (double T = 510; T < 720; T += 1)
    EXPECT_LT(curve(T + 1), curve(T)) << T;
}

TEST(BathCurve, NearPoints_RoundNoFurtherThanHalfway) {
  const Table table{{100, 104, 110, 400}, {300, 420, 500, 3000}, Interpolation::log};
  const BathCurve curve(table);
  for (const double middle : {102.0, 107.0})
    EXPECT_NEAR(curve(middle), table(middle), 1e-9 * table(middle));
  for (double T = 90; T < 410; T += 0.25)
    EXPECT_LE(curve(T), curve(T + 0.25)) << T;
}

TEST(BathCurve, LinearTable_StaysAsItIs) {
  const Table table{{60, 200, 500}, {300, 350, 2800}, Interpolation::linear};
  const BathCurve curve(table);
  for (double T = 20; T < 600; T += 1)
    EXPECT_EQ(curve(T), table(T));
}

} // namespace
