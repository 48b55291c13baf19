#include "steel/diagram.hpp"

#include "steel/transformation.hpp"

#include <algorithm>
#include <cmath>

namespace tq::steel {

namespace {

/// Where a sum over temperatures begins: at Ms, or well above absolute zero, where nothing moves any more.
double bottom(const DecompositionLaw& d) { return std::max(d.ms(), -150.0); }

ReactionTimes times(const DecompositionLaw& d, Product product, double T) {
  const double rate = d.start_rate(product, T);
  if (rate <= 0.0)
    return {INFINITY, INFINITY, INFINITY};
  return {1.0 / rate, d.clock_at(product, 0.5) / rate, d.clock_at(product, 0.99) / rate};
}

/// The rate laws have one maximum between Ms and Ae1; it is searched by halving brackets of its own grid.
template <class Rate>
Nose nose(const DecompositionLaw& d, double top, const Rate& rate) {
  const double lowest = bottom(d);
  double low = lowest, high = top;
  for (int round = 0; round < 6; ++round) {
    constexpr int cells = 20;
    const double step = (high - low) / cells;
    double best = low, best_rate = -1.0;
    for (int i = 0; i <= cells; ++i)
      if (const double r = rate(low + i * step); r > best_rate) {
        best = low + i * step;
        best_rate = r;
      }
    low = std::max(lowest, best - step);
    high = std::min(top, best + step);
  }
  const double T = 0.5 * (low + high), fastest = rate(T);
  return {T, fastest > 0.0 ? 1.0 / fastest : INFINITY};
}

/// Integral of a rate from Ms to the temperature above which it does not run [K/s of clock].
template <class Rate>
double whole_range(double from, double to, const Rate& rate) {
  if (to <= from)
    return 0.0;
  const int cells = std::max(1, static_cast<int>(std::ceil((to - from) / 0.5)));
  const double step = (to - from) / cells;
  double sum = 0.0;
  for (int i = 0; i < cells; ++i)
    sum += rate(from + (i + 0.5) * step) * step;
  return sum;
}

} // namespace

std::vector<DiagramRow> isothermal_diagram(const DecompositionLaw& d, double step_K) {
  std::vector<DiagramRow> rows;
  for (double T = step_K * std::floor((d.ae1() - 1.0) / step_K); T > bottom(d); T -= step_K)
    rows.push_back({T, times(d, Product::pearlite, T), times(d, Product::bainite, T)});
  return rows;
}

Nose pearlite_nose(const DecompositionLaw& d) {
  return nose(d, d.ae1(), [&](double T) { return d.pearlite_rate(T); });
}

Nose bainite_nose(const DecompositionLaw& d) {
  return nose(d, d.bs(), [&](double T) { return d.bainite_rate(T); });
}

CriticalRate critical_rate(const DecompositionLaw& d) {
  const double pearlite = whole_range(bottom(d), d.ae1(), [&](double T) { return d.pearlite_rate(T); });
  const double bainite = whole_range(bottom(d), d.bs(), [&](double T) { return d.bainite_rate(T); });
  CriticalRate c{pearlite, bainite, 0.0};
  // 1 % of both together: between the faster of the two and their sum.
  double low = std::max(c.pearlite, c.bainite), high = c.pearlite + c.bainite;
  for (int i = 0; i < 60 && high > low; ++i) {
    const double q = 0.5 * (low + high);
    const double left = (1.0 - d.fraction(Product::pearlite, pearlite / q)) *
                        (1.0 - d.fraction(Product::bainite, bainite / q));
    (1.0 - left > 0.01 ? low : high) = q;
  }
  c.both = 0.5 * (low + high);
  return c;
}

CoolingResult cool_at_constant_rate(const DecompositionLaw& d, double km_alpha_per_K, double rate_K_s,
                                    double to_degC) {
  CoolingResult result{rate_K_s, NAN, NAN, NAN};
  const double end = std::max(bottom(d), to_degC);
  const int cells = std::max(1, static_cast<int>(std::ceil((d.ae1() - end) / 0.5)));
  const double step = (d.ae1() - end) / cells;
  double pearlite = 0.0, bainite = 0.0, austenite = 1.0; // clocks, share left
  double p1 = 1.0, b1 = 1.0;                             // what either reaction alone would leave
  for (int i = 0; i < cells && end < d.ae1(); ++i) {
    const double T = d.ae1() - (i + 0.5) * step;
    const double p0 = p1, b0 = b1;
    pearlite += d.pearlite_rate(T) * step / rate_K_s;
    bainite += d.bainite_rate(T) * step / rate_K_s;
    p1 = 1.0 - d.fraction(Product::pearlite, pearlite);
    b1 = 1.0 - d.fraction(Product::bainite, bainite);
    if (std::isnan(result.pearlite_start_degC) && pearlite >= 1.0)
      result.pearlite_start_degC = T;
    if (std::isnan(result.bainite_start_degC) && bainite >= 1.0)
      result.bainite_start_degC = T;
    if (p0 <= 0.0 || b0 <= 0.0 || austenite <= 0.0)
      continue;
    const double gone = austenite * (1.0 - p1 * b1 / (p0 * b0));
    const double by_pearlite = 1.0 - p1 / p0, by_bainite = 1.0 - b1 / b0;
    if (gone > 0.0) {
      result.pearlite += gone * by_pearlite / (by_pearlite + by_bainite);
      result.bainite += gone * by_bainite / (by_pearlite + by_bainite);
    }
    austenite -= gone;
    if (std::isnan(result.finish_degC) && austenite <= 0.01)
      result.finish_degC = T;
  }
  result.martensite = austenite * martensite_share(d.ms(), to_degC, km_alpha_per_K);
  result.austenite = austenite - result.martensite;
  return result;
}

} // namespace tq::steel
