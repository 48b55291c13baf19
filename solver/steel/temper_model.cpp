#include "steel/temper_model.hpp"

#include "records/sourced.hpp"
#include "steel/hardness.hpp"
#include "steel/temper.hpp"
#include "units/math.hpp"
#include "units/quantity.hpp"
#include "units/temperature.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace tq::steel {

namespace {

using records::Composition;
using records::Node;
using records::Range;

constexpr double hour_s = 3600.0;
constexpr std::array<const char*, 5> element_symbols = {"Mn", "Si", "Ni", "Cr", "Mo"};

constexpr double nine_in_ten = 1.645;     // standard deviations
constexpr double unknown_trace_wt = 0.06; // phosphorus or sulphur above it stands in no series

template <std::size_t count>
std::array<double, count> coefficients(const Node& at, std::string_view key) {
  const std::vector<double> read = at.numbers(key, Range{-1e4, 1e4});
  if (read.size() != count)
    at.fail(key, "has " + std::to_string(read.size()) + " values; allowed: " + std::to_string(count));
  std::array<double, count> values{};
  std::copy(read.begin(), read.end(), values.begin());
  return values;
}

TemperModel::Span span(const Node& at, std::string_view key, const std::vector<double>& ends) {
  if (ends.size() != 2 || ends[0] >= ends[1])
    at.fail(key, "must hold the least and the most");
  return {ends[0], ends[1]};
}

double polynomial_HRC(const TemperModel& m, const Composition& wt, double one_hour_degC) {
  const double x = (one_hour_degC - m.middle_degC) / m.scale_K;
  const double phi = math::tanh(std::min(wt.C, m.carbon_end) / m.carbon_saturation);
  const double onset = 1.0 / (1.0 + math::exp(-(one_hour_degC - m.onset_degC) / m.onset_width_K));
  double hardness = 0.0;
  for (std::size_t i = m.base.size(); i-- > 0;)
    hardness = hardness * x + m.base[i] + phi * m.carbon[i];
  for (std::size_t e = 0; e < m.alloy.size(); ++e)
    hardness += onset * wt.*TemperModel::elements[e] * (m.alloy[e][0] + m.alloy[e][1] * x);
  return hardness;
}

/// Hardness over the one-hour temper; never rising with it.
double falling_HRC(const TemperModel& m, const Composition& wt, double one_hour_degC) {
  constexpr double step_K = 1.0;
  const double from = std::clamp(one_hour_degC, m.temperature_span.least, m.temperature_span.most);
  double most = polynomial_HRC(m, wt, from);
  for (double T = step_K * std::ceil(from / step_K); T <= m.temperature_span.most; T += step_K)
    most = std::max(most, polynomial_HRC(m, wt, T));
  return std::max(most, 0.0);
}

double squared(double x) { return x * x; }

double beyond(const TemperModel::Span& span, double value) {
  return std::max({span.least - value, value - span.most, 0.0});
}

/// Standard deviation of the answer [HRC].
double deviation_HRC(const TemperModel& m, const Composition& wt, double one_hour_degC, double T_degC,
                     double time_s) {
  double squares = squared(m.band_base_HRC) +
                   squared(m.band_hot_HRC * std::max(one_hour_degC - m.band_hot_from_degC, 0.0) / 100.0) +
                   squared(m.band_low_carbon_HRC * std::max(m.band_low_carbon_wt - wt.C, 0.0)) +
                   squared(m.band_per_100_K_HRC * beyond(m.temperature_span, T_degC) / 100.0);
  for (const TemperModel::ElementSpan& element : m.composition_span)
    squares += squared(element.beyond_HRC * beyond(element.span, wt.*element.share));
  const double decades = std::max({math::log10(m.time_span.least / std::max(time_s, 1e-3)),
                                   math::log10(std::max(time_s, 1e-3) / m.time_span.most), 0.0});
  squares += squared(m.band_per_decade_HRC * decades);
  return std::sqrt(squares);
}

std::string outside_text(const std::string& what, const TemperModel::Span& span, const std::string& unit) {
  return what + " outside the fit's " + units::format_number(span.least) + "-" +
         units::format_number(span.most) + " " + unit;
}

} // namespace

