#include "surroundings/oil_record.hpp"

#include "records/document.hpp"
#include "surroundings/bath.hpp"
#include "units/math.hpp"
#include "units/quantity.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

namespace tq::surroundings {

namespace {

using records::StageCorrection;
using records::toml_string;
using units::formatted;

constexpr double finish_spread = 0.20;

// "[a, b, c]", folded behind every tenth.
template <typename Values, typename Text>
std::string list(const Values& values, Text text) {
  std::string out = "[";
  std::size_t n = 0;
  for (const auto& value : values) {
    if (n > 0)
      out += n % 10 == 0 ? ",\n  " : ", ";
    out += text(value);
    ++n;
  }
  return out + "]";
}

// Corrections of another oil, relative to this bath: everything is divided by its value at `neutral`.
std::string corrections(const std::string& key, std::vector<StageCorrection> rows, double neutral,
                        const char* unit, const std::string& like, double uncertainty) {
  if (rows.empty())
    return {};
  const StageCorrection zero = correction_at(rows, neutral);
  if (std::none_of(rows.begin(), rows.end(),
                   [&](const StageCorrection& row) { return std::abs(row.at - neutral) < 1e-9; })) {
    rows.push_back(zero);
    std::sort(rows.begin(), rows.end(), [](const auto& a, const auto& b) { return a.at < b.at; });
  }
  const auto quoted = [&](double value, const char* of) {
    return "\"" + units::format_number(value) + " " + of + "\"";
  };
  const auto column = [&](const std::string& name, double StageCorrection::*member) {
    return name + " = " +
           list(rows,
                [&](const StageCorrection& row) { return formatted("%.4g", row.*member / (zero.*member)); }) +
           "\n";
  };
  std::string out =
      "\n[" + key +
      "]\nat = " + list(rows, [&](const StageCorrection& row) { return quoted(row.at, unit); }) + "\n" +
      column("film", &StageCorrection::film) + column("peak", &StageCorrection::peak) +
      column("convection", &StageCorrection::convection) + "blanket_shift = " +
      list(rows,
           [&](const StageCorrection& row) {
             return quoted(std::round(10 * (row.blanket_shift_K - zero.blanket_shift_K)) / 10, "K");
           }) +
      "\nchange_uncertainty = \"" + formatted("%.0f", 100 * uncertainty) + " %\"\n";
  return out + "source = " + toml_string("assumption, no source: as the record " + like + " has it") + "\n";
}

} // namespace

double overall_spread(const RecoveredHtc& recovered) {
  double sum = 0;
  int points = 0;
  for (std::size_t i = 0; i < recovered.surface_degC.size(); ++i) {
    if (recovered.surface_degC[i] < 300 || recovered.surface_degC[i] > 700)
      continue;
    const double sd = 0.5 * math::log(recovered.high_W_m2K[i] / recovered.low_W_m2K[i]) / 1.645;
    sum += sd * sd;
    ++points;
  }
  return std::sqrt(sum / std::max(points, 1) + finish_spread * finish_spread);
}

std::string oil_record_text(const RecoveredHtc& r, const OilFacts& facts) {
  const auto temperature = [](double value) { return units::format_number(value); };
  const auto coefficient = [](double value) { return formatted("%.1f", value); };
  const double spread = overall_spread(r);
  std::string out = "# " + facts.name + ": made by `thinquench oil`.\n";
  out += "name = " + toml_string(facts.name) + "\ndescription = " + toml_string(facts.description) +
         "\nkind = \"oil\"\n";
  out += "\n[heat_transfer]\nkind = \"local\" # h of the surface over the temperature of the surface\n"
         "interpolation = \"log\"\nunit = \"W/(m2 K)\"\n";
  out += "surface = { unit = \"degC\", values = " + list(r.surface_degC, temperature) + " }\n";
  out += "values = " + list(r.htc_W_m2K, coefficient) + "\n";
  out += "# between these with a probability of 90 %, at each temperature by itself\n";
  out += "low = " + list(r.low_W_m2K, coefficient) + "\nhigh = " + list(r.high_W_m2K, coefficient) + "\n";
  out += "bath = \"" + units::format_number(r.bath_degC) + " degC\"\n";
  out += "convection_start = \"" + formatted("%.0f", r.stages.convection_degC) + " degC\"\nblanket_end = \"" +
         formatted("%.0f", std::min(r.stages.blanket_degC, 890.0)) + " degC\"\n";
  out += "h_uncertainty = \"" + formatted("%.0f", 100 * spread) + " %\"\n";
  out +=
      "source = " + toml_string(facts.source) + "\nrange = " + toml_string(facts.range) + "\nuncertainty = " +
      toml_string("low and high: what the test leaves; h_uncertainty: with 20 % for the finish and oxide of "
                  "the surface (from memory)") +
      "\n";
  if (!facts.note.empty())
    out += "note = " + toml_string(facts.note) + "\n";

  out += corrections("by_bath_temperature", facts.like.by_bath_temperature, r.bath_degC, "degC",
                     facts.like.key, facts.like.by_bath_uncertainty);
  out += corrections("by_agitation", facts.like.by_agitation, 0, "m/s", facts.like.key,
                     facts.like.by_agitation_uncertainty);

  const std::string lent = toml_string("assumption, no source: as the record " + facts.like.key + " has it");
  out += "\n[density]\nvalue = \"" + units::format_number(facts.like.density_kg_m3) +
         " kg/m3\"\nsource = " + lent + "\n";
  out += "\n[specific_heat]\nvalue = \"" + units::format_number(facts.like.specific_heat_J_kgK) +
         " J/(kg K)\"\nsource = " + lent + "\n";
  if (facts.flash_degC)
    out += "\n[flash]\nvalue = \"" + units::format_number(*facts.flash_degC) +
           " degC\"\nsource = \"data sheet of this oil, as given to thinquench oil\"\n"
           "uncertainty = \"used or dirty oil flashes lower\"\n";
  else
    out += "\n# The flash point is not known. Ask the seller for it before the oil is warmed, and write\n"
           "# [flash]\n# value = \"... degC\"\n# source = \"data sheet\"\n";
  return out;
}

TraceReadings curve_of_lumped(const Probe& probe, const records::Table& lumped_W_m2K, double bath_degC) {
  const double per_area = lumped_htc(probe, bath_degC + 1, 1, bath_degC) /
                          probe.specific_heat_J_kgK.value(bath_degC + 1); // rho V/A [kg/m2]
  const auto rate = [&](double T) {
    return -lumped_W_m2K(T) * (T - bath_degC) / (per_area * probe.specific_heat_J_kgK.value(T));
  };
  TraceReadings out;
  out.time_zero_spread_s = 0.5; // the table does not tell how long the centre waited
  constexpr int substeps = 20;
  constexpr double step_s = 0.1;
  double T = probe.start_degC;
  for (int n = 0; n < 6000 && T > bath_degC + 40; ++n) {
    out.time_s.push_back(n * step_s);
    out.sensor_degC.push_back(T);
    for (int k = 0; k < substeps; ++k) {
      const double dt = step_s / substeps;
      T += dt * rate(T + 0.5 * dt * rate(T));
    }
  }
  return out;
}

} // namespace tq::surroundings
