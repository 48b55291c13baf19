// One tempered coupon tells how far a tempering curve is off at its own setting, and by shrinking also at
// others: the error of the curve is a Gaussian process over the one-hour temperature (Rasmussen & Williams
// 2006, Gaussian Processes for Machine Learning, chapter 2), one part of it the same everywhere.
#pragma once

#include <vector>

namespace tq::shop {

/// A reading against what was computed for it.
struct CouponPoint {
  double one_hour_degC = 0; ///< temper of one hour with the same Hollomon-Jaffe parameter
  double off_HRC = 0;       ///< read minus computed
};

/// Share of the variance of a curve's error that is the same at every temper, the distance over which the
/// rest is forgotten, and the standard deviation of one reading of a coupon. Chosen by leaving out each steel
/// of the open tempering compilation in turn and correcting its rows by one of them (README.md); the errors
/// are flat about them.
inline constexpr double same_everywhere = 0.65, forgotten_over_K = 70, coupon_reading_HRC = 0.6;

/// Correlation of the curve's errors at two tempers.
double error_correlation(double one_degC, double other_degC);

struct CurveCorrection {
  double shift_HRC = 0; ///< to be added to what was computed
  double band_HRC = 0;  ///< half of what holds nine in ten readings, after it
};
/// At `one_hour_degC`, of a curve which with a reading's own error keeps within `band_HRC` nine times in ten.
/// Without points it stays as it is.
CurveCorrection correct_curve(const std::vector<CouponPoint>& points, double one_hour_degC, double band_HRC);

} // namespace tq::shop
