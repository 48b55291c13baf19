#include "steel/transformation.hpp"

#include "units/temperature.hpp"

#include <boost/math/quadrature/gauss.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace tq::steel {

namespace {

using records::Composition;
using records::SteelRecord;

constexpr double eutectoid_T = 727.0;     // Fe-C eutectoid temperature of the A_cm fit [degC]
constexpr double eutectoid_C = 0.7615;    // Fe-C eutectoid carbon of the A_cm fit [wt%]
constexpr double cementite_carbon = 6.69; // carbon of Fe3C [wt%]

constexpr double from_fahrenheit(double F) { return (F - 32.0) * 5.0 / 9.0; }

double cubed(double x) { return x * x * x; }

// Li et al. 1998: Q = 27 500 cal/mol for pearlite and bainite.
constexpr double li_activation_K = 27500.0 * 4.184 / gas_constant_J_molK;
constexpr double li_pearlite_carbon = 4.12, li_bainite_carbon = 10.18; // carbon terms of ln F
constexpr double li_pearlite_grain = 0.32, li_bainite_grain = 0.29;    // n1: rate ~ 2^(n1 G)

// Integral of li's rate law from 0 to X <= 0.5. With X = w^5 the end singularity X^-0.4 is gone; what is left
// (w^5 ln w) is smooth enough for Gauss-Legendre panels to reach 1e-13.
double li_progress_lower_half(double X) {
  constexpr int panels = 6;
  const auto integrand = [](double w) {
    const double x = w * w * w * w * w;
    return w > 0.0 ? 5.0 * w * w * std::exp(0.4 * x * (std::log(x) - std::log1p(-x))) : 0.0;
  };
  const double w_end = std::pow(X, 0.2);
  double sum = 0.0;
  for (int k = 0; k < panels; ++k)
    sum += boost::math::quadrature::gauss<double, 20>::integrate(integrand, w_end * k / panels,
                                                                 w_end * (k + 1) / panels);
  return sum;
}

double li_rate_law(double X) {
  if (X <= 0.0 || X >= 1.0)
    return 0.0;
  return std::exp(0.4 * ((1.0 - X) * std::log(X) + X * std::log1p(-X)));
}

// The inverse X(sigma) on the lower half, 0 <= sigma <= S(0.5), as X = sigma^(5/3) g(sigma): g is smooth down
// to sigma = 0, where X itself is not. g is held by cubic Hermite pieces with exact slopes. The upper half
// follows from the symmetry S(X) + S(1-X) = S(1).
class LiInverse {
 public:
  LiInverse() : half_(li_progress_lower_half(0.5)), step_(half_ / pieces) {
    const double g0 = std::pow(0.6, 5.0 / 3.0); // X -> (0.6 sigma)^(5/3) as sigma -> 0
    g_[0] = g0;
    slope_[0] = 0.0;
    double X = 0.0;
    for (std::size_t i = 1; i <= pieces; ++i) {
      const double sigma = step_ * static_cast<double>(i);
      X = i == 1 ? g0 * std::pow(sigma, 5.0 / 3.0) : X + step_ * li_rate_law(X);
      for (int newton = 0; newton < 8; ++newton) {
        const double change = (li_progress_lower_half(X) - sigma) * li_rate_law(X);
        X -= change;
        if (std::abs(change) < 1e-15)
          break;
      }
      const double power = std::pow(sigma, 5.0 / 3.0);
      g_[i] = X / power;
      slope_[i] = li_rate_law(X) / power - 5.0 / 3.0 * g_[i] / sigma;
    }
  }

  double total() const { return 2.0 * half_; }

  double fraction(double sigma) const {
    if (sigma <= 0.0)
      return 0.0;
    if (sigma >= total())
      return 1.0;
    return sigma <= half_ ? lower(sigma).X : 1.0 - lower(total() - sigma).X;
  }

  double slope(double sigma) const {
    if (sigma <= 0.0 || sigma >= total())
      return 0.0;
    return lower(sigma <= half_ ? sigma : total() - sigma).dX;
  }

