// The carbon in solution to which a steel's law of decomposition belongs.
#pragma once

#include "steel/transformation.hpp"

namespace tq::steel {

/// Carbon [wt%] that saturates austenite in the middle of the usual hardening temperatures.
inline double reference_carbon(const records::SteelRecord& steel) {
  return saturation_carbon(
      steel, 0.5 * (steel.austenitising.hardening_from_degC + steel.austenitising.hardening_to_degC));
}

} // namespace tq::steel