TemperModel read_temper_model(std::string_view text, std::string file) {
  const Node root = records::parse_document(text, std::move(file));
  root.integer("format", Range{1, 1});
  root.text("description");
  TemperModel m;
  const records::Sourced at(root, m.provenance);

  const records::Sourced constant = at.table("hollomon_jaffe");
  m.constant_h = constant.number("at_no_carbon", Range{5.0, 30.0});
  m.constant_per_carbon = constant.number("per_carbon", Range{-10.0, 5.0});

  const records::Sourced shape = at.table("shape");
  m.middle_degC = shape.quantity("middle", "temperature", Range{0.0, 800.0});
  m.scale_K = shape.quantity("scale", "temperature_difference", Range{1.0, 1000.0});
  m.carbon_saturation = shape.number("carbon_saturation", Range{0.05, 5.0}, "wt%");
  m.carbon_end = shape.number("carbon_end", Range{0.05, 5.0}, "wt%");
  m.onset_degC = shape.quantity("alloy_onset", "temperature", Range{0.0, 800.0});
  m.onset_width_K = shape.quantity("alloy_onset_width", "temperature_difference", Range{1.0, 500.0});

  const Node terms = root.table("terms");
  m.base = coefficients<4>(terms, "base");
  m.carbon = coefficients<4>(terms, "carbon");
  for (std::size_t e = 0; e < m.alloy.size(); ++e)
    m.alloy[e] = coefficients<2>(terms, element_symbols[e]);

  const Node range = root.table("fit_range");
  constexpr Range shares{0.0, 15.0};
  constexpr std::array<std::pair<const char*, double Composition::*>, 8> elements = {
      {{"C", &Composition::C},
       {"Mn", &Composition::Mn},
       {"Si", &Composition::Si},
       {"Ni", &Composition::Ni},
       {"Cr", &Composition::Cr},
       {"Mo", &Composition::Mo},
       {"V", &Composition::V},
       {"W", &Composition::W}}};
  for (const auto& [symbol, share] : elements)
    m.composition_span.push_back({symbol, share, span(range, symbol, range.numbers(symbol, shares))});
  const Node T = range.table("temperature"), t = range.table("time");
  m.temperature_span = span(T, "values", T.quantities("values", "temperature", Range{0.0, 800.0}));
  m.time_span = span(t, "values", t.quantities("values", "time", Range{1e-3, 1e8}));

  constexpr Range hrc{0.0, 20.0};
  const records::Sourced laboratory = at.table("laboratory");
  for (const char* year : {"offset_1945", "offset_1956", "offset_2010"})
    laboratory.number(year, Range{-20.0, 20.0}, "HRC");
  const records::Sourced band = at.table("band");
  m.band_base_HRC = band.number("base", hrc, "HRC");
  m.band_hot_HRC = band.number("hot", hrc, "HRC");
  m.band_hot_from_degC = band.quantity("hot_from", "temperature", Range{0.0, 800.0});
  m.band_low_carbon_HRC = band.number("low_carbon", hrc, "HRC per wt%");
  m.band_low_carbon_wt = band.number("low_carbon_from", Range{0.0, 2.0}, "wt%");
  m.band_per_decade_HRC = band.number("per_decade_of_time", hrc, "HRC");
  m.band_per_100_K_HRC = band.number("per_100_K", hrc, "HRC");
  const records::Sourced per_element = band.table("beyond");
  for (TemperModel::ElementSpan& element : m.composition_span)
    element.beyond_HRC = per_element.number(element.symbol, Range{0.0, 100.0}, "HRC per wt%");

  const records::Sourced error = at.table("error");
  m.error_knives_HRC = error.number("knives", hrc, "HRC");
  m.error_elsewhere_HRC = error.number("elsewhere", hrc, "HRC");
  m.error_flagged_HRC = error.number("flagged", hrc, "HRC");
  root.finish();
  return m;
}

