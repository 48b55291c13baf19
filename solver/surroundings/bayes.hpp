// Inverse problems whose unknowns are standard normal beforehand and whose residuals are in units of their
// standard deviation: the most probable point, the evidence, and a sample of what the data leave open.
#pragma once

#include "units/math.hpp"

#include <Eigen/Core>

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <random>
#include <vector>

namespace tq::surroundings {

/// Standard normal numbers, the same on every platform (std::normal_distribution is not): Box & Muller 1958,
/// Ann. Math. Stat. 29, 610.
class NormalNumbers {
 public:
  explicit NormalNumbers(std::uint64_t seed) : bits_(seed) {}
  double uniform() { return (static_cast<double>(bits_() >> 11) + 0.5) * 0x1p-53; }
  double operator()() {
    const double radius = std::sqrt(-2.0 * math::log(uniform()));
    return radius * math::cos(6.283185307179586 * uniform());
  }

 private:
  std::mt19937_64 bits_;
};

/// Residuals (model less data, over the standard deviation) at the unknowns z; false where the model cannot
/// be computed, which counts as impossible.
using Residuals = std::function<bool(const Eigen::VectorXd& z, Eigen::VectorXd& r)>;

/// Gaussian about the most probable point (Laplace).
struct MostProbable {
  Eigen::VectorXd z;
  Eigen::VectorXd residuals;
  Eigen::MatrixXd jacobian;
  double cost = 0;         ///< half of |z|^2 + |r|^2
  double log_evidence = 0; ///< of the data, up to what does not depend on the prior
  int iterations = 0;
};

/// Levenberg-Marquardt from `start`, Jacobian by forward differences. Where the model cannot be computed at
/// the start itself: cost infinite, evidence minus infinity, no Jacobian.
MostProbable most_probable(const Residuals& residuals, Eigen::VectorXd start, int most_iterations = 40);

struct Sample {
  std::vector<Eigen::VectorXd> z;
  double acceptance = 0;
};

/// Sample of the posterior: preconditioned Crank-Nicolson steps of several sizes, with the Gaussian about the
/// most probable point as reference (Cotter, Roberts, Stuart & White 2013, Stat. Sci. 28, 424; the reference
/// as in Pinski, Simpson, Stuart & Weber 2015, SIAM J. Sci. Comput. 37, A2733). Same seed, same sample.
Sample sample_posterior(const Residuals& residuals, const MostProbable& at, std::size_t steps,
                        std::size_t keep, std::uint64_t seed);

/// Sample of the Gaussian about the most probable point, for nearly linear problems.
Sample sample_gaussian(const MostProbable& at, std::size_t keep, std::uint64_t seed);

} // namespace tq::surroundings
