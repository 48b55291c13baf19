// Closed-form solutions of heat conduction against which the solver is judged. SI units; each names its
// source. CJ = Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed., 1959; ID = Incropera & DeWitt,
// Fundamentals of Heat and Mass Transfer; KAW = Kraus, Aziz & Welty, Extended Surface Heat Transfer, 2001; BK
// = Bejan & Kraus, Heat Transfer Handbook, 2003.
#pragma once

#include <cmath>
#include <numbers>
#include <vector>

namespace tq::verification {

inline constexpr double sigma = 5.670374e-8; ///< Stefan-Boltzmann [W/m2K4]

/// Root of a function that changes sign between a and b.
template <class F>
double bisect(F f, double a, double b) {
  const bool rising = f(b) > 0;
  for (int n = 0; n < 200 && b - a > 4e-16 * (std::abs(a) + std::abs(b)); ++n) {
    const double m = 0.5 * (a + b);
    ((f(m) > 0) == rising ? b : a) = m;
  }
  return 0.5 * (a + b);
}

/// Plane wall of half thickness L, convection h on both faces: theta = (T - T_inf) / (T_0 - T_inf).
/// ID eqs 5.39 and following; CJ section 3.11.
class PlaneWall {
 public:
  explicit PlaneWall(double biot, int terms = 400) {
    for (int n = 0; n < terms; ++n) {
      const double from = n * std::numbers::pi, to = from + 0.5 * std::numbers::pi;
      root_.push_back(bisect([&](double z) { return z * std::sin(z) - biot * std::cos(z); }, from, to));
      // z sin z - Bi cos z has the sign of (-1)^n at the right end; bisect() takes either sense
      const double z = root_.back();
      factor_.push_back(4 * std::sin(z) / (2 * z + std::sin(2 * z)));
    }
  }
  double root(int n) const { return root_[static_cast<std::size_t>(n)]; }
  double factor(int n) const { return factor_[static_cast<std::size_t>(n)]; }
  /// At x / L from the centre plane.
  double theta(double fourier, double x_over_L) const {
    double sum = 0;
    for (std::size_t n = 0; n < root_.size(); ++n)
      sum += factor_[n] * std::exp(-root_[n] * root_[n] * fourier) * std::cos(root_[n] * x_over_L);
    return sum;
  }
  double mean(double fourier) const {
    double sum = 0;
    for (std::size_t n = 0; n < root_.size(); ++n)
      sum += factor_[n] * std::exp(-root_[n] * root_[n] * fourier) * std::sin(root_[n]) / root_[n];
    return sum;
  }

 private:
  std::vector<double> root_, factor_;
};

/// Slab 0..W with different convection on its faces, B = h W / k. CJ section 3.11: the roots of
/// (z^2 - B1 B2) tan z = z (B1 + B2).
class UnevenSlab {
 public:
  UnevenSlab(double b1, double b2, int terms = 200) : b1_(b1) {
    for (int n = 0; n < terms; ++n) {
      const auto f = [&](double z) { return (z * z - b1 * b2) * std::sin(z) - z * (b1 + b2) * std::cos(z); };
      const double z = bisect(f, n * std::numbers::pi + (n == 0 ? 1e-9 : 0.0), (n + 1) * std::numbers::pi);
      root_.push_back(z);
      // X = cos z s + (B1 / z) sin z s over s = 0..1: mean of X over mean of X^2
      const double q = b1 / z, s = std::sin(z), c = std::cos(z);
      const double mean = s / z + q * (1 - c) / z;
      const double square = 0.5 * (1 + s * c / z) + q * s * s / z + 0.5 * q * q * (1 - s * c / z);
      factor_.push_back(mean / square);
    }
  }
  double theta(double fourier, double s) const {
    double sum = 0;
    for (std::size_t n = 0; n < root_.size(); ++n) {
      const double z = root_[n];
      sum += factor_[n] * std::exp(-z * z * fourier) * (std::cos(z * s) + b1_ / z * std::sin(z * s));
    }
    return sum;
  }

