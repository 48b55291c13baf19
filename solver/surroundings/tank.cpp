#include "surroundings/tank.hpp"

#include "units/math.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace tq::surroundings {

namespace {
double rise(const Tank& tank, double start_degC) {
  if (tank.capacity_J_K <= 0 || tank.blade_degC <= tank.fresh_degC)
    return 0;
  // heat given falls with the difference left between blade and bath
  return tank.heat_J / tank.capacity_J_K * (tank.blade_degC - start_degC) /
         (tank.blade_degC - tank.fresh_degC);
}
} // namespace

double tank_loss_W_K(double volume_m3) {
  constexpr double h_W_m2K = 10;
  // V = pi/4 d^2 (2 d); wall pi d (2 d), floor and liquid surface pi/4 d^2 each
  const double d = math::cbrt(2 * volume_m3 / std::numbers::pi);
  return h_W_m2K * std::numbers::pi * d * d * 2.5;
}

double bath_before_blade(const Tank& tank, int number) {
  double T = tank.fresh_degC;
  for (int blade = 1; blade < number; ++blade) {
    T += rise(tank, T);
    if (tank.capacity_J_K > 0)
      T = tank.room_degC +
          (T - tank.room_degC) * math::exp(-tank.loss_W_K * tank.interval_s / tank.capacity_J_K);
  }
  return T;
}

double bath_after_blade(const Tank& tank, int number) {
  const double T = bath_before_blade(tank, number);
  return T + rise(tank, T);
}

int blades_below(const Tank& tank, double limit_degC, int most) {
  int number = 0;
  while (number < most && bath_after_blade(tank, number + 1) <= limit_degC)
    ++number;
  return number;
}

double least_interval_s(const Tank& tank, double limit_degC) {
  constexpr double never = std::numeric_limits<double>::quiet_NaN();
  if (tank.capacity_J_K <= 0 || tank.blade_degC <= tank.fresh_degC)
    return 0;
  // before + a (blade - before) = limit
  const double a = tank.heat_J / tank.capacity_J_K / (tank.blade_degC - tank.fresh_degC);
  const double before = (limit_degC - a * tank.blade_degC) / (1 - a);
  if (a >= 1 || tank.loss_W_K <= 0 || before <= tank.room_degC || tank.fresh_degC > before)
    return never;
  return tank.capacity_J_K / tank.loss_W_K *
         math::log((limit_degC - tank.room_degC) / (before - tank.room_degC));
}

double least_volume_for_row_m3(const Tank& tank, double volume_m3, double limit_degC, int blades) {
  const auto hottest = [&](double volume) {
    Tank other = tank;
    other.capacity_J_K *= volume / volume_m3;
    other.loss_W_K *= math::pow(volume / volume_m3, 2.0 / 3);
    double most = 0;
    for (int n : {1, blades}) // the bath rises or falls steadily along a row
      most = std::max(most, bath_after_blade(other, n));
    return most;
  };
  double low = volume_m3 * 1e-3, high = volume_m3 * 1e3;
  if (hottest(high) > limit_degC)
    return std::numeric_limits<double>::quiet_NaN();
  while (high / low > 1 + 1e-6) {
    const double middle = std::sqrt(low * high);
    (hottest(middle) > limit_degC ? low : high) = middle;
  }
  return high;
}

} // namespace tq::surroundings
