// Gases that may fill a packet.
#pragma once

namespace tq::surroundings {

enum class Gas { air, nitrogen, argon };

/// Conductivity [W/mK] at one atmosphere. Air: US Standard Atmosphere 1976, eq. 53. Nitrogen: 0.0259 at 300 K
/// growing as T^0.76 (Incropera & DeWitt, table A.4, from memory, within 3 % to 1100 K). Argon: 0.0177 at 300
/// K growing as T^0.74 (tables of noble gases, from memory, within 4 % to 1200 K).
double gas_conductivity(Gas gas, double T_degC);

} // namespace tq::surroundings
