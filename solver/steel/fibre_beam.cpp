#include "steel/fibre_beam.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

namespace tq::steel {

namespace {

/// Answer of one fibre to a strain beyond its free and inelastic one.
struct Answer {
  double stress, tangent, energy, slip; ///< slip: plastic strain of this step, with sign
};

Answer answer_to(double strain, const FibreStep& f, double slipped) {
  const double compliance = 1 / f.modulus_Pa + f.plasticity_per_Pa;
  const double hard = FibreBeam::hardening * f.modulus_Pa;
  const double yield = f.yield_Pa + hard * slipped;
  const double size = std::abs(strain), sign = strain < 0 ? -1 : 1;
  const double at_yield = yield * compliance;
  if (size <= at_yield)
    return {strain / compliance, 1 / compliance, 0.5 * strain * strain / compliance, 0};
  const double slip = (size - at_yield) / (1 + hard * compliance);
  const double stress = yield + hard * slip;
  return {sign * stress, hard / (1 + hard * compliance),
          0.5 * yield * at_yield + 0.5 * (yield + stress) * (size - at_yield), sign * slip};
}

} // namespace

FibreBeam::FibreBeam(std::vector<double> x, std::vector<double> y, std::vector<double> area)
    : n_(area.size()), x_(std::move(x)), y_(std::move(y)), share_(std::move(area)) {
  if (n_ == 0 || x_.size() != n_ || y_.size() != n_)
    throw std::invalid_argument("a beam needs as many places as areas, at least one");
  double whole = 0;
  for (const double a : share_)
    whole += a;
  for (std::size_t k = 0; k < n_; ++k) {
    share_[k] /= whole;
    centroid_x_ += share_[k] * x_[k];
    centroid_y_ += share_[k] * y_[k];
  }
  const auto centre = [&](std::vector<double>& at, double centroid) {
    double square = 0;
    for (std::size_t k = 0; k < n_; ++k) {
      at[k] -= centroid;
      square += share_[k] * at[k] * at[k];
    }
    const double arm = square > 0 ? std::sqrt(square) : 1;
    for (double& a : at)
      a /= arm;
    return arm;
  };
  arm_x_ = centre(x_, centroid_x_);
  arm_y_ = centre(y_, centroid_y_);
  inelastic_.assign(n_, 0);
  slipped_ = stress_ = reference_ = inelastic_;
}

void FibreBeam::start(const std::vector<FibreStep>& fibres) {
  for (std::size_t k = 0; k < n_; ++k)
    reference_[k] = fibres.at(k).free_strain;
}

FibreBeam::Balance FibreBeam::balance(const std::vector<FibreStep>& fibres, const Vector& u) const {
  Balance b;
  for (std::size_t k = 0; k < n_; ++k) {
    const Vector arm = {1, x_[k], y_[k]};
    const double strain =
        u[0] + u[1] * x_[k] + u[2] * y_[k] - (fibres[k].free_strain - reference_[k]) - inelastic_[k];
    const Answer a = answer_to(strain, fibres[k], slipped_[k]);
    b.energy += share_[k] * a.energy;
    for (std::size_t i = 0; i < 3; ++i) {
      b.residual[i] += share_[k] * a.stress * arm[i];
      for (std::size_t j = 0; j <= i; ++j)
        b.tangent[i][j] += share_[k] * a.tangent * arm[i] * arm[j];
    }
  }
  for (std::size_t i = 0; i < 3; ++i)
    for (std::size_t j = i + 1; j < 3; ++j)
      b.tangent[i][j] = b.tangent[j][i];
  return b;
}

void FibreBeam::step(const std::vector<FibreStep>& fibres) {
  if (fibres.size() != n_)
    throw std::invalid_argument("a step needs one entry for each fibre");
  constexpr int most = 200;
  Vector u = u_;
  Balance now = balance(fibres, u);
  const auto off = [](const Balance& b) {
    return std::max({std::abs(b.residual[0]), std::abs(b.residual[1]), std::abs(b.residual[2])});
  };
  for (int iteration = 0; !(off(now) <= balance_Pa); ++iteration) {
    if (iteration == most || !std::isfinite(now.energy))
      throw BeamError("no balance of the stresses in the section was found");
    Eigen::Matrix3d tangent;
    Eigen::Vector3d residual;
    for (int i = 0; i < 3; ++i) {
      residual[i] = now.residual[static_cast<std::size_t>(i)];
      for (int j = 0; j < 3; ++j)
        tangent(i, j) = now.tangent[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
    }
    // a direction without arms (all fibres in one plane) has nothing to balance
    for (int i = 1; i < 3; ++i)
      if (tangent(i, i) <= 0)
        tangent(i, i) = 1;
    const Eigen::Vector3d move = -tangent.ldlt().solve(residual);
    const double slope = move.dot(residual);
    double length = 1;
    for (int halving = 0;; ++halving) {
      Vector trial = u;
      for (std::size_t i = 0; i < 3; ++i)
        trial[i] += length * move[static_cast<Eigen::Index>(i)];
      const Balance there = balance(fibres, trial);
      constexpr double enough = 1e-4; // Armijo's rule
      if (there.energy <= now.energy + enough * length * slope || off(there) <= balance_Pa || halving == 30) {
        u = trial;
        now = there;
        break;
      }
      length /= 2;
    }
  }
  u_ = u;
  for (std::size_t k = 0; k < n_; ++k) {
    const double strain =
        u[0] + u[1] * x_[k] + u[2] * y_[k] - (fibres[k].free_strain - reference_[k]) - inelastic_[k];
    const Answer a = answer_to(strain, fibres[k], slipped_[k]);
    stress_[k] = a.stress;
    inelastic_[k] += fibres[k].plasticity_per_Pa * a.stress + a.slip;
    slipped_[k] += std::abs(a.slip);
  }
  strain_ = {u[0], u[1] / arm_x_, u[2] / arm_y_};
}

} // namespace tq::steel
