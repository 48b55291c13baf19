// The heat transfer coefficient of a bath from a test in it: h over the temperature of the surface, with the
// band that the test leaves, from the figures on a data sheet or from the measured curve itself.
#pragma once

#include "records/table.hpp"
#include "surroundings/boiling_curve.hpp"
#include "surroundings/probe.hpp"
#include "surroundings/probe_figures.hpp"

#include <cstdint>
#include <limits>
#include <optional>
#include <vector>

namespace tq::surroundings {

/// A printed number: it stands for anything within `half_width` of it. NaN: not printed.
struct Printed {
  double value = std::numeric_limits<double>::quiet_NaN();
  double half_width = 0;
  bool given() const { return value == value; }
};

/// Any of the figures of a cooling-curve test, and the seconds of the nickel ball.
struct SheetReadings {
  Printed max_rate_K_s, max_rate_degC, rate_300_K_s, to_600_s, to_400_s, to_200_s;
  Printed ball_s; ///< 885 to 354 degC, magnetic quenchometer (ASTM D3520)
  double ball_bath_degC = 27;
  /// How many tests of the oil the figures are means of (not the ball's). A maker's figures are typical
  /// values, so three: assumption, no source.
  double tests = 3;
};

/// A measured curve.
struct TraceReadings {
  std::vector<double> time_s; ///< from immersion, ascending
  std::vector<double> sensor_degC;
  double time_zero_spread_s = 0.05; ///< how well the moment of immersion is known (standard deviation)
  double least_noise_K = 0.1; ///< of the readings, when they look better than that (the model is no better)
};

/// A probe and how well it is known (standard deviations; relative but for the lag).
struct DoubtedProbe {
  Probe probe;
  double sensor_lag_spread_s = 0, conductivity_spread = 0, specific_heat_spread = 0;
};
DoubtedProbe make_doubted_probe(const records::ProbeRecord& record, const records::ProbeBody& body);

struct RecoverySettings {
  std::uint64_t seed = 1;
  std::size_t steps = 5000; ///< of the random walk
  std::size_t keep = 600;   ///< of its points
};

/// The result: a table with its pointwise 90 % band.
struct RecoveredHtc {
  double bath_degC = 0;
  std::vector<double> surface_degC; ///< from the bath to 900 degC, steps of 10 K
  std::vector<double> htc_W_m2K;    ///< to be read with its logarithm linear between points
  std::vector<double> low_W_m2K, high_W_m2K;
  BoilingStages stages; ///< of the most probable curve
  SheetFigures figures; ///< of the probe in the table above
  double ball_s = std::numeric_limits<double>::quiet_NaN();
  double departure = 0; ///< standard deviation of ln h allowed beside the family of curves
  double noise_K = std::numeric_limits<double>::quiet_NaN();  ///< of the measured curve, as estimated
  double misfit_K = std::numeric_limits<double>::quiet_NaN(); ///< rms of measured less computed
  double sensor_lag_s = 0;                                    ///< as recovered
  double acceptance = 0;                                      ///< share of the random walk's steps taken
  std::vector<std::vector<double>> sample;                    ///< htc on surface_degC, equally probable

  records::Table table() const { return {surface_degC, htc_W_m2K, records::Interpolation::log}; }
};

/// From printed figures, at least one. The table gives the figures back within their half widths (as far as
/// any curve of the family does); the band also allows for the scatter between tests of one operator.
/// `ball` is needed when ball_s is given. Throws std::invalid_argument without any figure.
RecoveredHtc recover_from_sheet(const DoubtedProbe& probe, const std::optional<DoubtedProbe>& ball,
                                double bath_degC, const SheetReadings& readings,
                                const RecoverySettings& settings = {});

/// From a measured curve. The freedom given to the curve beside the family is the one that makes the
/// measurement most probable. Readings of fast loggers are thinned. Throws std::invalid_argument when there
/// are fewer than 20 readings.
RecoveredHtc recover_from_trace(const DoubtedProbe& probe, double bath_degC, const TraceReadings& readings,
                                const RecoverySettings& settings = {});

/// Means of neighbours, so that at most `most` readings remain: a fast logger tells no more, and takes
/// longer.
TraceReadings thinned(const TraceReadings& readings, std::size_t most = 800);

/// Standard deviation of the noise of equally treated readings, from their third differences.
double noise_of(const std::vector<double>& readings);

} // namespace tq::surroundings
