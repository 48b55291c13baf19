// A long free bar as a bundle of fibres: its cross-section stays plane, no force and no moment acts on it
// from outside, every fibre expands, transforms, stretches and yields on its own.
#pragma once

#include <array>
#include <cstddef>
#include <stdexcept>
#include <vector>

namespace tq::steel {

/// The balance of the section was not found.
class BeamError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// What a fibre is like at the end of a step.
struct FibreStep {
  double free_strain = 0; ///< without stress
  double modulus_Pa = 0, yield_Pa = 0;
  /// Strain per stress [1/Pa] that what transforms in this step leaves (transformation plasticity).
  double plasticity_per_Pa = 0;
};

/// Strain of the section: axial + per_x (x - centroid) + per_y (y - centroid). Curvatures in 1/m.
struct SectionStrain {
  double axial = 0, per_x = 0, per_y = 0;
};

/// The uniaxial incremental problem of each step: strain = free + elastic + plastic + transformation-plastic,
/// with linear isotropic hardening of `hardening` times the modulus. Its energy is convex, so Newton with
/// line search finds the only balance; force and both moments are balanced to 10 Pa of mean stress.
class FibreBeam {
 public:
  static constexpr double hardening = 1e-3; ///< of Young's modulus; keeps the tangent regular, no more
  static constexpr double balance_Pa = 10;

  /// Fibres at (x, y) [m] of area [m2], free of stress and of inelastic strain. Throws std::invalid_argument
  /// when the lists differ in length or there is no fibre.
  FibreBeam(std::vector<double> x, std::vector<double> y, std::vector<double> area);

  /// Takes the present free strains as those at which the bar is straight and free of stress.
  void start(const std::vector<FibreStep>& fibres);
  /// One step; throws BeamError when no balance is found (a figure that is no number).
  void step(const std::vector<FibreStep>& fibres);

  const SectionStrain& strain() const { return strain_; }
  /// Stress of each fibre [Pa], tension positive.
  const std::vector<double>& stress() const { return stress_; }

 private:
  using Vector = std::array<double, 3>;
  struct Balance {
    double energy = 0;
    Vector residual{}; ///< force and moments over area and arms: stresses [Pa]
    std::array<Vector, 3> tangent{};
  };
  Balance balance(const std::vector<FibreStep>& fibres, const Vector& u) const;

  std::size_t n_;
  std::vector<double> x_, y_, share_; ///< arms over their root mean square; area over the whole
  double centroid_x_ = 0, centroid_y_ = 0, arm_x_ = 1, arm_y_ = 1;
  std::vector<double> inelastic_, slipped_, stress_, reference_;
  Vector u_{};
  SectionStrain strain_;
};

} // namespace tq::steel
