// Plates and coats as covers, the tank between blades, gases in the packet, neighbours in the muffle: each
// against a closed form or a limit.
#include "conduction/heat_operator.hpp"
#include "section/grid.hpp"
#include "surroundings/air.hpp"
#include "surroundings/furnace.hpp"
#include "surroundings/gas.hpp"
#include "surroundings/plates.hpp"
#include "surroundings/tank.hpp"
#include "surroundings/wrap.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace {

using namespace tq::surroundings;

TEST(Plates, LieOnAFullFlank_AndOnTheFlatOfABevel) {
  const std::vector<double> x{0, 5e-3, 10e-3, 15e-3, 20e-3};
  for (double gap : gap_under_plate(x, {1.6e-3, 1.3e-3, 1.0e-3, 0.7e-3, 0.4e-3}))
    EXPECT_NEAR(gap, 0, 1e-15);
  const auto bevel = gap_under_plate(x, {1e-3, 1e-3, 1e-3, 0.6e-3, 0.2e-3});
  EXPECT_NEAR(bevel[1], 0, 1e-15);
  EXPECT_NEAR(bevel[2], 0, 1e-15);
  EXPECT_NEAR(bevel[3], 0.4e-3, 1e-15);
  EXPECT_NEAR(bevel[4], 0.8e-3, 1e-15);
}

TEST(Plates, Slices_HoldTheHeatAndTheResistanceOfThePlate) {
  tq::records::SolidRecord metal;
  metal.density_kg_m3 = 2700;
  metal.specific_heat_J_kgK = 900;
  metal.conductivity_W_mK = 180;
  tq::conduction::Cover slices;
  add_plate(slices, 0, metal, 25e-3, 1500, {0.0, 1e-3}, 20);
  double mass = 0, resistance = 0;
  for (const auto& slice : slices) {
    mass += slice.mass_kg_m2;
    resistance += 1 / slice.conductance[0]->value(100);
  }
  resistance += 0.5 * slices.back().mass_kg_m2 / 2700 / 180; // from the middle of the last slice
  EXPECT_NEAR(mass, 2700 * 25e-3, 1e-9);
  EXPECT_NEAR(resistance, 1 / 1500.0 + 25e-3 / 180, 1e-12);
  // under the wedge of 1 mm its air comes in series
  const double touching = 1 / slices[0].conductance[0]->value(100);
  EXPECT_NEAR(touching / slices[0].factor[0][1], touching + 1e-3 / air_conductivity(300), 1e-12);
}

TEST(Coat, Layers_HoldItsHeatAndItsResistance) {
  tq::records::SolidRecord clay;
  clay.density_kg_m3 = 1700;
  clay.conductivity_W_mK = 0.8;
  std::array<std::vector<double>, tq::conduction::faces> thickness;
  thickness[0] = {2e-3, 1e-6};
  for (const double htc : {20.0, 2000.0, 20000.0}) {
    const auto layers = coat(clay, thickness, htc);
    double mass = 0, resistance = 0, moment = 0;
    for (const auto& layer : layers) {
      EXPECT_GT(layer.mass_kg_m2, 0);
      mass += layer.mass_kg_m2 * layer.thickness[0][0];
      resistance += 1 / (layer.conductance[0]->value(100) * layer.factor[0][0]);
      moment += layer.mass_kg_m2 * layer.thickness[0][0] * resistance;
      EXPECT_EQ(layer.thickness[0][1], 0); // too thin to be one
    }
    EXPECT_NEAR(mass, 1700 * 2e-3, 1e-12);
    EXPECT_NEAR(resistance, 2e-3 / 0.8, 1e-12);
    EXPECT_NEAR(moment, 0.5 * mass * resistance, 1e-12); // a straight profile holds its heat
  }
}

TEST(Coat, Intervals_AreFineWhereTheMediumTakesMoreThanTheCoatBrings) {
  EXPECT_EQ(coat_intervals(0.1).size(), 18u);
  EXPECT_LE(coat_intervals(3).size(), 20u);
  EXPECT_GT(coat_intervals(100).size(), 22u);
  EXPECT_LT(coat_intervals(100).back(), 0.21 / 100);
}

