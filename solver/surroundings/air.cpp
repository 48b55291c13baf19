#include "surroundings/air.hpp"

#include "units/math.hpp"
#include "units/temperature.hpp"

#include <cmath>

namespace tq::surroundings {

namespace {

constexpr double pressure_Pa = 101325.0; // one standard atmosphere
constexpr double gas_constant_air_J_kgK = 287.05;
constexpr double gravity_m_s2 = 9.80665;
// Air at one atmosphere has Pr 0.68-0.73 from 300 to 1200 K (Incropera & DeWitt, table A.4); the middle is
// within 4 %, which moves the coefficients below by less than 1.5 %.
constexpr double prandtl = 0.70;

// Kinematic viscosity [m2/s]: Sutherland's dynamic viscosity, US Standard Atmosphere 1976, eq. 51, over the
// density of an ideal gas.
double kinematic_viscosity(double T_K) {
  const double dynamic = 1.458e-6 * T_K * std::sqrt(T_K) / (T_K + 110.4);
  return dynamic * gas_constant_air_J_kgK * T_K / pressure_Pa;
}

} // namespace

double air_conductivity(double T_degC) {
  const double T = kelvin(T_degC);
  return 2.64638e-3 * T * std::sqrt(T) / (T + 245.4 * math::pow(10.0, -12.0 / T));
}

double natural_convection(double T_surface_degC, double T_air_degC, double height_m) {
  const double film = 0.5 * (kelvin(T_surface_degC) + kelvin(T_air_degC));
  const double nu = kinematic_viscosity(film);
  const double difference = std::abs(T_surface_degC - T_air_degC);
  const double rayleigh =
      gravity_m_s2 * difference * height_m * height_m * height_m * prandtl / (film * nu * nu);
  static const double damping = math::pow(1.0 + math::pow(0.492 / prandtl, 9.0 / 16.0), 8.0 / 27.0);
  const double root = 0.825 + 0.387 * math::pow(rayleigh, 1.0 / 6.0) / damping;
  return root * root * air_conductivity(celsius(film)) / height_m;
}

} // namespace tq::surroundings
