#include "steel/record_gaps.hpp"

#include "records/elements.hpp"
#include "records/sourced.hpp"
#include "steel/bare_steel.hpp"
#include "steel/hardness.hpp"
#include "steel/transformation.hpp"
#include "units/math.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tq::steel {

namespace {

using records::Composition;
using records::Node;
using records::Range;
using records::Sourced;
using units::format_number;
using units::format_quantity;

/// What the table says; its bounds are checked when the record is read.
void read_shares(const Sourced& at, Composition& wt) {
  for (const auto& [symbol, share] : records::elements)
    if (const auto value = at.optional_number(symbol, Range{0, 100}))
      wt.*share = *value;
}

/// Collects what is missing, as further tables of the document.
class Gaps {
 public:
  explicit Gaps(const Node& root) : root_(root) {}

  bool missing(const std::string& table, const std::string& key) const {
    const auto at = root_.optional_table(table);
    return !at || !at->has(key);
  }
  /// A number (bare) or a value with its unit (text).
  void number(const std::string& table, const std::string& key, double value, const char* why,
              const std::string& uncertainty) {
    if (missing(table, key))
      add(table + "." + key, format_number(value), format_number(value), why, uncertainty);
  }
  void quantity(const std::string& table, const std::string& key, double value, const char* dimension,
                const char* why, const char* uncertainty) {
    const std::string shown = format_quantity(value, dimension);
    if (missing(table, key))
      add(table.empty() ? key : table + "." + key, shown, records::toml_string(shown), why, uncertainty);
  }
  /// `written` is the value as TOML.
  void add(const std::string& key, const std::string& shown, const std::string& written, const char* why,
           const std::string& uncertainty) {
    begin(key, shown, why, uncertainty);
    text_ += "value = " + written + "\n";
  }
  void curve(const records::TemperCurve& curve, const char* why, const std::string& uncertainty) {
    std::string T, hrc;
    for (std::size_t i = 0; i < curve.temperature_degC.size(); ++i) {
      T += (i == 0 ? "" : ", ") + format_number(curve.temperature_degC[i]);
      hrc += (i == 0 ? "" : ", ") + format_number(std::round(10 * curve.hardness_HRC[i]) / 10);
    }
    begin("temper.curve", "composition model, 100 to 650 degC", why, uncertainty);
    text_ +=
        "unit = \"HRC\"\ntemperature = { unit = \"degC\", values = [" + T + "] }\nvalues = [" + hrc + "]\n";
  }

  std::string text_;
  std::vector<Gap> found_;

 private:
  void begin(const std::string& key, const std::string& shown, const char* why,
             const std::string& uncertainty) {
    const std::string source = std::string(gap_source) + ": " + why;
    found_.push_back({key, shown, source, uncertainty});
    text_ += "\n[" + key + "]\nsource = " + records::toml_string(source) +
             "\nuncertainty = " + records::toml_string(uncertainty) + "\n";
  }

