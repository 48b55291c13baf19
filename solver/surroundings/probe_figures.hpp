// What a data sheet prints of a cooling-curve test (ISO 9950, ASTM D6200), taken from a computed trace.
#pragma once

#include "surroundings/probe.hpp"

namespace tq::surroundings {

/// The figures of a sheet; NaN where the trace does not reach or the sheet does not say.
struct SheetFigures {
  double max_rate_K_s = std::numeric_limits<double>::quiet_NaN();  ///< largest cooling rate, positive
  double max_rate_degC = std::numeric_limits<double>::quiet_NaN(); ///< temperature of the sensor there
  double rate_300_K_s = std::numeric_limits<double>::quiet_NaN();  ///< cooling rate at 300 degC, positive
  double to_600_s = std::numeric_limits<double>::quiet_NaN();
  double to_400_s = std::numeric_limits<double>::quiet_NaN();
  double to_200_s = std::numeric_limits<double>::quiet_NaN();
};

SheetFigures sheet_figures(const ProbeTrace& trace);
/// Time [s] at which the sensor first falls to `degC`; NaN when it does not.
double time_to(const ProbeTrace& trace, double degC);

/// Effective h [W/m2K] of the lumped formula, rho c (V/A) rate / (T - bath), with the sensor's temperature T.
/// Not the h of the surface: at the peak of an oil about half of it (Biot number about 0.4).
double lumped_htc(const Probe& probe, double sensor_degC, double rate_K_s, double bath_degC);

} // namespace tq::surroundings