 private:
  struct Point {
    double X, dX;
  };

  Point lower(double sigma) const {
    const auto i = std::min(static_cast<std::size_t>(sigma / step_), pieces - 1);
    const double t = sigma / step_ - static_cast<double>(i);
    const double rise = g_[i + 1] - g_[i];
    const double a = step_ * slope_[i] - rise, b = rise - step_ * slope_[i + 1];
    const double g = g_[i] + t * rise + t * (1.0 - t) * ((1.0 - t) * a + t * b);
    const double dg = (rise + (1.0 - 2.0 * t) * ((1.0 - t) * a + t * b) + t * (1.0 - t) * (b - a)) / step_;
    const double two_thirds = std::cbrt(sigma * sigma);
    return {sigma * two_thirds * g, two_thirds * (5.0 / 3.0 * g + sigma * dg)};
  }

  static constexpr std::size_t pieces = 256;
  double half_, step_;
  std::array<double, pieces + 1> g_{}, slope_{};
};

const LiInverse& li_inverse() {
  static const LiInverse inverse;
  return inverse;
}

} // namespace

double ac1_andrews(const Composition& wt) {
  return 723.0 - 10.7 * wt.Mn - 16.9 * wt.Ni + 29.1 * wt.Si + 16.9 * wt.Cr + 6.38 * wt.W;
}

double ae1_grange(const Composition& wt) {
  return from_fahrenheit(1333.0 - 25.0 * wt.Mn + 40.0 * wt.Si - 26.0 * wt.Ni + 42.0 * wt.Cr);
}

double ac1(const SteelRecord& steel) {
  return steel.austenitising.ac1_degC.value_or(ac1_andrews(steel.composition));
}

double bainite_start_li(const Composition& wt, double carbon_wt) {
  return 637.0 - 58.0 * carbon_wt - 35.0 * wt.Mn - 15.0 * wt.Ni - 34.0 * wt.Cr - 41.0 * wt.Mo;
}

double carbon_on_acm(double T) {
  // Fit to the line computed from the SGTE description of Fe-C, Gustafson 1985, Scand. J. Metall. 14, 259
  // (parameters partly from memory); largest error of the fit 0.0003 %C from 727 to 1000 degC.
  const double x = std::max(T - eutectoid_T, 0.0) / 100.0;
  return 0.76149 + 0.24531 * x + 0.01388 * x * x;
}

double eutectoid_carbon(const Composition& wt) {
  // Slopes from memory of Bain's eutectoid-shift curves (+-0.03 %C); an engineering model without a source.
  return 0.76 - 0.075 * wt.Mn - 0.08 * wt.Cr - 0.035 * wt.Ni - 0.04 * wt.W;
}

double born_carbon(const SteelRecord& steel) {
  return std::min(steel.composition.C, eutectoid_carbon(steel.composition));
}

double saturation_carbon(const SteelRecord& steel, double T) {
  const double as_in_iron_carbon = T - (ae1_grange(steel.composition) - eutectoid_T);
  const double on_line = eutectoid_carbon(steel.composition) + carbon_on_acm(as_in_iron_carbon) - eutectoid_C;
  return std::max(std::min(steel.composition.C, on_line), born_carbon(steel));
}

double undissolved_cementite(const SteelRecord& steel, double carbon_wt) {
  const double excess = steel.composition.C - carbon_wt;
  return excess > 0.0 ? excess / (cementite_carbon - carbon_wt) : 0.0;
}

double austenite_rate(const SteelRecord& steel, double T) {
  const records::Austenitising& a = steel.austenitising;
  const double above = T - ac1(steel);
  if (above <= 0.0)
    return 0.0;
  return (std::exp2(above / a.growth_halving_K) - 1.0) /
         ((std::exp2(a.growth_above_K / a.growth_halving_K) - 1.0) * a.growth_time_s);
}

