// Temperature scale used inside the solver: degrees Celsius everywhere, kelvin only inside radiation and
// Arrhenius expressions. A temperature difference is in kelvin and never passes through these functions.
#pragma once

namespace tq {

inline constexpr double celsius_zero_K = 273.15; ///< 0 degC on the kelvin scale [K] (exact, SI)
inline constexpr double stefan_boltzmann_W_m2K4 =
    5.670374e-8; ///< Stefan-Boltzmann constant [W/m2K4] (CODATA 2018)
inline constexpr double gas_constant_J_molK = 8.314462618; ///< molar gas constant [J/(mol K)] (CODATA 2018)

/// Absolute temperature [K] of a temperature in degC.
constexpr double kelvin(double degC) { return degC + celsius_zero_K; }
/// Temperature [degC] of an absolute temperature in K.
constexpr double celsius(double K) { return K - celsius_zero_K; }

} // namespace tq
