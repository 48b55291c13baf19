#include "surroundings/gas.hpp"

#include "surroundings/air.hpp"
#include "units/math.hpp"
#include "units/temperature.hpp"

#include <cmath>

namespace tq::surroundings {

double gas_conductivity(Gas gas, double T_degC) {
  const double ratio = kelvin(T_degC) / 300;
  switch (gas) {
  case Gas::air:
    break;
  case Gas::nitrogen:
    return 0.0259 * math::pow(ratio, 0.76);
  case Gas::argon:
    return 0.0177 * math::pow(ratio, 0.74);
  }
  return air_conductivity(T_degC);
}

} // namespace tq::surroundings
