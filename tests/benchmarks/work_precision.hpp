// Time against time error of our stepper and of CVODE on the tapered bar, interleaved in one process.
#pragma once

#include <vector>

namespace tq::test {

double median(std::vector<double> values);

/// How many of CVODE's settings are tried.
enum class Sweep {
  all,   ///< maximum order 2, 3, 5 and two nonlinear coefficients
  few,   ///< maximum order 3 with both nonlinear coefficients
  fewest ///< the same, near the setting found best only
};

/// CVODE's time over ours where both keep a bound of the time error.
struct Ratio {
  double bound_K = 0;
  double best = 0;    ///< against the quickest of all its settings
  double fair = 0;    ///< against the quickest of those of maximum order 3 and nonlinear coefficient 0.01
  double typical = 0; ///< where the error is the bound on a line fitted through all errors near it
};

/// Prints the table; returns the ratios at 0.5 K and 0.1 K.
std::vector<Ratio> compare(int along, int across, bool half, int repeats, Sweep sweep);

/// The quickest grid of at most 2060 nodes and tolerance with all 70 reference values within half a kelvin.
struct Quench {
  double ms = 0, error_K = 0;
};
Quench quickest_quench(int repeats);

/// Prints time and steps over the number of nodes, and the fitted exponent.
void scaling(int repeats);

} // namespace tq::test
