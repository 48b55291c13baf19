// Which inputs the spread of an answer comes from, told from the same sample that gave the spread.
#pragma once

#include <Eigen/Core>

#include <cstddef>
#include <vector>

namespace tq::answers {

/// First-order shares of the variance, estimated from given data: the answer is fitted with a sum of
/// functions of one input each (the input itself and Legendre polynomials of its rank in (0, 1), up to order
/// 8), the terms chosen one by one by orthogonal matching pursuit (Pati, Rezaiifar & Krishnaprasad 1993,
/// Asilomar) until the next one is no longer worth it by the extended Bayesian criterion of Chen & Chen 2008,
/// Biometrika 95, 759-771. The share of an input is the covariance of its terms with the answer over the
/// variance of the answer; all shares together are the part of the variance that the fit explains, so at
/// most 1.
class VarianceShares {
 public:
  /// `points`: the sample in the unit cube, `values`: the inputs there; both [point * inputs + input].
  VarianceShares(std::size_t points_count, std::size_t inputs, const std::vector<double>& points,
                 const std::vector<double>& values);

  /// Share of each input in the variance of `y`, one finite value per point. All 0 when y does not spread.
  std::vector<double> operator()(const std::vector<double>& y) const;

 private:
  std::size_t points_, inputs_;
  Eigen::MatrixXd terms_; ///< columns of mean 0 and length 1
  Eigen::MatrixXd gram_;
  std::vector<std::size_t> input_of_; ///< by column
};

/// Mean ranks in (0, 1); NaN counts as greater than everything.
std::vector<double> ranks(const std::vector<double>& y);

} // namespace tq::answers