double dissolution_rate(const SteelRecord& steel, records::StartState start, double T) {
  const records::Austenitising& a = steel.austenitising;
  const double time = start == records::StartState::spheroidised ? a.dissolution_time_spheroidised_s
                                                                 : a.dissolution_time_fine_s;
  return std::exp(a.dissolution_energy_J_mol / gas_constant_J_molK *
                  (1.0 / kelvin(a.dissolution_at_degC) - 1.0 / kelvin(T))) /
         time;
}

double ms_van_bohemen(const Composition& wt, double carbon_wt) {
  return 565.0 + 600.0 * std::expm1(-0.96 * carbon_wt) - 31.0 * wt.Mn - 13.0 * wt.Si - 10.0 * wt.Cr -
         18.0 * wt.Ni - 12.0 * wt.Mo;
}

double ms_payson_savage(const Composition& wt, double carbon_wt) {
  return from_fahrenheit(930.0 - 570.0 * carbon_wt - 60.0 * wt.Mn - 50.0 * wt.Cr - 30.0 * wt.Ni -
                         20.0 * (wt.Si + wt.Mo + wt.W));
}

double martensite_start(const SteelRecord& steel, double carbon_wt) {
  return ms_van_bohemen(steel.transformation.matrix, carbon_wt) + steel.transformation.ms_offset_K;
}

double martensite_share(double ms_degC, double T, double alpha_per_K) {
  return T < ms_degC ? -std::expm1(-alpha_per_K * (ms_degC - T)) : 0.0;
}

double li_progress(double X) {
  if (X <= 0.0)
    return 0.0;
  if (X <= 0.5)
    return li_progress_lower_half(X);
  const double total = li_inverse().total();
  return X < 1.0 ? total - li_progress_lower_half(1.0 - X) : total;
}

double li_fraction(double sigma) { return li_inverse().fraction(sigma); }

double li_fraction_slope(double sigma) { return li_inverse().slope(sigma); }

Decomposition::Decomposition(const SteelRecord& steel, double reference_carbon_wt)
    : carbon_(reference_carbon_wt), ae1_(ae1_grange(steel.composition)),
      bs_(bainite_start_li(steel.transformation.matrix, reference_carbon_wt)),
      ms_(martensite_start(steel, reference_carbon_wt)) {
  const records::Transformation& t = steel.transformation;
  const Composition& m = t.matrix;
  const double ln_f_pearlite = -4.25 + li_pearlite_carbon * carbon_ + 4.36 * m.Mn + 0.44 * m.Si +
                               1.71 * m.Ni + 3.33 * m.Cr + 5.19 * std::sqrt(std::max(m.Mo, 0.0));
  const double ln_f_bainite =
      -10.23 + li_bainite_carbon * carbon_ + 0.85 * m.Mn + 0.55 * m.Ni + 0.90 * m.Cr + 0.36 * m.Mo;
  pearlite_scale_ =
      std::exp2(li_pearlite_grain * t.grain_number) * std::exp(-ln_f_pearlite) / t.pearlite_factor;
  bainite_scale_ = std::exp2(li_bainite_grain * t.grain_number) * std::exp(-ln_f_bainite) / t.bainite_factor;
}

double Decomposition::pearlite_rate(double T) const {
  if (T >= ae1_ || T <= ms_)
    return 0.0;
  return pearlite_scale_ * cubed(ae1_ - T) * std::exp(-li_activation_K / kelvin(T));
}

double Decomposition::bainite_rate(double T) const {
  if (T >= bs_ || T <= ms_)
    return 0.0;
  return bainite_scale_ * (bs_ - T) * (bs_ - T) * std::exp(-li_activation_K / kelvin(T));
}

double Decomposition::pearlite_carbon_factor(double carbon_wt) const {
  return std::exp(-li_pearlite_carbon * (carbon_wt - carbon_));
}

double Decomposition::bainite_carbon_factor(double carbon_wt) const {
  return std::exp(-li_bainite_carbon * (carbon_wt - carbon_));
}

} // namespace tq::steel
