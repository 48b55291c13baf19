#include "steel/temper_nodes.hpp"

#include "conduction/for_every_processor.hpp"
#include "steel/loop_math.hpp"
#include "units/math.hpp"
#include "units/temperature.hpp"

#include <algorithm>

namespace tq::steel {

namespace {

constexpr double log_10 = 2.302585092994045684;
constexpr double no_effect_below_degC = 60, one_step_K = 5, seconds_an_hour = 3600;

/// Growth of the parameter in a time of which `log_hours` is the logarithm: T log10(1 + time over the time
/// that T would have needed for what is there).
[[gnu::always_inline]] inline double growth(double parameter, double T_degC, double constant_h,
                                            double log_hours) {
  const double T = kelvin(T_degC);
  const double x = (constant_h - parameter / T) * log_10 + log_hours; // of that ratio
  const double positive = x > 0.0 ? x : 0.0, size = x > 0.0 ? x : -x;
  return T * (1.0 / log_10) * (positive + log1p_up_to_one(exp_minus(size)));
}

TQ_FOR_EVERY_PROCESSOR(void, temper_loop,
                       (std::size_t nodes, const double* __restrict from, const double* __restrict to,
                        double log_hours, double constant_h, double* __restrict parameter),
                       (nodes, from, to, log_hours, constant_h, parameter)) {
  for (std::size_t n = 0; n < nodes; ++n) {
    const double a = from[n], b = to[n], before = parameter[n];
    const double change = b - a, size = change > 0.0 ? change : -change;
    const double apart = size > one_step_K ? 0.25 * change : 0.0, mean = 0.5 * (a + b);
    double p = before + growth(before, mean - apart, constant_h, log_hours);
    p = p + growth(p, mean + apart, constant_h, log_hours);
    const double hottest = a > b ? a : b;
    parameter[n] = hottest < no_effect_below_degC ? before : p;
  }
}

/// Whether all nodes are taken at their mean.
TQ_FOR_EVERY_PROCESSOR(bool, change_little,
                       (std::size_t nodes, const double* __restrict from, const double* __restrict to),
                       (nodes, from, to)) {
  constexpr std::size_t each = 8;
  double most[each] = {};
  std::size_t n = 0;
  for (; n + each <= nodes; n += each)
    for (std::size_t l = 0; l < each; ++l) {
      const double change = to[n + l] - from[n + l], size = change > 0.0 ? change : -change;
      most[l] = size > most[l] ? size : most[l];
    }
  for (; n < nodes; ++n) {
    const double change = to[n] - from[n], size = change > 0.0 ? change : -change;
    most[0] = size > most[0] ? size : most[0];
  }
  bool little = true;
  for (const double one : most)
    little = little && one <= one_step_K;
  return little;
}

/// Two halves of a step at one temperature are the whole of it.
TQ_FOR_EVERY_PROCESSOR(void, temper_at_mean,
                       (std::size_t nodes, const double* __restrict from, const double* __restrict to,
                        double log_hours, double constant_h, double* __restrict parameter),
                       (nodes, from, to, log_hours, constant_h, parameter)) {
  for (std::size_t n = 0; n < nodes; ++n) {
    const double a = from[n], b = to[n], before = parameter[n], hottest = a > b ? a : b;
    const double p = before + growth(before, 0.5 * (a + b), constant_h, log_hours);
    parameter[n] = hottest < no_effect_below_degC ? before : p;
  }
}

constexpr double series_to = 0.5; ///< of log1p_up_to_one() for log(1 - fresh) = -log(1 + fresh / (1 - fresh))

TQ_FOR_EVERY_PROCESSOR(void, temper_fresh_loop,
                       (std::size_t nodes, const double* __restrict T, double log_hours, double constant_h,
                        const double* __restrict martensite, const double* __restrict fresh,
                        double* __restrict parameter),
                       (nodes, T, log_hours, constant_h, martensite, fresh, parameter)) {
  constexpr std::size_t together = 32;
  for (std::size_t first = 0; first < nodes; first += together) {
    const std::size_t last = nodes - first < together ? nodes : first + together;
    double any = 0.0;
    for (std::size_t n = first; n < last; ++n)
      any = martensite_rests(T[n], martensite[n]) ? any : 1.0;
    if (!(any > 0.0)) // too hot or too cold for all of them
      continue;
    for (std::size_t n = first; n < last; ++n) {
      const double before = parameter[n], t = T[n], f = fresh[n] > 0.0 ? fresh[n] : 0.0;
      const double grown = before + growth(before, t, constant_h, log_hours);
      const double by_series = f > series_to ? 0.0 : f;
      const double less = kelvin(t) * (1.0 / log_10) * log1p_up_to_one(by_series / (1.0 - by_series));
      const double p = grown - less, positive = p > 0.0 ? p : 0.0;
      parameter[n] = martensite_rests(t, martensite[n]) ? before : positive;
    }
  }
}

} // namespace

void temper_fresh_nodes(std::size_t nodes, const double* T, double dt_s, double constant_h,
                        const double* martensite, const double* fresh, double* parameter) {
  if (!(dt_s > 0))
    return;
  temper_fresh_loop(nodes, T, math::log(dt_s / seconds_an_hour), constant_h, martensite, fresh, parameter);
  for (std::size_t n = 0; n < nodes; ++n) // most of it new: seldom
    if (fresh[n] > series_to && !martensite_rests(T[n], martensite[n]))
      parameter[n] =
          fresh[n] < 1 ? std::max(0.0, parameter[n] + kelvin(T[n]) * math::log10(1 - fresh[n])) : 0;
}

void temper_nodes(std::size_t nodes, const double* from, const double* to, double dt_s, double constant_h,
                  double* parameter) {
  if (!(dt_s > 0))
    return;
  if (change_little(nodes, from, to))
    temper_at_mean(nodes, from, to, math::log(dt_s / seconds_an_hour), constant_h, parameter);
  else
    temper_loop(nodes, from, to, math::log(0.5 * dt_s / seconds_an_hour), constant_h, parameter);
}

} // namespace tq::steel
