#include "shop/coupon.hpp"

#include "answers/sampling.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>

namespace tq::shop {

double error_correlation(double one_degC, double other_degC) {
  const double apart = (one_degC - other_degC) / forgotten_over_K;
  return same_everywhere + (1 - same_everywhere) * std::exp(-0.5 * apart * apart);
}

CurveCorrection correct_curve(const std::vector<CouponPoint>& points, double one_hour_degC, double band_HRC) {
  CurveCorrection out{0, band_HRC};
  const auto n = static_cast<Eigen::Index>(points.size());
  if (n == 0 || !(band_HRC > 0))
    return out;
  const double all = std::pow(band_HRC / answers::normal_half_90, 2);
  // the band holds readings, so the reading's own error is part of it
  const double reading = std::min(coupon_reading_HRC * coupon_reading_HRC, 0.5 * all), curve = all - reading;
  Eigen::MatrixXd read(n, n);
  Eigen::VectorXd off(n), to_here(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const CouponPoint& one = points[static_cast<std::size_t>(i)];
    off(i) = one.off_HRC;
    to_here(i) = curve * error_correlation(one.one_hour_degC, one_hour_degC);
    for (Eigen::Index j = 0; j < n; ++j)
      read(i, j) =
          curve * error_correlation(one.one_hour_degC, points[static_cast<std::size_t>(j)].one_hour_degC) +
          (i == j ? reading : 0);
  }
  const Eigen::LLT<Eigen::MatrixXd> factor(read);
  out.shift_HRC = to_here.dot(factor.solve(off));
  const double variance = curve - to_here.dot(factor.solve(to_here));
  out.band_HRC = answers::normal_half_90 * std::sqrt(std::max(variance, 0.0) + reading);
  return out;
}

} // namespace tq::shop