double temper_constant(const TemperModel& model, double carbon_wt) {
  // Beyond the fit's carbon the constant stays, so that it can never come near zero.
  const TemperModel::Span& carbon = model.composition_span.front().span;
  return model.constant_h + model.constant_per_carbon * std::clamp(carbon_wt, 0.0, carbon.most);
}

TemperEstimate tempered_hardness(const TemperModel& model, const Composition& wt, double T_degC,
                                 double time_s) {
  TemperEstimate e;
  const double constant = temper_constant(model, wt.C);
  const double one_hour = equivalent_temperature(hollomon_jaffe(T_degC, time_s, constant), hour_s, constant);
  e.hardness_HRC = falling_HRC(model, wt, one_hour);
  e.hardness_HV = hv_from_hrc(e.hardness_HRC);

  for (const TemperModel::ElementSpan& element : model.composition_span)
    if (!element.span.holds(wt.*element.share))
      e.outside.push_back(outside_text(
          std::string(element.symbol) + " " + units::format_number(wt.*element.share), element.span, "wt%"));
  if (!model.temperature_span.holds(T_degC))
    e.outside.push_back(outside_text("temperature", model.temperature_span, "degC"));
  if (!model.time_span.holds(time_s))
    e.outside.push_back(outside_text("time", model.time_span, "s"));
  if (!valid_hrc(e.hardness_HRC))
    e.outside.push_back("hardness off the Rockwell C scale (20-68 HRC)");

  for (const auto& [symbol, share] : {std::pair{"P", wt.P}, std::pair{"S", wt.S}})
    if (share > unknown_trace_wt)
      e.outside.push_back(std::string(symbol) + " " + units::format_number(share) +
                          " is not known to the fit");
  e.band_HRC = nine_in_ten * deviation_HRC(model, wt, one_hour, T_degC, time_s);
  return e;
}

records::TemperCurve temper_curve(const TemperModel& model, const Composition& wt) {
  records::TemperCurve curve;
  curve.hj_constant_h = temper_constant(model, wt.C);
  curve.hold_s = hour_s;
  for (double T = 100.0; T <= 650.0; T += 25.0) {
    curve.temperature_degC.push_back(T);
    curve.hardness_HRC.push_back(falling_HRC(model, wt, T));
  }
  curve.as_quenched_HRC = curve.hardness_HRC.front();
  curve.uncertainty_HRC = tempered_hardness(model, wt, 200.0, hour_s).band_HRC;
  return curve;
}

void beyond_table(const TemperModel& model, const Composition& wt, records::TemperCurve& curve) {
  constexpr double last_degC = 700.0, step_K = 25.0, fades_over_K = 100.0;
  curve.beyond_degC.clear();
  curve.beyond_HRC.clear();
  curve.beyond_uncertainty_HRC.clear();
  if (curve.temperature_degC.empty())
    return;
  const double end_degC = curve.temperature_degC.back();
  const auto of_model = [&](double T) { return tempered_hardness(model, wt, T, curve.hold_s); };
  const double move = curve.hardness_HRC.back() - of_model(end_degC).hardness_HRC;
  double before = curve.hardness_HRC.back();
  for (double T = step_K * (std::floor(end_degC / step_K) + 1.0); T <= last_degC; T += step_K) {
    const double left = math::exp(-(T - end_degC) / fades_over_K);
    const TemperEstimate e = of_model(T);
    before = std::clamp(e.hardness_HRC + move * left, 0.0, before);
    curve.beyond_degC.push_back(T);
    curve.beyond_HRC.push_back(before);
    curve.beyond_uncertainty_HRC.push_back(
        std::max(curve.uncertainty_HRC, e.band_HRC + (curve.uncertainty_HRC - e.band_HRC) * left));
  }
}

} // namespace tq::steel
