#include "records/read_steel.hpp"

#include "records/elements.hpp"
#include "records/sourced.hpp"

#include <array>
#include <utility>

namespace tq::records {

namespace {

// What a steel may plausibly be; wide enough for anything the formulas can be asked, narrow enough to catch a
// slipped decimal point or a wrong unit.
constexpr Range any_degC{-100.0, 1400.0};
constexpr Range hardening_degC{600.0, 1200.0};
constexpr Range conductivity_W_mK{0.01, 5000.0};
constexpr Range specific_heat_J_kgK{10.0, 100e3};
constexpr Range latent_heat_J_kg{0.0, 1e6};
constexpr Range density_kg_m3{100.0, 30000.0};
constexpr Range latent_J_kg{0.0, 500e3};
constexpr Range duration_s{0.0, 200.0 * 3600.0, true};
constexpr Range span_K{0.0, 500.0, true};
constexpr Range hrc{0.0, 70.0};
constexpr Range hv{50.0, 2000.0};
constexpr Range factor{1e-6, 1e6};
constexpr Range times_either_way{1.0, 100.0};
constexpr Range avrami{1.0, 6.0};
constexpr Range carbon_wt{0.1, 2.0};
constexpr Range alloy_wt{0.0, 15.0};

// Elements not written keep the value of `otherwise`.
Composition read_composition(const Sourced& at, const Composition& otherwise) {
  Composition wt = otherwise;
  wt.C = at.number("C", carbon_wt, "wt%");
  for (const Element& element : elements)
    if (element.share != &Composition::C)
      if (const auto share = at.optional_number(element.symbol, alloy_wt, "wt%"))
        wt.*element.share = *share;
  return wt;
}

struct Line {
  double at_0, slope;
};

Line least_squares(const Table& points) {
  const auto n = static_cast<double>(points.x.size());
  double mean_x = 0.0, mean_y = 0.0;
  for (std::size_t i = 0; i < points.x.size(); ++i) {
    mean_x += points.x[i] / n;
    mean_y += points.y[i] / n;
  }
  double xx = 0.0, xy = 0.0;
  for (std::size_t i = 0; i < points.x.size(); ++i) {
    xx += (points.x[i] - mean_x) * (points.x[i] - mean_x);
    xy += (points.x[i] - mean_x) * (points.y[i] - mean_y);
  }
  const double slope = xy / xx;
  return {mean_y - slope * mean_x, slope};
}

// The line must stay physical over the temperatures at which it is used.
void require_positive(const Node& at, const Line& line) {
  if (line.at_0 <= 0.0 || line.at_0 + 900.0 * line.slope <= 0.0)
    at.fail("values", "the straight line through them is not above zero from 0 to 900 degC");
}

Line read_line(const Sourced& at, std::string_view key, std::string_view dimension, Range range) {
  const Line line = least_squares(at.points(key, "temperature", "temperature", any_degC, dimension, range));
  require_positive(at.node().table(key), line);
  return line;
}

void read_phase(const Sourced& root, std::string_view key, bool required, PhaseProperties& phase) {
  const auto at = required ? root.table(key) : root.optional_table(key);
  if (!at)
    return;
  if (required || at->has("conductivity")) {
    const Line k = read_line(*at, "conductivity", "conductivity", conductivity_W_mK);
    phase.k0 = k.at_0;
    phase.k1 = k.slope;
  }
  if (required || at->has("specific_heat")) {
    const Line c = read_line(*at, "specific_heat", "specific_heat", specific_heat_J_kgK);
    phase.c0 = c.at_0;
    phase.c1 = c.slope;
  }
}

void read_latent(const Sourced& root, std::string_view key, bool required, double& heat, double& at_degC) {
  const auto at = required ? root.table(key) : root.optional_table(key);
  if (!at)
    return;
  heat = at->quantity("heat", "latent_heat", latent_J_kg);
  at_degC = at->quantity("at", "temperature", any_degC);
}

// The whole set (`required`) or what a steel says differently.
void read_phase_tables(const Sourced& root, bool required, Phases& phases) {
  read_phase(root, "austenite", required, phases.austenite);
  read_phase(root, "pearlite", required, phases.pearlite);
  read_phase(root, "martensite", required, phases.martensite);
  read_latent(root, "latent_heat_pearlite", required, phases.latent_pearlite_J_kg,
              phases.latent_pearlite_at_degC);
  read_latent(root, "latent_heat_bainite", required, phases.latent_bainite_J_kg,
              phases.latent_bainite_at_degC);
  read_latent(root, "latent_heat_martensite", required, phases.latent_martensite_J_kg,
              phases.latent_martensite_at_degC);
  const auto curie = required ? root.table("curie_bell") : root.optional_table("curie_bell");
  if (curie) {
    phases.curie_heat_J_kg = curie->quantity("heat", "latent_heat", latent_J_kg);
    phases.curie_from_degC = curie->quantity("from", "temperature", any_degC);
    phases.curie_peak_degC = curie->quantity("peak", "temperature", any_degC);
    if (phases.curie_peak_degC <= phases.curie_from_degC)
      curie->node().fail("peak", "must lie above `from`");
  }
  const auto progress = required ? root.table("progress") : root.optional_table("progress");
  if (progress) {
    phases.pearlite_exponent = progress->number("pearlite_exponent", avrami);
    phases.bainite_exponent = progress->number("bainite_exponent", avrami);
  }
}

// A pair of keys of which the second must not lie under the first.
void require_order(const Sourced& at, std::string_view upper_key, double lower, double upper,
                   std::string_view lower_key) {
  if (upper < lower)
    at.node().fail(upper_key, "must not lie under `" + std::string(lower_key) + "`");
}

void read_austenitising(const Sourced& root, const Composition& bulk, Austenitising& a) {
  const Sourced at = root.table("austenitising");
  a.ac1_degC = at.optional_quantity("ac1", "temperature", Range{600.0, 900.0});
  a.ac1_end_degC = at.optional_quantity("ac1_end", "temperature", Range{600.0, 1000.0});
  if (a.ac1_degC && a.ac1_end_degC)
    require_order(at, "ac1_end", *a.ac1_degC, *a.ac1_end_degC, "ac1");
  a.growth_time_s = at.quantity("growth_time", "time", duration_s);
  a.growth_above_K = at.quantity("growth_above", "temperature_difference", span_K);
  a.growth_halving_K = at.quantity("growth_halving", "temperature_difference", span_K);
  a.dissolution_time_spheroidised_s = at.quantity("dissolution_time_spheroidised", "time", duration_s);
  a.dissolution_time_fine_s = at.quantity("dissolution_time_fine_pearlite", "time", duration_s);
  a.dissolution_at_degC = at.quantity("dissolution_at", "temperature", hardening_degC);
  a.dissolution_energy_J_mol = at.quantity("dissolution_energy", "energy_per_mole", Range{0.0, 1e6});
  a.carbon_wanted_wt = at.number("carbon_wanted", carbon_wt, "wt%");
  if (a.carbon_wanted_wt > bulk.C)
    at.node().fail("carbon_wanted", "is more carbon than the steel holds");

  const Sourced use = root.table("hardening");
  a.hardening_from_degC = use.quantity("temperature_from", "temperature", hardening_degC);
  a.hardening_to_degC = use.quantity("temperature_to", "temperature", hardening_degC);
  require_order(use, "temperature_to", a.hardening_from_degC, a.hardening_to_degC, "temperature_from");
  a.soak_from_s = use.quantity("soak_from", "time", duration_s);
  a.soak_to_s = use.quantity("soak_to", "time", duration_s);
  require_order(use, "soak_to", a.soak_from_s, a.soak_to_s, "soak_from");
  a.asked_soak_s = use.quantity("soak_asked", "time", duration_s);
}

void read_transformation(const Sourced& root, const Composition& bulk, Transformation& t) {
  const Sourced at = root.table("transformation");
  t.pearlite_factor = at.number("pearlite_factor", factor);
  t.bainite_factor = at.number("bainite_factor", factor);
  t.factor_uncertainty = at.number("factor_uncertainty", times_either_way);
  t.bainite_uncertainty =
      at.optional_number("bainite_uncertainty", times_either_way).value_or(t.factor_uncertainty);
  t.grain_number = at.number("grain_number", Range{-1.0, 14.0});
  t.ms_offset_K = at.quantity("ms_offset", "temperature_difference", Range{-150.0, 150.0});
  t.km_alpha_per_K = at.quantity("martensite_rate", "per_kelvin", Range{0.001, 0.1});
  t.matrix = read_composition(at.table("matrix"), bulk);
  if (t.matrix.C > bulk.C)
    at.node().table("matrix").fail("C", "is more carbon than the steel holds");
}

void read_hardness(const Sourced& root, ConstituentHardness& h) {
  const Sourced at = root.table("hardness");
  h.pearlite_HV = at.quantity("pearlite", "hardness_HV", hv);
  h.bainite_HV = at.quantity("bainite", "hardness_HV", hv);
  h.ferrite_HV = at.quantity("ferrite", "hardness_HV", hv);
  h.cementite_HV = at.quantity("cementite", "hardness_HV", hv);
  h.retained_austenite_HV = at.quantity("retained_austenite", "hardness_HV", hv);
  h.martensite_offset_HV =
      at.optional_quantity("martensite_offset", "hardness_HV", Range{-100.0, 100.0}).value_or(0.0);
}

void read_temper(const Sourced& root, TemperCurve& curve) {
  const Sourced at = root.table("temper");
  curve.hj_constant_h = at.number("hollomon_jaffe_constant", Range{5.0, 30.0});
  curve.hold_s = at.quantity("hold", "time", duration_s);
  curve.as_quenched_HRC = at.quantity("as_quenched", "hardness_HRC", hrc);
  curve.uncertainty_HRC = at.quantity("uncertainty_of_curve", "hardness_HRC", Range{0.0, 20.0});
  const Table points =
      at.points("curve", "temperature", "temperature", Range{0.0, 750.0}, "hardness_HRC", hrc);
  curve.temperature_degC = points.x;
  curve.hardness_HRC = points.y;
  for (const double hardness : curve.hardness_HRC)
    if (hardness > curve.as_quenched_HRC)
      at.node().table("curve").fail("values", "a tempered hardness is above `as_quenched`");
  if (!at.has("beyond"))
    return;
  const Table beyond =
      at.points("beyond", "temperature", "temperature", Range{0.0, 750.0}, "hardness_HRC", hrc, 1);
  const std::vector<double> band = at.node().table("beyond").numbers("plus_or_minus", Range{0.0, 30.0});
  if (band.size() != beyond.x.size())
    at.node().table("beyond").fail("plus_or_minus", "needs one value for each temperature");
  for (std::size_t i = 0; i < band.size(); ++i)
    if (beyond.x[i] > curve.temperature_degC.back()) { // the table itself goes before what stands in for it
      curve.beyond_degC.push_back(beyond.x[i]);
      curve.beyond_HRC.push_back(beyond.y[i]);
      curve.beyond_uncertainty_HRC.push_back(band[i]);
    }
}

void read_embrittlement(const Sourced& root, SteelRecord& steel) {
  const auto at = root.optional_table("embrittlement");
  if (!at)
    return;
  steel.brittle_from_degC = at->quantity("from", "temperature", Range{100.0, 700.0});
  steel.brittle_to_degC = at->quantity("to", "temperature", Range{100.0, 700.0});
  require_order(*at, "to", steel.brittle_from_degC, steel.brittle_to_degC, "from");
}

std::string stem(std::string_view file) {
  const auto slash = file.find_last_of("/\\");
  if (slash != std::string_view::npos)
    file.remove_prefix(slash + 1);
  const auto dot = file.rfind('.');
  return std::string(dot == std::string_view::npos || dot == 0 ? file : file.substr(0, dot));
}

Node parse(std::string_view text, std::string file) {
  Node root = parse_document(text, std::move(file));
  root.integer("format", Range{1, 1});
  return root;
}

} // namespace

Phases read_phases(std::string_view text, std::string file, std::vector<Provenance>* provenance) {
  const Node root = parse(text, std::move(file));
  std::vector<Provenance> unwanted;
  Phases phases;
  read_phase_tables(Sourced(root, provenance ? *provenance : unwanted), true, phases);
  root.finish();
  return phases;
}

namespace {

/// Adds to c(T) the slope of the heat taken up by a change, `taken` [J/kg] over T. Where its slope jumps c
/// climbs within a thousandth of the shorter neighbour, centred, so that the heat taken up over all is exact.
void add_latent_heat(Table& specific_heat, const Table& taken) {
  const std::vector<double>& T = taken.x;
  const auto pieces = T.size() - 1;
  const auto slope = [&](std::size_t piece) { // 0 outside
    return piece < 1 || piece > pieces ? 0.0
                                       : (taken.y[piece] - taken.y[piece - 1]) / (T[piece] - T[piece - 1]);
  };
  const auto latent = [&](double at, std::size_t below) { // just beside corner `below` or between corners
    return specific_heat(at) + slope(below);
  };
  Table sum;
  const auto add = [&](double at, double c) {
    sum.x.push_back(at);
    sum.y.push_back(c);
  };
  std::size_t own = 0;
  const std::vector<double>& x = specific_heat.x;
  for (std::size_t i = 0; i < T.size(); ++i) {
    const double before = i > 0 ? T[i] - T[i - 1] : T[1] - T[0],
                 after = i + 1 < T.size() ? T[i + 1] - T[i] : before;
    const double half = 0.5e-3 * std::min(before, after);
    for (; own < x.size() && x[own] < T[i] - half; ++own)
      if (sum.x.empty() || x[own] > sum.x.back())
        add(x[own], latent(x[own], i));
    add(T[i] - half, latent(T[i] - half, i));
    add(T[i] + half, latent(T[i] + half, i + 1));
  }
  for (; own < x.size(); ++own)
    if (x[own] > sum.x.back())
      add(x[own], latent(x[own], pieces + 1));
  specific_heat = sum;
}

} // namespace

SteelRecord read_steel(std::string_view text, std::string file, const Phases& phases) {
  SteelRecord steel;
  steel.key = stem(file);
  steel.phases = phases;
  const Node root = parse(text, std::move(file));
  steel.designation = root.text("designation");
  steel.description = root.text("description", "");
  steel.inert = root.flag("inert", false);
  const Sourced at(root, steel.provenance);
  steel.density_kg_m3 = at.quantity("density", "density", density_kg_m3);
  if (steel.inert) {
    steel.conductivity_W_mK = at.points("conductivity", "temperature", "temperature", any_degC,
                                        "conductivity", conductivity_W_mK, 1);
    steel.specific_heat_J_kgK = at.points("specific_heat", "temperature", "temperature", any_degC,
                                          "specific_heat", specific_heat_J_kgK, 1);
    if (at.has("latent_heat"))
      add_latent_heat(steel.specific_heat_J_kgK, at.points("latent_heat", "temperature", "temperature",
                                                           any_degC, "latent_heat", latent_heat_J_kg));
  } else {
    const Sourced composition = at.table("composition");
    steel.composition = read_composition(composition, Composition{});
    if (const auto own = at.optional_table("phases"))
      read_phase_tables(*own, false, steel.phases);
    read_austenitising(at, steel.composition, steel.austenitising);
    read_transformation(at, steel.composition, steel.transformation);
    read_hardness(at, steel.hardness);
    read_temper(at, steel.temper);
    read_embrittlement(at, steel);
  }
  root.finish();
  return steel;
}

} // namespace tq::records