  const Node& root_;
};

double given(const Node& root, const char* table, const char* key, const char* dimension, double otherwise) {
  const auto at = root.optional_table(table);
  if (!at || !at->has(key))
    return otherwise;
  std::vector<records::Provenance> unwanted;
  return Sourced(root, unwanted).table(table).quantity(key, dimension, Range{-1e9, 1e9});
}

/// To three digits, for people to read.
double rounded(double value) {
  if (value <= 0)
    return value;
  const double unit = math::pow(10.0, std::floor(math::log10(value)) - 2);
  return std::round(value / unit) * unit;
}

constexpr const char* as_shipped = "what the shipped records of plain carbon steels hold";

void austenite_gaps(const Node& root, Gaps& gaps, records::SteelRecord& guess) {
  records::Austenitising& a = guess.austenitising;
  const char* const factor = "a factor 3 on the times";
  const std::string table = "austenitising";
  gaps.quantity(table, "growth_time", a.growth_time_s, "time", as_shipped, factor);
  gaps.quantity(table, "growth_above", a.growth_above_K, "temperature_difference", as_shipped, factor);
  gaps.quantity(table, "growth_halving", a.growth_halving_K, "temperature_difference", as_shipped, factor);
  gaps.quantity(table, "dissolution_time_spheroidised", a.dissolution_time_spheroidised_s, "time", as_shipped,
                factor);
  gaps.quantity(table, "dissolution_time_fine_pearlite", a.dissolution_time_fine_s, "time", as_shipped,
                factor);
  gaps.quantity(table, "dissolution_at", a.dissolution_at_degC, "temperature", as_shipped, factor);
  gaps.quantity(table, "dissolution_energy", a.dissolution_energy_J_mol, "energy_per_mole", as_shipped,
                factor);
  gaps.number(table, "carbon_wanted", a.carbon_wanted_wt, "0.65, or all the carbon there is", "0.05");

  // Where one end of a range is given, the other must not lie on the wrong side of it.
  const char* const rule = "Ae1 (Grange 1961) + 85 K, or 50 K above the A3 of its carbon, 10 K either way";
  const auto ends = [&](const char* lower, const char* upper, const char* dimension, double& from, double& to,
                        const char* why, const char* uncertainty) {
    const bool has_from = !gaps.missing("hardening", lower), has_to = !gaps.missing("hardening", upper);
    from = given(root, "hardening", lower, dimension, from);
    to = given(root, "hardening", upper, dimension, to);
    if (from > to)
      (has_from && !has_to ? to : from) = has_from && !has_to ? from : to;
    gaps.quantity("hardening", lower, from, dimension, why, uncertainty);
    gaps.quantity("hardening", upper, to, dimension, why, uncertainty);
  };
  ends("temperature_from", "temperature_to", "temperature", a.hardening_from_degC, a.hardening_to_degC, rule,
       "15 K");
  ends("soak_from", "soak_to", "time", a.soak_from_s, a.soak_to_s, "common practice, no source",
       "a factor 2");
  gaps.quantity("hardening", "soak_asked", a.soak_from_s, "time", "the shortest usual soak", "a factor 2");
}

void transformation_gaps(const Node& root, Gaps& gaps, records::SteelRecord& guess) {
  records::Transformation& t = guess.transformation;
  const std::string table = "transformation";
  const auto at = root.optional_table(table);
  const bool matrix_given = at && at->has("matrix");
  // What dissolves in the middle of the hardening range, which may be given.
  const double middle =
      0.5 * (guess.austenitising.hardening_from_degC + guess.austenitising.hardening_to_degC);
  Composition matrix = matrix_given ? guess.composition : t.matrix;
  matrix.C = std::min(guess.composition.C, saturation_carbon(guess, middle));
  const Composition assumed = matrix;
  if (matrix_given) {
    std::vector<records::Provenance> unwanted;
    read_shares(Sourced(root, unwanted).table(table).table("matrix"), matrix);
  }
  const auto shares = [&](const char* symbol, double share) {
    if (!matrix_given || !at->table("matrix").has(symbol))
      gaps.add("transformation.matrix." + std::string(symbol), format_number(share), format_number(share),
               "what dissolves in the middle of the hardening range; carbide keeps chromium and manganese as "
               "in 52100",
               "0.05");
  };
  shares("C", std::floor(1000 * assumed.C) / 1000);
  if (!matrix_given) {
    if (assumed.Mn < guess.composition.Mn)
      shares("Mn", rounded(assumed.Mn));
    if (assumed.Cr < guess.composition.Cr)
      shares("Cr", rounded(assumed.Cr));
  }
  const bool own_pearlite = !gaps.missing(table, "pearlite_factor");
  const double rule_band = pearlite_rule_band(matrix);
  gaps.number(table, "pearlite_factor", rounded(pearlite_factor_rule(matrix)), pearlite_rule_source,
              "a factor " + format_number(rule_band) + " either way; 2 with a start curve");
  gaps.number(table, "factor_uncertainty", own_pearlite ? 2 : rule_band,
              "that of the rule, or 2 for a factor given", "");
  const bool own_bainite = !gaps.missing(table, "bainite_factor");
  gaps.number(table, "bainite_factor", 1, "the law as fitted to the isothermal diagram of 100Cr6",
              "a factor 5 either way");
  if (!own_bainite)
    gaps.number(table, "bainite_uncertainty", 5, "that of the rule", "");
  gaps.number(table, "grain_number", t.grain_number, "fine grain, as usual soaks of the shipped steels give",
              "1");
  gaps.quantity(table, "ms_offset", t.ms_offset_K, "temperature_difference", "the formula of Ms as fitted",
                "39-64 K, as the formula's band says");
  gaps.quantity(table, "martensite_rate", t.km_alpha_per_K, "per_kelvin",
                "van Bohemen 2012, Mater. Sci. Technol. 28, 487-495, at the carbon of the matrix", "15 %");
}

void hardness_gaps(Gaps& gaps, const records::ConstituentHardness& h) {
  const auto hv = [&](const char* key, double value, const char* uncertainty) {
    gaps.quantity("hardness", key, value, "hardness_HV", "from memory, as in the shipped records",
                  uncertainty);
  };
  hv("pearlite", h.pearlite_HV, "20 HV");
  hv("bainite", h.bainite_HV, "70 HV");
  hv("ferrite", h.ferrite_HV, "20 HV");
  hv("cementite", h.cementite_HV, "50 HV");
  hv("retained_austenite", h.retained_austenite_HV, "50 HV");
}

void temper_gaps(const Node& root, Gaps& gaps, const records::TemperCurve& model_curve) {
  const std::string table = "temper";
  const bool own_curve = !gaps.missing(table, "curve");
  double hardest = model_curve.as_quenched_HRC;
  if (own_curve) {
    const Node curve = root.table(table).table("curve");
    hardest = 0;
    for (const double hrc : curve.quantities("values", "hardness_HRC", Range{0, 70}))
      hardest = std::max(hardest, hrc);
  }
  const std::string band = format_number(std::round(10 * model_curve.uncertainty_HRC) / 10);
  if (!own_curve)
    gaps.curve(model_curve, "composition model (materials/temper_model.toml)",
               band + " HRC; 1 with the table of a data sheet");
  gaps.number(table, "hollomon_jaffe_constant", own_curve ? 16 : model_curve.hj_constant_h,
              "Hollomon & Jaffe 1945, Trans. AIME 162, 223", "2");
  gaps.quantity(table, "hold", model_curve.hold_s, "time", "the least that data sheets print", "1-2 h");
  gaps.quantity(table, "as_quenched", own_curve ? hardest : std::ceil(10 * model_curve.as_quenched_HRC) / 10,
                "hardness_HRC",
                own_curve ? "the hardest point of the curve" : "composition model at 100 degC", "1 HRC");
  if (gaps.missing(table, "uncertainty_of_curve"))
    gaps.quantity(table, "uncertainty_of_curve", own_curve ? 1.0 : std::stod(band), "hardness_HRC",
                  own_curve ? "scatter between data sheets" : "twice the rms over left-out steels", "");
}

/// "[temper.beyond]" for a record with a table of its own that does not say what comes behind it.
std::string beyond_text(const Node& root, const Composition& wt, const TemperModel& model) {
  const auto temper = root.optional_table("temper");
  if (!temper || !temper->has("curve") || temper->has("beyond"))
    return {};
  std::vector<records::Provenance> unwanted;
  const Sourced at = Sourced(root, unwanted).table("temper");
  const records::Table points =
      at.points("curve", "temperature", "temperature", Range{0, 750}, "hardness_HRC", Range{0, 70});
  records::TemperCurve curve;
  curve.temperature_degC = points.x;
  curve.hardness_HRC = points.y;
  curve.hold_s = at.optional_quantity("hold", "time", Range{0, 200 * 3600.0, true}).value_or(3600.0);
  curve.uncertainty_HRC =
      at.optional_quantity("uncertainty_of_curve", "hardness_HRC", Range{0, 20}).value_or(1.0);
  beyond_table(model, wt, curve);
  if (curve.beyond_degC.empty())
    return {};
  const auto list = [](const std::vector<double>& values) {
    std::string text;
    for (const double v : values)
      text += (text.empty() ? "" : ", ") + format_number(std::round(100 * v) / 100);
    return "[" + text + "]";
  };
  return "\n\n# What comes behind the table.\n[temper.beyond]\nsource = \"composition model "
         "(materials/temper_model.toml), joined to the end of the table\"\nunit = \"HRC\"\ntemperature = { "
         "unit = "
         "\"degC\", values = " +
         list(curve.beyond_degC) + " }\nvalues = " + list(curve.beyond_HRC) +
         "\nplus_or_minus = " + list(curve.beyond_uncertainty_HRC) + "\n";
}

} // namespace

