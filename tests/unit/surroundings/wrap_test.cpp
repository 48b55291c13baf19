#include "surroundings/wrap.hpp"

#include "surroundings/air.hpp"
#include "units/temperature.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace {

using namespace tq::surroundings;

Gap gas_gap(double width_m) {
  Gap gap;
  gap.width_m = width_m;
  return gap;
}

// Two plates, k / g + 4 sigma T^3 / (1/ea + 1/eb - 1) at 900 K, emissivities 0.3 and 0.5, k 0.0625 W/mK
// (parallel plates, Incropera & DeWitt, ch. 3 and 13).
TEST(GapConductance, WithoutJumpLength_IsTheParallelPlateFormula) {
  const double T = tq::celsius(900.0);
  const double M = temperature_jump_length(T);
  const double radiation =
      4.0 * tq::stefan_boltzmann_W_m2K4 * std::pow(900.0, 3) * exchange_emissivity(0.3, 0.5);
  const struct {
    double gap_um, h;
  } rows[] = {{10, 6288.1573},  {25, 2538.1573},  {50, 1288.1573},  {100, 663.15726},
              {250, 288.15726}, {500, 163.15726}, {1000, 100.65726}};
  for (const auto& row : rows) {
    const double gap = row.gap_um * 1e-6;
    // Take the jump length out again and bring k to the worked figure's 0.0625.
    const double gas = gap_conductance(gas_gap(gap), T) * (gap + M) / gap * 0.0625 / air_conductivity(T);
    EXPECT_NEAR(gas + radiation, row.h, 1e-4 * row.h) << row.gap_um << " um";
  }
}

TEST(GapConductance, JumpLength_TakesFourPercentAt25um) {
  const double T = tq::celsius(1000.0);
  const auto loss = [&](double gap) {
    return 1.0 - gap_conductance(gas_gap(gap), T) * gap / air_conductivity(T);
  };
  EXPECT_NEAR(loss(10e-6), 0.09, 0.01);
  EXPECT_NEAR(loss(25e-6), 0.04, 0.005);
  EXPECT_NEAR(loss(50e-6), 0.02, 0.003);
}

TEST(GapConductance, JumpLength_GrowsWithAbsoluteTemperature) {
  EXPECT_NEAR(temperature_jump_length(tq::celsius(300.0)), 0.3e-6, 0.06e-6);
  EXPECT_NEAR(temperature_jump_length(tq::celsius(1000.0)), 1.0e-6, 0.1e-6);
}

TEST(GapConductance, ContactSpots_AddInParallel) {
  Gap gap = gas_gap(3e-4);
  const double gas = gap_conductance(gap, 500.0);
  gap.contact_fraction = 0.02;
  gap.contact_conductance_W_m2K = 1000.0;
  EXPECT_NEAR(gap_conductance(gap, 500.0), 0.98 * gas + 20.0, 1e-9);
}

TEST(GapConductance, ClosedGap_StaysFinite) {
  const double h = gap_conductance(gas_gap(0.0), 20.0);
  EXPECT_TRUE(std::isfinite(h));
  EXPECT_GT(h, 1e4);
}

TEST(GapConductance, PlainNumber_ReplacesTheModel) {
  Gap gap = gas_gap(3e-4);
  gap.contact_fraction = 0.3;
  gap.contact_conductance_W_m2K = 1000.0;
  gap.fixed_conductance_W_m2K = 123.0;
  EXPECT_EQ(gap_conductance(gap, 700.0), 123.0);
}

// Radiation shields, Incropera & DeWitt, section 13.3.3-13.3.4: brick at 800 degC (emissivity 0.8), steel at
// 300 degC (0.6), with foils between; flux [W/m2] from the series of exchange factors.
TEST(ExchangeEmissivity, RadiationShields_AsBySeriesResistances) {
  const double hot = tq::kelvin(800.0), cold = tq::kelvin(300.0);
  const double driving = tq::stefan_boltzmann_W_m2K4 * (std::pow(hot, 4) - std::pow(cold, 4));
  const auto flux = [&](const std::vector<double>& factors) {
    double resistance = 0.0;
    for (const double factor : factors)
      resistance += 1.0 / factor;
    return driving / resistance;
  };
  const auto e = exchange_emissivity;
  EXPECT_NEAR(flux({e(0.8, 0.6)}), 36045.446, 0.5);
  EXPECT_NEAR(flux({e(0.8, 0.25), e(0.25, 0.6)}), 7748.0865, 0.1);
  EXPECT_NEAR(flux({e(0.8, 0.8), e(0.25, 0.6)}), 11203.314, 0.1);
  EXPECT_NEAR(flux({e(0.8, 0.8), e(0.8, 0.6)}), 20220.616, 0.2);
  EXPECT_NEAR(flux({e(0.8, 0.25), e(0.25, 0.25), e(0.25, 0.6)}), 4340.5511, 0.1);
}

TEST(ExchangeEmissivity, Limits) {
  EXPECT_DOUBLE_EQ(exchange_emissivity(1.0, 1.0), 1.0);
  EXPECT_DOUBLE_EQ(exchange_emissivity(1.0, 0.35), 0.35);
  EXPECT_EQ(exchange_emissivity(0.0, 0.5), 0.0);
  EXPECT_EQ(exchange_emissivity(0.5, 0.0), 0.0);
}

} // namespace
