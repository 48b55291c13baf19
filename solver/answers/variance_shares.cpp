#include "answers/variance_shares.hpp"

#include "units/math.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace tq::answers {
namespace {

constexpr int highest_order = 8;
constexpr std::size_t most_terms = 40;

/// Legendre polynomials of 2 u - 1, orders 1 to highest_order, by Bonnet's recursion.
std::array<double, highest_order> legendre(double u) {
  std::array<double, highest_order> p{};
  const double t = 2.0 * u - 1.0;
  double before = 1.0;
  p[0] = t;
  for (std::size_t k = 1; k < p.size(); ++k) {
    const auto n = static_cast<double>(k);
    const double next = ((2.0 * n + 1.0) * t * p[k - 1] - n * before) / (n + 1.0);
    before = p[k - 1];
    p[k] = next;
  }
  return p;
}

} // namespace

VarianceShares::VarianceShares(std::size_t points_count, std::size_t inputs,
                               const std::vector<double>& points, const std::vector<double>& values)
    : points_(points_count), inputs_(inputs) {
  constexpr std::size_t per_input = 1 + highest_order;
  terms_.resize(static_cast<Eigen::Index>(points_), static_cast<Eigen::Index>(inputs_ * per_input));
  for (std::size_t i = 0; i < inputs_; ++i) {
    for (std::size_t p = 0; p < points_; ++p) {
      const auto row = static_cast<Eigen::Index>(p);
      auto column = static_cast<Eigen::Index>(i * per_input);
      terms_(row, column++) = values[p * inputs_ + i];
      for (const double term : legendre(points[p * inputs_ + i]))
        terms_(row, column++) = term;
    }
    input_of_.insert(input_of_.end(), per_input, i);
  }
  for (Eigen::Index k = 0; k < terms_.cols(); ++k) {
    terms_.col(k).array() -= terms_.col(k).mean();
    const double length = terms_.col(k).norm();
    if (length > 0)
      terms_.col(k) /= length;
  }
  gram_ = terms_.transpose() * terms_;
}

std::vector<double> VarianceShares::operator()(const std::vector<double>& y) const {
  std::vector<double> shares(inputs_, 0.0);
  Eigen::VectorXd centred = Eigen::Map<const Eigen::VectorXd>(y.data(), static_cast<Eigen::Index>(y.size()));
  const double greatest = centred.cwiseAbs().maxCoeff();
  centred.array() -= centred.mean();
  const double total = centred.squaredNorm();
  constexpr double no_spread = 1e-12; // of the value itself: round-off
  if (!(std::sqrt(total / static_cast<double>(points_)) > no_spread * greatest) || terms_.cols() == 0)
    return shares;

  const Eigen::VectorXd with_y = terms_.transpose() * centred;
  const auto n = static_cast<double>(points_);
  const double worth = math::log(n) + 2.0 * math::log(static_cast<double>(terms_.cols()));
  std::vector<Eigen::Index> chosen;
  Eigen::VectorXd weights, of_rest = with_y;
  double rest = total;
  while (chosen.size() < std::min(most_terms, points_ / 4)) {
    Eigen::Index next = 0;
    of_rest.cwiseAbs().maxCoeff(&next);
    if (std::find(chosen.begin(), chosen.end(), next) != chosen.end())
      break;
    chosen.push_back(next);
    const auto k = static_cast<Eigen::Index>(chosen.size());
    Eigen::MatrixXd among(k, k);
    Eigen::VectorXd right(k);
    for (Eigen::Index a = 0; a < k; ++a) {
      right(a) = with_y(chosen[static_cast<std::size_t>(a)]);
      for (Eigen::Index b = 0; b < k; ++b)
        among(a, b) = gram_(chosen[static_cast<std::size_t>(a)], chosen[static_cast<std::size_t>(b)]);
    }
    const Eigen::VectorXd tried = among.ldlt().solve(right);
    const double left = total - tried.dot(right);
    // the input itself and its polynomials are nearly the same for a uniform input
    const bool sound = tried.allFinite() && left < rest && left > -1e-9 * total;
    if (!sound || n * math::log(rest / std::max(left, 1e-12 * total)) < worth) {
      chosen.pop_back();
      break;
    }
    weights = tried;
    rest = std::max(left, 0.0);
    of_rest = with_y;
    for (Eigen::Index a = 0; a < k; ++a)
      of_rest -= tried(a) * gram_.col(chosen[static_cast<std::size_t>(a)]);
    if (rest < 1e-10 * total)
      break;
  }
  for (std::size_t a = 0; a < chosen.size(); ++a)
    shares[input_of_[static_cast<std::size_t>(chosen[a])]] +=
        weights(static_cast<Eigen::Index>(a)) * with_y(chosen[a]) / total;

  // a term may carry a share below nothing where the sample's inputs are not quite independent
  double sum = 0;
  for (double& share : shares)
    sum += share = std::max(share, 0.0);
  const double explained = std::clamp(1.0 - rest / total, 0.0, 1.0);
  if (sum > explained)
    for (double& share : shares)
      share *= explained / sum;
  return shares;
}

std::vector<double> ranks(const std::vector<double>& y) {
  const auto key = [&](std::size_t i) { return std::isnan(y[i]) ? HUGE_VAL : y[i]; };
  std::vector<std::size_t> order(y.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return key(a) < key(b); });
  std::vector<double> out(y.size());
  for (std::size_t from = 0; from < order.size();) {
    std::size_t to = from + 1;
    while (to < order.size() && key(order[to]) == key(order[from]))
      ++to;
    const double rank =
        0.5 * static_cast<double>(from + to) / static_cast<double>(y.size()); // the middle of equal values
    for (; from < to; ++from)
      out[order[from]] = rank;
  }
  return out;
}

} // namespace tq::answers
