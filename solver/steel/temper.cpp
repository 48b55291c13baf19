#include "steel/temper.hpp"

#include "steel/retained_austenite.hpp"
#include "units/math.hpp"
#include "units/temperature.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace tq::steel {

namespace {

constexpr double seconds_per_hour = 3600.0;

// Hardness no temper below Ac1 goes under: ferrite with coarse spheroidised carbide (from memory).
constexpr double softest_HV = 200.0;

// Where softening begins when the published table starts higher: the transition carbides of the first stage
// begin to form near 80-100 degC (from memory); a table that starts at or below 100 degC is joined to 20
// degC.
constexpr double softening_begins_degC = 100.0, room_degC = 20.0;

} // namespace

double hollomon_jaffe(double T_degC, double time_s, double constant_h) {
  return kelvin(T_degC) * (constant_h + math::log10(time_s / seconds_per_hour));
}

double equivalent_temperature(double parameter, double time_s, double constant_h) {
  return celsius(parameter / (constant_h + math::log10(time_s / seconds_per_hour)));
}

double add_tempering(double parameter, double T_degC, double dt_s, double constant_h) {
  if (dt_s <= 0.0)
    return parameter;
  const double T = kelvin(T_degC);
  // Hours at T that would have given what is there already: 10^(P/T - C). A parameter of 0 stands for 10^-C
  // h, which is nothing. Written as a growth of P so that a cold step after a hot one loses no digits and a
  // very cold one does not overflow.
  const double exponent = parameter / T - constant_h;
  if (exponent > 250.0)
    return parameter;
  const double relative = dt_s / seconds_per_hour * math::pow(10.0, -exponent);
  return parameter + T * math::log1p(relative) / math::log(10.0);
}

TemperResponse::TemperResponse(const records::TemperCurve& curve) {
  const std::size_t points = std::min(curve.temperature_degC.size(), curve.hardness_HRC.size());
  if (points == 0)
    return;
  const auto parameter_at = [&](double T_degC) {
    return hollomon_jaffe(T_degC, curve.hold_s, curve.hj_constant_h);
  };
  const double first = curve.temperature_degC.front();
  first_ = parameter_at(first);
  last_ = parameter_at(curve.temperature_degC[points - 1]);

  const double fresh_HV = hv_from_hrc(curve.as_quenched_HRC);
  softest_ = std::min(1.0, softest_HV / fresh_HV);
  const double begins =
      first > softening_begins_degC ? softening_begins_degC : std::min(room_degC, first - 1.0);
  parameter_.push_back(parameter_at(begins));
  factor_.push_back(1.0);
  for (std::size_t i = 0; i < points; ++i) {
    parameter_.push_back(parameter_at(curve.temperature_degC[i]));
    // Longer or hotter never hardens: a table entry above its predecessor counts as level.
    factor_.push_back(std::min(factor_.back(), hv_from_hrc(curve.hardness_HRC[i]) / fresh_HV));
  }
  for (std::size_t i = 0; i < curve.beyond_degC.size(); ++i) {
    parameter_.push_back(parameter_at(curve.beyond_degC[i]));
    factor_.push_back(std::min(factor_.back(), hv_from_hrc(curve.beyond_HRC[i]) / fresh_HV));
  }

  smooth();
}

void TemperResponse::smooth() {
  // Slopes of a monotone cubic, Fritsch & Butland 1984, SIAM J. Sci. Stat. Comput. 5, 300-304 (harmonic mean
  // of the neighbouring secants). Cubic rather than straight pieces: the tables are read off smooth curves,
  // and a jump of slope at each point would show in the answer to "what if the oven is 10 K hotter".
  const std::size_t n = parameter_.size();
  std::vector<double> secant(n - 1);
  for (std::size_t i = 0; i + 1 < n; ++i)
    secant[i] = (factor_[i + 1] - factor_[i]) / (parameter_[i + 1] - parameter_[i]);
  slope_.assign(n, 0.0);
  for (std::size_t i = 1; i + 1 < n; ++i) {
    if (secant[i - 1] * secant[i] <= 0.0)
      continue;
    const double left = parameter_[i] - parameter_[i - 1], right = parameter_[i + 1] - parameter_[i];
    const double w_left = 2.0 * right + left, w_right = right + 2.0 * left;
    slope_[i] = (w_left + w_right) / (w_left / secant[i - 1] + w_right / secant[i]);
  }
  slope_[n - 1] = secant[n - 2]; // so that the straight line beyond the table joins without a kink
}

