#include "steel/formulas.hpp"

#include "units/math.hpp"
#include "units/temperature.hpp"

#include <boost/math/quadrature/gauss.hpp>

#include <algorithm>
#include <cmath>

namespace tq::steel {

namespace {

using records::Composition;

// I(X) for X <= 0.5. With X = w^3 the end singularity X^(-2/3) is gone; what is left (w^3 ln w) is smooth.
double kirkaldy_lower_half(double X) {
  constexpr int panels = 8;
  const auto integrand = [](double w) {
    const double x = w * w * w;
    return w > 0.0 ? 3.0 * math::exp(2.0 / 3.0 * x * (math::log(x) - math::log1p(-x))) : 3.0;
  };
  const double end = math::cbrt(X);
  double sum = 0.0;
  for (int k = 0; k < panels; ++k)
    sum += boost::math::quadrature::gauss<double, 20>::integrate(integrand, end * k / panels,
                                                                 end * (k + 1) / panels);
  return sum;
}

} // namespace

double ms_andrews(const Composition& wt, double carbon_wt, bool with_silicon) {
  return 539.0 - 423.0 * carbon_wt - 30.4 * wt.Mn - 17.7 * wt.Ni - 12.1 * wt.Cr - 7.5 * wt.Mo -
         (with_silicon ? 7.5 * wt.Si : 0.0);
}

double martensite_rate_van_bohemen(const Composition& wt, double carbon_wt) {
  return 1e-3 * (27.2 - (0.14 * wt.Mn + 0.21 * wt.Si + 0.11 * wt.Cr + 0.08 * wt.Ni + 0.05 * wt.Mo) +
                 19.8 * math::expm1(-1.56 * carbon_wt));
}

double carbon_on_a3(double T) {
  const double x = std::max(T - 727.0, 0.0) / 100.0;
  return std::max(0.0, 0.75705 + x * (-0.72000 + x * (0.22872 - 0.03326 * x)));
}

double a3_temperature(double carbon_wt) {
  double low = 727.0, high = 910.0;
  for (int i = 0; i < 50; ++i) {
    const double middle = 0.5 * (low + high);
    (carbon_on_a3(middle) > carbon_wt ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

double kirkaldy_progress(double X) {
  if (X <= 0.0)
    return 0.0;
  const double half = kirkaldy_lower_half(0.5);
  if (X <= 0.5)
    return kirkaldy_lower_half(X);
  return X < 1.0 ? 2.0 * half - kirkaldy_lower_half(1.0 - X) : 2.0 * half;
}

double kirkaldy_pearlite_time(const Composition& wt, double grain_number, double ae1_degC, double T,
                              double X) {
  constexpr double calorie_J = 4.184;
  const double undercooling = ae1_degC - T;
  if (undercooling <= 0.0)
    return INFINITY;
  const double RT = gas_constant_J_molK / calorie_J * kelvin(T); // cal/mol
  const double resistance = math::exp(27500.0 / RT) + (0.01 * wt.Cr + 0.52 * wt.Mo) * math::exp(37000.0 / RT);
  return (1.79 + 5.42 * (wt.Cr + wt.Mo + 4.0 * wt.Mo * wt.Ni)) * kirkaldy_progress(X) * resistance /
         (math::exp2(0.5 * (grain_number - 1.0)) * undercooling * undercooling * undercooling);
}

double martensite_hv_maynier(const Composition& wt, double rate_K_s) {
  return 127.0 + 949.0 * wt.C + 27.0 * wt.Si + 11.0 * wt.Mn + 8.0 * wt.Ni + 16.0 * wt.Cr +
         21.0 * math::log10(3600.0 * rate_K_s);
}

} // namespace tq::steel