/// Temperatures of steel (0 to L1, insulated at 0) under a coat (L1 to L1 + L2) that a medium of 0 degC cools
/// from 1 degC with constant h: eigenfunctions of the composite slab, as in Carslaw & Jaeger, Conduction of
/// Heat in Solids, 2nd ed. 1959, section 2.15, or Ozisik, Heat Conduction, 2nd ed. 1993, chapter 7.
class CoatedSlab {
 public:
  CoatedSlab(double k1, double rho_c1, double L1, double k2, double rho_c2, double L2, double h)
      : L1_(L1), root1_(std::sqrt(rho_c1 / k1)) {
    const double root2 = std::sqrt(rho_c2 / k2), ratio = k1 * root1_ / (k2 * root2);
    const auto a = [&](double beta) { return std::cos(beta * L1 * root1_); };
    const auto b = [&](double beta) { return -ratio * std::sin(beta * L1 * root1_); };
    const auto surface = [&](double beta) {
      return a(beta) * std::cos(beta * L2 * root2) + b(beta) * std::sin(beta * L2 * root2);
    };
    const auto defect = [&](double beta) {
      const double w = beta * root2, p = w * L2;
      return k2 * w * (b(beta) * std::cos(p) - a(beta) * std::sin(p)) + h * surface(beta);
    };
    const double step = M_PI / (L1 * root1_ + L2 * root2) / 40;
    for (double from = 1e-9; terms_.size() < 400; from += step) {
      if ((defect(from) > 0) == (defect(from + step) > 0))
        continue;
      double low = from, high = from + step;
      for (int i = 0; i < 60; ++i) {
        const double middle = 0.5 * (low + high);
        ((defect(middle) > 0) == (defect(low) > 0) ? low : high) = middle;
      }
      const double beta = 0.5 * (low + high), v = beta * root1_, w = beta * root2;
      const double A = a(beta), B = b(beta);
      const double norm =
          rho_c1 * (0.5 * L1 + std::sin(2 * v * L1) / (4 * v)) +
          rho_c2 * (0.5 * (A * A + B * B) * L2 + (A * A - B * B) * std::sin(2 * w * L2) / (4 * w) +
                    A * B * (1 - std::cos(2 * w * L2)) / (2 * w));
      terms_.push_back({beta, h * surface(beta) / (beta * beta) / norm, surface(beta)});
    }
  }
  double centre(double t) const {
    return sum(t, [](const Term&) { return 1.0; });
  }
  double joint(double t) const {
    return sum(t, [this](const Term& n) { return std::cos(n.beta * L1_ * root1_); });
  }
  double surface(double t) const {
    return sum(t, [](const Term& n) { return n.surface; });
  }

 private:
  struct Term {
    double beta, share, surface;
  };
  template <class F>
  double sum(double t, F&& shape) const {
    double total = 0;
    for (const Term& n : terms_)
      total += n.share * shape(n) * std::exp(-n.beta * n.beta * t);
    return total;
  }
  double L1_, root1_;
  std::vector<Term> terms_;
};