 private:
  double b1_;
  std::vector<double> root_, factor_;
};

/// Semi-infinite solid with convection: (T - T_inf) / (T_0 - T_inf) at xi = x / (2 sqrt(alpha t)) and
/// H = h sqrt(alpha t) / k. ID eq. 5.63 (case 3); CJ section 2.7.
inline double half_space(double xi, double H) {
  return 1 - std::erfc(xi) + std::exp(H * (2 * xi + H)) * std::erfc(xi + H);
}

/// Wedge of angle `theta0` [rad], uniform 1 at first, both faces held at 0 from then on: value on the
/// bisector at z = r^2 / (4 alpha t). CJ section 14.14, in similarity form with Kummer's function.
inline double wedge_bisector(double theta0, double z) {
  double sum = 0;
  for (int n = 1; n < 200; n += 2) {
    const double nu = n * std::numbers::pi / theta0;
    // M = exp(-z) 1F1(nu/2 + 1; nu + 1; z) with positive terms (Kummer's transformation)
    double term = 1, kummer = 1;
    for (int k = 0; k < 20000 && term > 1e-18 * kummer; ++k) {
      term *= (0.5 * nu + 1 + k) / (nu + 1 + k) * z / (k + 1);
      kummer += term;
    }
    const double log_rest = std::log(nu) + std::lgamma(0.5 * nu) - std::log(2.0) - std::lgamma(nu + 1) +
                            0.5 * nu * std::log(z) - z + std::log(kummer);
    const double part = 4 / (n * std::numbers::pi) * std::exp(log_rest);
    sum += (n % 4 == 1 ? 1 : -1) * part; // sin(n pi / 2)
    if (part < 1e-16)
      break;
  }
  return sum;
}

/// Fin of trapezoidal profile, thickness from `base` to `tip` over `length`, insulated tip: excess
/// temperature over that of the base. KAW, longitudinal fin of trapezoidal profile (modified Bessel
/// functions).
class TrapezoidFin {
 public:
  TrapezoidFin(double conductivity, double h, double base, double tip, double length)
      : k_(conductivity), base_(base), length_(length), slope_((base - tip) / length),
        m_(2 * h / (conductivity * slope_)), tip_at_(tip / slope_) {
    const double ut = u(tip_at_), ub = u(tip_at_ + length);
    a_ = std::cyl_bessel_k(1.0, ut);
    b_ = std::cyl_bessel_i(1.0, ut);
    scale_ = 1 / (a_ * std::cyl_bessel_i(0.0, ub) + b_ * std::cyl_bessel_k(0.0, ub));
  }
  /// At a distance from the tip.
  double theta(double from_tip) const {
    const double v = u(tip_at_ + from_tip);
    return scale_ * (a_ * std::cyl_bessel_i(0.0, v) + b_ * std::cyl_bessel_k(0.0, v));
  }
  /// Heat through the base per unit of length and of base excess temperature [W/mK].
  double heat() const {
    const double xi = tip_at_ + length_, v = u(xi);
    const double slope =
        scale_ * std::sqrt(m_ / xi) * (a_ * std::cyl_bessel_i(1.0, v) - b_ * std::cyl_bessel_k(1.0, v));
    return k_ * base_ * slope;
  }

 private:
  double u(double xi) const { return 2 * std::sqrt(m_ * xi); }
  double k_, base_, length_, slope_, m_, tip_at_, a_, b_, scale_;
};

/// Time in which a thin body reaches T from T0 by radiation alone, T_s all round; kelvin; `capacity` [J/m2K]
/// per exposed area. BK eq. 3.283; ID eq. 5.18.
inline double radiation_time(double capacity, double emissivity, double Ts, double T0, double T) {
  const auto f = [&](double x) { return std::log(std::abs((Ts + x) / (Ts - x))) + 2 * std::atan(x / Ts); };
  return capacity / (4 * emissivity * sigma * Ts * Ts * Ts) * (f(T) - f(T0));
}

/// Two bodies of capacities C1, C2 [J/K] joined by a conductance [W/K]; temperatures of both. BK
/// eqs 3.287-3.288.
struct TwoBodies {
  double first, second;
};
inline TwoBodies two_bodies(double C1, double T1, double C2, double T2, double conductance, double t) {
  const double final_T = (C1 * T1 + C2 * T2) / (C1 + C2);
  const double decay = std::exp(-conductance * t * (1 / C1 + 1 / C2));
  return {final_T + (T1 - final_T) * decay, final_T + (T2 - final_T) * decay};
}

/// A thin body behind one shield: C_f dT_f/dt = U_o (T_inf - T_f) - U_g (T_f - T_b), C_b dT_b/dt = U_g (T_f -
/// T_b), both at T0 at first. Eigenvalues of the 2 x 2 system.
inline TwoBodies behind_shield(double Cf, double Cb, double Uo, double Ug, double T0, double Tinf, double t) {
  const double a = -(Uo + Ug) / Cf, b = Ug / Cf, c = Ug / Cb, d = -Ug / Cb;
  const double half = 0.5 * (a + d), root = std::sqrt(0.25 * (a - d) * (a - d) + b * c);
  const double l1 = half + root, l2 = half - root;
  // v = (T - Tinf): eigenvectors (b, l - a)
  const double v = T0 - Tinf;
  const double p1 = v / b * (b - (l2 - a)) / (l1 - l2), p2 = v / b - p1;
  const double e1 = p1 * std::exp(l1 * t), e2 = p2 * std::exp(l2 * t);
  return {Tinf + b * (e1 + e2), Tinf + (l1 - a) * e1 + (l2 - a) * e2};
}

/// The same in surroundings that rise steadily from T0: Duhamel's integral of the step.
inline TwoBodies behind_shield_ramp(double Cf, double Cb, double Uo, double Ug, double T0, double rate,
                                    double t) {
  const double a = -(Uo + Ug) / Cf, b = Ug / Cf, c = Ug / Cb, d = -Ug / Cb;
  const double half = 0.5 * (a + d), root = std::sqrt(0.25 * (a - d) * (a - d) + b * c);
  const double l1 = half + root, l2 = half - root;
  const double p1 = (b - (l2 - a)) / b / (l1 - l2), p2 = 1 / b - p1; // of a unit step
  const double i1 = p1 * std::expm1(l1 * t) / l1, i2 = p2 * std::expm1(l2 * t) / l2;
  return {T0 + rate * (t - b * (i1 + i2)), T0 + rate * (t - (l1 - a) * i1 - (l2 - a) * i2)};
}

/// Thin body of time constant tau in surroundings that rise steadily from its own temperature T0. ID
/// section 5.3.
inline double ramp_follow(double T0, double rate, double tau, double t) {
  return T0 + rate * (t - tau * (1 - std::exp(-t / tau)));
}

} // namespace tq::verification
