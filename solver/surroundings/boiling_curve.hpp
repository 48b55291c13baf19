// What is known of the boiling curve of any quenching oil before it is measured: a family of curves h(T) with
// a prior, in coordinates that are standard normal, so that an inverse problem needs no weights of its own.
#pragma once

#include "conduction/uniform_table.hpp"

#include <Eigen/Core>

#include <cstddef>
#include <vector>

namespace tq::surroundings {

/// The stages of one curve, as corners of ln h over the surface temperature.
struct BoilingStages {
  double bath_degC = 0, convection_degC = 0, shoulder_degC = 0, peak_degC = 0, blanket_degC = 0;
  double h_bath = 0, h_convection = 0, h_shoulder = 0, h_peak = 0, h_blanket = 0; ///< [W/m2K] at these
  double film_slope_per_K = 0; ///< of ln h above the end of the blanket
};

/// Curves of ln h over surface temperature: convection, a rise in two stretches to the peak, a fall to the
/// vapour blanket; corners rounded over some 6 K; plus a smooth departure of any shape (cubic B-splines).
///
/// The prior of the stages covers the curves recovered from probe tests of fast, medium and slow oils and of
/// vegetable oil, and the published inverse results of Buczek & Telejko 2013 (Int. J. Heat Fluid Flow 44,
/// 358: 500 W/m2K at 800 degC, peaks of 4700 and 6000 W/m2K at 520-550 degC, 500 W/m2K at 150 degC) and of
/// Kobasko (250-300 W/m2K in the convection of oil). Medians and spreads stand in boiling_curve.cpp.
class BoilingCurves {
 public:
  /// `departure` is the standard deviation of ln h that the smooth departure may have.
  explicit BoilingCurves(double bath_degC, double departure = 0.10);

  std::size_t size() const { return stage_coordinates + knots_.size(); }
  double bath_degC() const { return bath_degC_; }
  double departure() const { return departure_; }
  BoilingStages stages(const double* z) const;
  /// ln h on grid(), from size() coordinates.
  void log_htc(const double* z, std::vector<double>& out) const;
  /// Surface temperatures [degC], equal steps from 0 to 1000.
  const std::vector<double>& grid() const { return grid_; }
  static conduction::UniformTable table(const std::vector<double>& log_h);

  static constexpr std::size_t stage_coordinates = 10;

 private:
  double bath_degC_, departure_;
  std::vector<double> grid_, knots_;
};

/// The same prior made linear: ln h is the mean of the family plus modes with independent standard normal
/// coefficients, such that mean and covariance over temperature are those of draws from the family
/// (Karhunen-Loeve). What a measured curve says about such coefficients is nearly Gaussian; about corners
/// that move it is not.
class BoilingModes {
 public:
  BoilingModes(const BoilingCurves& family, std::size_t modes = 40, std::size_t draws = 2000);
  std::size_t size() const { return static_cast<std::size_t>(modes_.cols()); }
  void log_htc(const double* z, std::vector<double>& out) const;
  /// Coefficients of the curve nearest to ln h on the grid.
  Eigen::VectorXd coefficients(const std::vector<double>& log_h) const;

 private:
  Eigen::VectorXd mean_;
  Eigen::MatrixXd modes_;
};

} // namespace tq::surroundings