// Over 1 to 10 mm of clay on 2 and 5 mm of steel, a bath like oil (2000) and one like water (15 000 W/m2K).
// What is allowed is what the answers need: the steel's hardness hangs on half a kelvin a little, the clay's
// surface only says whether oil may flare. Slices alone, before the steel's own grid and the steps: 0.1
// and 2.2 K.
TEST(Coat, AgainstTheSeriesOfALayeredSlab) {
  constexpr double rho_c_steel = 7800 * 650.0, k_steel = 26;
  tq::records::SolidRecord clay;
  clay.density_kg_m3 = 1700;
  clay.specific_heat_J_kgK = 1000;
  clay.conductivity_W_mK = 0.8;
  for (const double half : {1e-3, 2.5e-3})
    for (const double coat_m : {1e-3, 1.5e-3, 2e-3, 3e-3, 5e-3, 7e-3, 10e-3})
      for (const double h : {2000.0, 15000.0}) {
        tq::section::GrindSpec spec;
        spec.width = 20e-3;
        spec.spine = spec.edge = 2 * half;
        const auto grid = tq::section::make_grid(tq::section::profile_from_grind(spec), {8, 12, 1.0, true});
        tq::conduction::InertMaterial steel({{20}, {k_steel}}, {{20}, {650.0}});
        tq::conduction::HeatOperator op(tq::conduction::make_mesh(grid), 7800, steel);
        std::array<std::vector<double>, tq::conduction::faces> thickness;
        for (int f = 0; f < tq::conduction::faces; ++f)
          thickness[static_cast<std::size_t>(f)].assign(op.face_nodes(f), f < 2 ? coat_m : 0.0);
        const auto layers = coat(clay, thickness, h);
        op.set_cover(layers);
        tq::conduction::Surround bath;
        bath.temperature = [](double) { return 40.0; };
        bath.face[0].htc_constant_W_m2K = bath.face[1].htc_constant_W_m2K = h;
        op.set_surround(bath);
        op.set_tolerance(0.02);
        const std::vector<double> enthalpy(op.body_nodes(), steel.enthalpy(790));
        tq::conduction::DenseRosenbrockW stepper;
        stepper.initialize(op.make_state(enthalpy.data(), nullptr, 790, 0), 0, 1e-4);
        const CoatedSlab exact(k_steel, rho_c_steel, half, 0.8, 1700 * 1000.0, coat_m, h);
        const std::size_t middle = 4, nx = static_cast<std::size_t>(grid.nx);
        const std::size_t top = (static_cast<std::size_t>(grid.ny) - 1) * nx + middle;
        const std::size_t outside = (layers.size() - 1) * op.face_nodes(0) + middle;
        for (double t : {0.05, 0.2, 0.5, 1.0, 3.0, 10.0, 30.0, 100.0}) {
          while (stepper.current_time() < t)
            stepper.do_step_until(std::ref(op), t);
          op.refresh(stepper.current_state());
          SCOPED_TRACE(std::to_string(2e3 * half) + " mm under " + std::to_string(1e3 * coat_m) + " mm, h " +
                       std::to_string(h) + ", t " + std::to_string(t));
          EXPECT_NEAR(op.temperature()[middle], 40 + 750 * exact.centre(t), 0.5);
          EXPECT_NEAR(op.temperature()[top], 40 + 750 * exact.joint(t), 0.5);
          EXPECT_NEAR(op.foil_temperature()[outside], 40 + 750 * exact.surface(t), 5);
        }
      }
}

TEST(Tank, BladesInARow_AddUpWithoutLossAndVanishWithTime) {
  Tank tank;
  tank.fresh_degC = tank.room_degC = 20;
  tank.capacity_J_K = 8e-3 * 845 * 2020;
  tank.heat_J = 0.2 * 543e3; // 0.2 kg of steel, EN 1993-1-2 between 60 and 800 degC
  tank.blade_degC = 1e9;     // so hot that the warmer bath does not matter
  const double rise = tank.heat_J / tank.capacity_J_K;
  EXPECT_NEAR(rise, 8, 0.5); // rule of the shop: 7 K in 8 L, 15 K in 4 L for such a blade
  EXPECT_EQ(bath_before_blade(tank, 1), 20);
  EXPECT_NEAR(bath_before_blade(tank, 4), 20 + 3 * rise, 1e-3);
  EXPECT_EQ(blades_below(tank, 20 + 3.5 * rise, 100), 3);
  tank.loss_W_K = tank_loss_W_K(8e-3);
  tank.interval_s = 100 * 3600;
  EXPECT_NEAR(bath_before_blade(tank, 4), 20, 1e-3);
  tank.interval_s = 1800;
  const double half = std::exp(-tank.loss_W_K * 1800 / tank.capacity_J_K);
  EXPECT_NEAR(bath_before_blade(tank, 2), 20 + rise * half, 1e-6);
}

TEST(Tank, LeastInterval_KeepsAnEndlessRowJustBelowTheLimit) {
  Tank tank;
  tank.fresh_degC = 55;
  tank.room_degC = 20;
  tank.capacity_J_K = 8e-3 * 845 * 2020;
  tank.loss_W_K = tank_loss_W_K(8e-3);
  tank.heat_J = 0.2 * 543e3;
  tank.blade_degC = 800;
  tank.interval_s = least_interval_s(tank, 75);
  EXPECT_GT(tank.interval_s, 60);
  EXPECT_LE(bath_after_blade(tank, 500), 75 + 1e-9);
  EXPECT_NEAR(bath_after_blade(tank, 500), 75, 1e-3);
  tank.interval_s *= 0.9;
  EXPECT_GT(bath_after_blade(tank, 500), 75);
  EXPECT_TRUE(std::isnan(least_interval_s(tank, 56))); // less than one blade's rise above the fresh bath
  tank.room_degC = 80;                                 // never cools below the limit
  EXPECT_TRUE(std::isnan(least_interval_s(tank, 75)));
}