TemperResponse TemperResponse::of_martensite(const records::SteelRecord& steel) {
  // Knots between the points of the table too: there the whole steel has to follow the table, and not the
  // martensite alone, or the austenite that turns between two points would show as a bump of half a point.
  constexpr double knot_K = 5.0;
  const TemperResponse whole(steel.temper);
  TemperResponse response = whole;
  if (whole.parameter_.empty())
    return response;
  const ReferenceShares s = reference_shares(steel);
  const records::ConstituentHardness& h = steel.hardness;
  const double hold_s = steel.temper.hold_s, constant_h = steel.temper.hj_constant_h;
  const double fresh = martensite_hv(steel, s.carbon_wt),
               sheet_HV = hv_from_hrc(steel.temper.as_quenched_HRC);
  const double softest = std::min(1.0, softest_HV / fresh);
  const auto add = [&](double T) {
    const double parameter = hollomon_jaffe(T, hold_s, constant_h);
    const double left = s.austenite * austenite_left(hold_s * austenite_decomposition_rate(T));
    const double turned = s.austenite - left;
    const double rest =
        sheet_HV * whole.factor(parameter) - left * h.retained_austenite_HV - s.cementite * h.cementite_HV;
    double martensite_HV = rest / (s.martensite + turned); // when the product is as soft as the martensite
    if (martensite_HV > h.bainite_HV)
      martensite_HV = (rest - turned * h.bainite_HV) / s.martensite;
    response.parameter_.push_back(parameter);
    response.factor_.push_back(std::min(response.factor_.back(), std::max(softest, martensite_HV / fresh)));
  };
  std::vector<double> table = steel.temper.temperature_degC;
  table.insert(table.end(), steel.temper.beyond_degC.begin(), steel.temper.beyond_degC.end());
  response.softest_ = softest;
  response.parameter_.resize(1);
  response.factor_.resize(1);
  add(table.front());
  for (std::size_t i = 1; i < whole.parameter_.size() - 1; ++i) {
    const double rise = table[i] - table[i - 1];
    const int knots = std::max(1, static_cast<int>(std::ceil(rise / knot_K)));
    for (int k = 1; k <= knots; ++k)
      add(table[i - 1] + rise * k / knots);
  }
  response.smooth();
  return response;
}

double TemperResponse::factor(double parameter) const {
  if (parameter_.empty() || parameter <= parameter_.front())
    return 1.0;
  if (parameter >= parameter_.back())
    return std::max(softest_, factor_.back() + slope_.back() * (parameter - parameter_.back()));
  const auto above = std::upper_bound(parameter_.begin(), parameter_.end(), parameter);
  const auto i = static_cast<std::size_t>(above - parameter_.begin()) - 1;
  const double step = parameter_[i + 1] - parameter_[i];
  const double t = (parameter - parameter_[i]) / step;
  const double rise = factor_[i + 1] - factor_[i];
  const double a = step * slope_[i] - rise, b = rise - step * slope_[i + 1];
  return factor_[i] + t * rise + t * (1.0 - t) * ((1.0 - t) * a + t * b);
}

double temper_band_HRC(const records::TemperCurve& curve, double parameter) {
  if (curve.temperature_degC.empty() || !(parameter > 0.0))
    return curve.uncertainty_HRC;
  const double T = equivalent_temperature(parameter, curve.hold_s, curve.hj_constant_h);
  const double first = curve.temperature_degC.front(), last = curve.temperature_degC.back();
  if (T < first && first > softening_begins_degC) {
    constexpr double per_HRC_K = 50.0;
    return std::min(curve.uncertainty_HRC + (first - T) / per_HRC_K, 3.0 * curve.uncertainty_HRC);
  }
  double from = last, width = curve.uncertainty_HRC;
  for (std::size_t i = 0; i < curve.beyond_degC.size(); ++i) {
    const double to = curve.beyond_degC[i], then = curve.beyond_uncertainty_HRC[i];
    if (T < to)
      return T <= from ? width : width + (then - width) * (T - from) / (to - from);
    from = to;
    width = then;
  }
  return width;
}

bool TemperResponse::inside(double parameter) const {
  return !parameter_.empty() && parameter >= first_ && parameter <= last_;
}

double austenite_decomposition_rate(double T_degC) {
  // See temper.hpp for the sources of these.
  constexpr double activation_J_mol = 200e3, anchor_degC = 232.0;
  const double at_anchor_per_s = std::sqrt(math::log(20.0)) / seconds_per_hour; // 95 % gone after one hour
  return at_anchor_per_s * math::exp(activation_J_mol / gas_constant_J_molK *
                                     (1.0 / kelvin(anchor_degC) - 1.0 / kelvin(T_degC)));
}

double austenite_left(double decay) { return math::exp(-decay * decay); }

double tempered_hv(const records::SteelRecord& steel, const TemperResponse& response,
                   const Constituents& quenched, double carbon_wt, const Tempered& tempered) {
  Constituents shares = quenched;
  shares.retained_austenite *= tempered.austenite_left;
  shares.tempered_austenite += quenched.retained_austenite - shares.retained_austenite;
  return mixture_hv(shares, martensite_hv(steel, carbon_wt) * response.factor(tempered.parameter),
                    steel.hardness);
}

Tempered temper_over(const std::vector<HistoryPoint>& history, double constant_h, const Tempered& before) {
  constexpr double step_K = 0.5; // the sums then stand to better than 1e-4 of themselves
  Tempered state = before;
  for (std::size_t i = 0; i < history.size(); ++i) {
    state.highest_degC = std::max(state.highest_degC, history[i].T_degC);
    if (i == 0)
      continue;
    const HistoryPoint& a = history[i - 1];
    const double dt = history[i].time_s - a.time_s, rise = history[i].T_degC - a.T_degC;
    if (dt <= 0.0)
      continue;
    const auto steps = static_cast<int>(std::ceil(std::abs(rise) / step_K));
    const int n = std::clamp(steps, 1, 100000);
    for (int k = 0; k < n; ++k) {
      const double T = a.T_degC + rise * (k + 0.5) / n;
      state.parameter = add_tempering(state.parameter, T, dt / n, constant_h);
      state.decay += austenite_decomposition_rate(T) * dt / n;
    }
  }
  state.austenite_left = austenite_left(state.decay);
  return state;
}

std::vector<Tempered> temper_cycles(double T_degC, double hold_s, int cycles, double constant_h) {
  std::vector<Tempered> states;
  for (int i = 0; i < cycles; ++i)
    states.push_back(temper_over({{0.0, T_degC}, {hold_s, T_degC}}, constant_h,
                                 states.empty() ? Tempered{} : states.back()));
  return states;
}

} // namespace tq::steel
