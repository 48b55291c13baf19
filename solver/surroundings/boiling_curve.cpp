#include "surroundings/boiling_curve.hpp"

#include "surroundings/bayes.hpp"
#include "units/math.hpp"

#include <Eigen/Eigenvalues>

#include <algorithm>
#include <cmath>

namespace tq::surroundings {

namespace {

constexpr double grid_step_K = 2, grid_end_degC = 1000;
constexpr double knot_step_K = 45;
constexpr double corner_K = 9; // half the width of a rounded corner

struct Prior {
  double median, spread; ///< of the quantity, or of its logarithm
};
// Middle and standard deviation over the curves named in the header; spreads are widened by about a third for
// oils not among them (estimate).
constexpr Prior ln_h_convection{5.91, 0.30};     // 370 W/m2K at the end of convection
constexpr Prior ln_h_rise_from_bath{0.22, 0.15}; // convection grows by 25 % from the bath's temperature up
constexpr Prior convection_end_degC{305, 45};
constexpr Prior ln_shoulder_K{4.25, 0.45};  // 70 K above the end of convection
constexpr Prior shoulder_logit{0.60, 0.60}; // 0.65 of the rise of ln h to the peak
constexpr Prior ln_peak_K{4.79, 0.45};      // 120 K above the shoulder
constexpr Prior ln_h_peak{8.34, 0.50};      // 4200 W/m2K
constexpr Prior ln_blanket_K{5.27, 0.30};   // 195 K above the peak
constexpr Prior ln_h_blanket{6.52, 0.35};   // 680 W/m2K
constexpr Prior film_slope_per_K{0.0, 8e-4};

double at(const Prior& p, double z) { return p.median + p.spread * z; }

// Cubic B-spline of unit knots, scaled so that a sum with unit normal coefficients has unit variance at
// knots: 1 / sqrt((2/3)^2 + 2 (1/6)^2).
double bump(double x) {
  x = std::abs(x);
  const double b = x >= 2 ? 0 : x >= 1 ? (2 - x) * (2 - x) * (2 - x) / 6 : 2.0 / 3 - x * x + 0.5 * x * x * x;
  return b * 1.4142135623730951;
}

// max(x, 0) with its corner rounded by a parabola over -1 to 1.
double ramp(double x) { return x <= -1 ? 0 : x >= 1 ? x : 0.25 * (x + 1) * (x + 1); }

} // namespace

BoilingCurves::BoilingCurves(double bath_degC, double departure)
    : bath_degC_(bath_degC), departure_(departure) {
  for (double T = 0; T <= grid_end_degC + 1e-9; T += grid_step_K)
    grid_.push_back(T);
  for (double T = bath_degC; T < 900 + knot_step_K; T += knot_step_K)
    knots_.push_back(T);
}

BoilingStages BoilingCurves::stages(const double* z) const {
  BoilingStages s;
  const double ln_convection = at(ln_h_convection, z[0]);
  const double ln_peak = at(ln_h_peak, z[6]);
  s.bath_degC = bath_degC_;
  s.convection_degC = std::max(at(convection_end_degC, z[2]), bath_degC_ + 20);
  s.shoulder_degC = s.convection_degC + math::exp(at(ln_shoulder_K, z[3]));
  s.peak_degC = s.shoulder_degC + math::exp(at(ln_peak_K, z[5]));
  s.blanket_degC = s.peak_degC + math::exp(at(ln_blanket_K, z[7]));
  s.h_bath = math::exp(ln_convection - at(ln_h_rise_from_bath, z[1]));
  s.h_convection = math::exp(ln_convection);
  s.h_shoulder =
      math::exp(ln_convection + (ln_peak - ln_convection) / (1 + math::exp(-at(shoulder_logit, z[4]))));
  s.h_peak = math::exp(ln_peak);
  s.h_blanket = math::exp(at(ln_h_blanket, z[8]));
  s.film_slope_per_K = at(film_slope_per_K, z[9]);
  return s;
}

void BoilingCurves::log_htc(const double* z, std::vector<double>& out) const {
  const BoilingStages s = stages(z);
  const double T[5] = {s.bath_degC, s.convection_degC, s.shoulder_degC, s.peak_degC, s.blanket_degC};
  const double y[5] = {math::log(s.h_bath), math::log(s.h_convection), math::log(s.h_shoulder),
                       math::log(s.h_peak), math::log(s.h_blanket)};
  double slope[5];
  for (int i = 0; i < 4; ++i)
    slope[i] = (y[i + 1] - y[i]) / (T[i + 1] - T[i]);
  slope[4] = s.film_slope_per_K;

  const double* departure = z + stage_coordinates;
  out.resize(grid_.size());
  for (std::size_t n = 0; n < grid_.size(); ++n) {
    const double at_degC = std::clamp(grid_[n], bath_degC_, 900.0);
    double value = y[0] + slope[0] * (at_degC - T[0]);
    for (int i = 1; i < 5; ++i)
      value += (slope[i] - slope[i - 1]) * corner_K * ramp((at_degC - T[i]) / corner_K);
    const double position = (at_degC - bath_degC_) / knot_step_K;
    const auto near = static_cast<std::ptrdiff_t>(position);
    for (std::ptrdiff_t k = std::max<std::ptrdiff_t>(near - 1, 0);
         k <= std::min<std::ptrdiff_t>(near + 2, static_cast<std::ptrdiff_t>(knots_.size()) - 1); ++k)
      value += departure_ * departure[k] * bump(position - static_cast<double>(k));
    out[n] = value;
  }
}

conduction::UniformTable BoilingCurves::table(const std::vector<double>& log_h) {
  return {0, grid_end_degC, grid_step_K,
          [&](double T) { return math::exp(log_h[static_cast<std::size_t>(T / grid_step_K + 0.5)]); }};
}

BoilingModes::BoilingModes(const BoilingCurves& family, std::size_t modes, std::size_t draws) {
  const auto points = static_cast<Eigen::Index>(family.grid().size());
  const auto count = static_cast<Eigen::Index>(draws);
  Eigen::MatrixXd curves(points, count);
  NormalNumbers normal(7);
  std::vector<double> z(family.size()), log_h;
  for (Eigen::Index n = 0; n < count; ++n) {
    for (double& value : z)
      value = normal();
    family.log_htc(z.data(), log_h);
    curves.col(n) = Eigen::Map<const Eigen::VectorXd>(log_h.data(), points);
  }
  mean_ = curves.rowwise().mean();
  curves.colwise() -= mean_;
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(curves * curves.transpose() /
                                                             static_cast<double>(count - 1));
  const auto kept = std::min(static_cast<Eigen::Index>(modes), points);
  modes_ = eigen.eigenvectors().rightCols(kept) *
           eigen.eigenvalues().tail(kept).cwiseMax(0).cwiseSqrt().asDiagonal();
}

void BoilingModes::log_htc(const double* z, std::vector<double>& out) const {
  out.resize(static_cast<std::size_t>(mean_.size()));
  Eigen::Map<Eigen::VectorXd>(out.data(), mean_.size()).noalias() =
      mean_ + modes_ * Eigen::Map<const Eigen::VectorXd>(z, modes_.cols());
}

Eigen::VectorXd BoilingModes::coefficients(const std::vector<double>& log_h) const {
  const Eigen::VectorXd from_mean = Eigen::Map<const Eigen::VectorXd>(log_h.data(), mean_.size()) - mean_;
  const double weight = 1e-3; // keeps coefficients of faint modes from growing
  return (modes_.transpose() * modes_ + weight * Eigen::MatrixXd::Identity(modes_.cols(), modes_.cols()))
      .ldlt()
      .solve(modes_.transpose() * from_mean);
}

} // namespace tq::surroundings
