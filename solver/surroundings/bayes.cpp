#include "surroundings/bayes.hpp"

#include "units/math.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>
#include <limits>

namespace tq::surroundings {

namespace {

constexpr double difference = 0.03; // of one unknown, in its own standard deviation
constexpr double small_gain = 0.05; // of the cost, at which the search ends
constexpr double infinite = std::numeric_limits<double>::infinity();

double cost_of(const Eigen::VectorXd& z, const Eigen::VectorXd& r) {
  return 0.5 * (z.squaredNorm() + r.squaredNorm());
}

void differentiate(const Residuals& residuals, MostProbable& at) {
  const Eigen::Index n = at.z.size();
  at.jacobian.resize(at.residuals.size(), n);
  Eigen::VectorXd z = at.z, r;
  for (Eigen::Index j = 0; j < n; ++j) {
    double step = difference;
    z[j] = at.z[j] + step;
    if (!residuals(z, r)) {
      step = -difference;
      z[j] = at.z[j] + step;
      if (!residuals(z, r))
        r = at.residuals;
    }
    at.jacobian.col(j) = (r - at.residuals) / step;
    z[j] = at.z[j];
  }
}

} // namespace

MostProbable most_probable(const Residuals& residuals, Eigen::VectorXd start, int most_iterations) {
  MostProbable at;
  at.z = std::move(start);
  if (!residuals(at.z, at.residuals)) {
    at.cost = infinite; // nothing is known there, not even a slope
    at.log_evidence = -infinite;
    return at;
  }
  at.cost = cost_of(at.z, at.residuals);
  const Eigen::Index n = at.z.size();
  double damping = 1e-2;
  Eigen::VectorXd r;
  Eigen::MatrixXd normal;
  int small_gains = 0; // one may be luck of the damping, two in a row are the end
  for (; at.iterations < most_iterations && small_gains < 2; ++at.iterations) {
    differentiate(residuals, at);
    normal = at.jacobian.transpose() * at.jacobian + Eigen::MatrixXd::Identity(n, n);
    const Eigen::VectorXd gradient = at.jacobian.transpose() * at.residuals + at.z;
    bool better = false;
    for (int trial = 0; trial < 8 && !better; ++trial) {
      Eigen::MatrixXd damped = normal;
      damped.diagonal() *= 1.0 + damping;
      const Eigen::VectorXd z = at.z - damped.ldlt().solve(gradient);
      const double cost = residuals(z, r) ? cost_of(z, r) : infinite;
      better = cost < at.cost;
      if (better) {
        small_gains = at.cost - cost < small_gain ? small_gains + 1 : 0;
        at.z = z;
        at.residuals = r;
        at.cost = cost;
        damping = std::max(damping * 0.2, 1e-6);
      } else {
        damping = std::max(damping, 1e-4) * 5.0;
      }
    }
    if (!better)
      break;
  }
  differentiate(residuals, at);
  normal = at.jacobian.transpose() * at.jacobian + Eigen::MatrixXd::Identity(n, n);
  const Eigen::VectorXd pivots = normal.ldlt().vectorD();
  at.log_evidence = -at.cost - 0.5 * pivots.array().log().sum();
  return at;
}

Sample sample_posterior(const Residuals& residuals, const MostProbable& at, std::size_t steps,
                        std::size_t keep, std::uint64_t seed) {
  const Eigen::Index n = at.z.size();
  const Eigen::MatrixXd normal = at.jacobian.transpose() * at.jacobian + Eigen::MatrixXd::Identity(n, n);
  const Eigen::LLT<Eigen::MatrixXd> factor(normal); // precision = L L^T
  NormalNumbers normal_number(seed);
  const double sizes[] = {0.06, 0.15, 0.3, 0.6};

  // y = L^T (z - middle) is standard normal under the reference.
  const auto z_of = [&](const Eigen::VectorXd& y) {
    return Eigen::VectorXd(at.z + factor.matrixU().solve(y));
  };
  Eigen::VectorXd y = Eigen::VectorXd::Zero(n), r;
  double excess = at.cost; // cost less that of the reference, half |y|^2
  Sample out;
  std::size_t accepted = 0;
  const std::size_t warm_up = steps / 10;
  for (std::size_t step = 0; step < steps; ++step) {
    const double size = sizes[static_cast<std::size_t>(4.0 * normal_number.uniform())];
    Eigen::VectorXd y_new = std::sqrt(1.0 - size * size) * y;
    for (Eigen::Index i = 0; i < n; ++i)
      y_new[i] += size * normal_number();
    const Eigen::VectorXd z = z_of(y_new);
    const double excess_new = residuals(z, r) ? cost_of(z, r) - 0.5 * y_new.squaredNorm() : infinite;
    if (math::log(normal_number.uniform()) < excess - excess_new) {
      y = y_new;
      excess = excess_new;
      ++accepted;
    }
    if (step >= warm_up && (step - warm_up) * keep / (steps - warm_up) >= out.z.size())
      out.z.push_back(z_of(y));
  }
  out.acceptance = static_cast<double>(accepted) / static_cast<double>(steps);
  return out;
}

Sample sample_gaussian(const MostProbable& at, std::size_t keep, std::uint64_t seed) {
  const Eigen::Index n = at.z.size();
  const Eigen::LLT<Eigen::MatrixXd> factor(at.jacobian.transpose() * at.jacobian +
                                           Eigen::MatrixXd::Identity(n, n));
  NormalNumbers normal_number(seed);
  Eigen::VectorXd y(n);
  Sample out;
  for (std::size_t k = 0; k < keep; ++k) {
    for (Eigen::Index i = 0; i < n; ++i)
      y[i] = normal_number();
    out.z.push_back(at.z + factor.matrixU().solve(y));
  }
  out.acceptance = 1;
  return out;
}

} // namespace tq::surroundings