std::size_t filled_values(const records::SteelRecord& steel) {
  return static_cast<std::size_t>(
      std::count_if(steel.provenance.begin(), steel.provenance.end(), [](const records::Provenance& p) {
        return std::string_view(p.source).substr(0, gap_source.size()) == gap_source;
      }));
}

FilledRecord fill_gaps(std::string_view text, const std::string& file, const records::Phases& phases,
                       const TemperModel& model) {
  FilledRecord filled;
  filled.text = text;
  const Node root = records::parse_document(text, file);
  if (root.flag("inert", false))
    return filled;

  std::vector<records::Provenance> unwanted;
  const Sourced at(root, unwanted);
  Composition wt;
  const Sourced composition = at.table("composition");
  wt.C = composition.number("C", Range{0.1, 2.0}, "wt%");
  read_shares(composition, wt);

  BareSteel bare = bare_steel(wt, phases, model);
  records::SteelRecord& guess = bare.record;
  Gaps gaps(root);
  if (!root.has("density"))
    gaps.add("density", format_quantity(guess.density_kg_m3, "density"),
             records::toml_string(format_quantity(guess.density_kg_m3, "density")), as_shipped, "1 %");
  austenite_gaps(root, gaps, guess);
  transformation_gaps(root, gaps, guess);
  hardness_gaps(gaps, guess.hardness);
  temper_gaps(root, gaps, guess.temper);
  if (!root.has("embrittlement") &&
      !gaps.found_.empty()) { // a whole record leaves it out where none is known
    const char* const why = "ranges printed for carbon and low-alloy steels";
    gaps.quantity("embrittlement", "from", guess.brittle_from_degC, "temperature", why, "30 K");
    gaps.quantity("embrittlement", "to", guess.brittle_to_degC, "temperature", why, "30 K");
  }

  filled.outside = bare.outside;
  if (gaps.missing("temper", "curve")) {
    constexpr double usual_degC = 200.0, hour_s = 3600.0;
    for (const std::string& reason : tempered_hardness(model, wt, usual_degC, hour_s).outside)
      filled.outside.push_back("temper model: " + reason);
  }
  const std::string beyond = beyond_text(root, wt, model);
  if (!gaps.found_.empty())
    filled.text += "\n\n# Added by rules for what this record does not say." + gaps.text_;
  filled.text += beyond;
  filled.gaps = std::move(gaps.found_);
  return filled;
}

} // namespace tq::steel