TEST(Tank, LeastVolumeForARow_EndsAtTheLimit) {
  Tank tank;
  tank.fresh_degC = 55;
  tank.room_degC = 20;
  tank.capacity_J_K = 8e-3 * 845 * 2020;
  tank.loss_W_K = tank_loss_W_K(8e-3);
  tank.heat_J = 0.2 * 543e3;
  tank.blade_degC = 800;
  tank.interval_s = 240;
  const double volume = least_volume_for_row_m3(tank, 8e-3, 75, 6);
  tank.capacity_J_K *= volume / 8e-3;
  tank.loss_W_K = tank_loss_W_K(volume);
  EXPECT_NEAR(bath_after_blade(tank, 6), 75, 1e-3);
}

TEST(Neighbours, ShadedSurface_KeepsItsOwnEmissivityWithoutNeighboursAndNoneBehindThem) {
  EXPECT_DOUBLE_EQ(shaded_emissivity(0.7, 0), 0.7);
  EXPECT_DOUBLE_EQ(shaded_emissivity(0.7, 1), 0);
  EXPECT_DOUBLE_EQ(shaded_emissivity(1, 0.4), 0.6); // black: what it sees of the walls
  // a slot of grey walls looks blacker than the walls are: 0.3 * 0.6 / (1 - 0.7 * 0.4)
  EXPECT_NEAR(shaded_emissivity(0.3, 0.4), 0.25, 1e-12);
}

// 8 L/kg of steel warm by about 38 K: the trade's gallon per pound (8.35 L/kg).
TEST(Tank, LeastVolume_AgreesWithTheGallonPerPound) {
  Tank one_kg;
  one_kg.fresh_degC = 20;
  one_kg.capacity_J_K = 1e-3 * 870 * 2000; // 1 L
  one_kg.heat_J = 543e3;
  one_kg.blade_degC = 800;
  EXPECT_NEAR(least_volume_for_row_m3(one_kg, 1e-3, 20 + 38, 1) * 1e3, 8.35, 0.3);
}

TEST(Gas, Conductivities_MatchTables) {
  // nitrogen: Incropera & DeWitt table A.4; argon: tables of noble gases; both from memory
  EXPECT_NEAR(gas_conductivity(Gas::nitrogen, 726.85), 0.0647, 0.002);
  EXPECT_NEAR(gas_conductivity(Gas::argon, 726.85), 0.0427, 0.0017);
  EXPECT_EQ(gas_conductivity(Gas::air, 500), air_conductivity(500));
}

TEST(Neighbours, ViewFactor_IsThatOfParallelStrips) {
  EXPECT_NEAR(view_between_blades(1, 1), std::sqrt(2.0) - 1, 1e-12); // 0.414, Incropera & DeWitt table 13.1
  EXPECT_NEAR(view_between_blades(1, 1e-6), 1, 1e-5);
  EXPECT_NEAR(view_between_blades(1, 100), 0.005, 1e-4);
}

TEST(Foil, OxidisingEmissivity_GoesFromFreshToOxidised) {
  EXPECT_EQ(oxidising_emissivity(0.3, 0.75, 600, -5), 0.3);
  EXPECT_NEAR(oxidising_emissivity(0.3, 0.75, 600, 600), 0.75 - 0.45 / std::exp(1.0), 1e-12);
  EXPECT_NEAR(oxidising_emissivity(0.3, 0.75, 600, 1e5), 0.75, 1e-12);
}

TEST(Overshoot, PeaksOnceAfterTheDisplayIsReady) {
  auto furnace = FurnaceTemperature::hot(800, 0, 10, 240);
  furnace.overshoot(15, 300);
  const auto plain = FurnaceTemperature::hot(800, 0, 10, 240);
  EXPECT_EQ(furnace(200), plain(200));
  EXPECT_NEAR(furnace(540) - plain(540), 15, 1e-9);
  EXPECT_LT(furnace(700) - plain(700), 15);
  EXPECT_NEAR(furnace(5000), 800, 0.01);
  ASSERT_EQ(furnace.breakpoints().size(), 1u);
  EXPECT_EQ(furnace.breakpoints()[0], 240);
}

} // namespace
