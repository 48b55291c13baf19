#include "steel/bare_steel.hpp"

#include "steel/bar_quench.hpp"
#include "steel/decomposition.hpp"
#include "steel/formulas.hpp"
#include "steel/transformation.hpp"
#include "units/math.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace tq::steel {

namespace {

using records::Composition;
using records::SteelRecord;

// The compositions of the shipped steels, on which the rules were found, a little widened.
constexpr std::array<TemperModel::ElementSpan, 8> shipped_range = {{{"C", &Composition::C, {0.55, 1.10}},
                                                                    {"Mn", &Composition::Mn, {0.20, 1.9}},
                                                                    {"Si", &Composition::Si, {0, 0.5}},
                                                                    {"Cr", &Composition::Cr, {0, 1.6}},
                                                                    {"Ni", &Composition::Ni, {0, 2.1}},
                                                                    {"Mo", &Composition::Mo, {0, 0.25}},
                                                                    {"V", &Composition::V, {0, 0.25}},
                                                                    {"W", &Composition::W, {0, 0.55}}}};

/// Alloy that undissolved cementite keeps back: its content is `enrichment` times that of the matrix. The
/// enrichments are those of the shipped 52100 (from memory: its carbide holds some 8 % chromium).
double left_in_matrix(double bulk, double cementite, double enrichment) {
  return bulk / (1.0 + cementite * (enrichment - 1.0));
}

/// For the rule of pearlite: its carbide holds the vanadium.
Composition without_vanadium(Composition wt) {
  wt.V = 0.0;
  return wt;
}

} // namespace

std::string analysis_text(const Composition& wt) {
  std::string text;
  for (const AnalysedElement& e : analysed_elements)
    if (wt.*e.share > 0)
      text += (text.empty() ? "" : " ") + std::string(e.symbol) + " " + units::format_number(wt.*e.share);
  return text;
}

double pearlite_factor_rule(const Composition& matrix) {
  const Composition alloyed = without_vanadium(matrix);
  Composition plain;
  plain.C = alloyed.C;
  const double deeper =
      ideal_diameter_a255(alloyed, rule_grain_number) / ideal_diameter_a255(plain, rule_grain_number);
  return math::exp(pearlite_rule_level) * deeper * deeper / li_pearlite_delay(matrix);
}

double pearlite_rule_band(const Composition& matrix) {
  constexpr double deepest_m = 0.1;
  return ideal_diameter_a255(without_vanadium(matrix), rule_grain_number) > deepest_m ? 5.0 : 2.5;
}

BareSteel bare_steel(const Composition& wt, const records::Phases& phases, const TemperModel& model) {
  BareSteel bare;
  SteelRecord& s = bare.record;
  s.key = "composition";
  s.designation = "a steel known by its composition";
  s.density_kg_m3 = 7800;
  s.composition = wt;
  s.phases = phases;

  records::Austenitising& a = s.austenitising;
  a.growth_time_s = 60;
  a.growth_above_K = 20;
  a.growth_halving_K = 15;
  a.dissolution_time_spheroidised_s = 300;
  a.dissolution_time_fine_s = 10;
  a.dissolution_at_degC = 800;
  a.dissolution_energy_J_mol = 240e3;
  a.carbon_wanted_wt = std::min(0.65, wt.C);
  const double above_a3 = a3_temperature(wt.C) - 727.0;
  const double middle = std::max(ae1_grange(wt) + std::max(85.0, above_a3 + 50.0), ac1_end(s) + 25.0);
  a.hardening_from_degC = middle - 10;
  a.hardening_to_degC = middle + 10;
  a.soak_from_s = a.asked_soak_s = 600;
  a.soak_to_s = 1200;

  records::Transformation& t = s.transformation;
  t.matrix = wt;
  t.matrix.C = saturation_carbon(s, middle);
  const double cementite = undissolved_cementite(s, t.matrix.C);
  t.matrix.Cr = left_in_matrix(wt.Cr, cementite, 6.6);
  t.matrix.Mn = left_in_matrix(wt.Mn, cementite, 1.8);
  t.grain_number = rule_grain_number;
  t.pearlite_factor = pearlite_factor_rule(t.matrix);
  t.bainite_factor = 1;
  t.factor_uncertainty = pearlite_rule_band(t.matrix);
  t.bainite_uncertainty = 5;
  t.ms_offset_K = 0;
  t.km_alpha_per_K = martensite_rate_van_bohemen(t.matrix, t.matrix.C);

  s.hardness = {390, 560, 200, 1050, 250, 0};
  s.temper = temper_curve(model, wt);
  s.brittle_from_degC = 230;
  s.brittle_to_degC = 400;

  const auto told = [&](const char* key, const std::string& value, const char* source,
                        const char* uncertainty) {
    s.provenance.push_back({key, value, source, "", uncertainty, ""});
  };
  const char* as_shipped = "estimate, no source: what the shipped records of plain carbon steels hold";
  told("austenitising", "60 s at Ac1 + 20 K; carbide 5 min or 10 s at 800 degC", as_shipped, "factor 3");
  told("hardening", units::format_quantity(middle, "temperature"),
       "estimate, no source: Ae1 (Grange 1961) + 85 K, or 50 K above the A3 of its carbon", "15 K");
  told("transformation.pearlite_factor", units::format_number(t.pearlite_factor), pearlite_rule_source,
       t.factor_uncertainty > 4 ? "factor 5" : "factor 2.5");
  told("transformation.bainite_factor", units::format_number(t.bainite_factor),
       "the law as fitted to the isothermal diagram of 100Cr6", "factor 5");
  told("transformation.matrix", "what dissolves at the hardening temperature",
       "estimate, no source: carbide keeps chromium and manganese as in 52100", "");
  told("hardness", "pearlite 390, bainite 560, ferrite 200, cementite 1050, retained austenite 250 HV",
       "from memory", "");
  told("temper", "composition model", "materials/temper_model.toml", "");

  for (const TemperModel::ElementSpan& element : shipped_range)
    if (!element.span.holds(wt.*element.share))
      bare.outside.push_back(std::string(element.symbol) + " " + units::format_number(wt.*element.share) +
                             " outside the " + units::format_number(element.span.least) + "-" +
                             units::format_number(element.span.most) +
                             " wt% of the steels its rules were found on");
  return bare;
}

} // namespace tq::steel
