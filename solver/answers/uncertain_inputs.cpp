#include "answers/uncertain_inputs.hpp"

#include "answers/told_as_set.hpp"
#include "answers/when.hpp"
#include "records/read_uncertainty.hpp"
#include "section/profile.hpp"
#include "steel/transformation.hpp"
#include "surroundings/bath.hpp"
#include "units/math.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>
#include <optional>

namespace tq::answers {
namespace {

using records::Knowledge;
using records::UncertainInputRecord;
using treatment::Case;
using treatment::Part;

/// What the program can do about one key of typical_uncertainty.toml.
struct Known {
  const char* key;
  /// Whether the input plays a part in this case.
  bool (*matters)(const Case&);
  void (*apply)(Case&, double);
  /// Width that a material's record states; nothing when the file does.
  double (*in_record)(const Case&) = nullptr;
};

bool hot_load(const Case& c) {
  return heated(c) && c.furnace().loading == treatment::Loading::hot && c.furnace().droop_K > 0;
}
bool wrapped(const Case& c) { return c.wrap.layers > 0 && (heated(c) || (c.wrap.on_in_oil && c.quenched())); }
bool with_gap(const Case& c) { return wrapped(c) && !(c.wrap.fixed_conductance_W_m2K > 0); }
bool moved(const Case& c) { return c.carried(); }
using treatment::Bath;
template <class Predicate>
bool any_bath(const Case& c, Predicate&& holds) {
  return std::any_of(c.steps.begin(), c.steps.end(), [&](const treatment::Step& step) {
    const Bath* bath = step.as<Bath>();
    return bath && holds(*bath);
  });
}
bool on_plates(const Case& c) {
  return any_bath(c, [](const Bath& b) { return b.plates.has_value(); });
}
bool has_table(const Bath& b) { return b.fixed_htc_W_m2K > 0 || !b.coolant.htc_W_m2K.empty(); }
bool has_stages(const Bath& b) {
  return has_table(b) && !(b.fixed_htc_W_m2K > 0) &&
         b.coolant.blanket_end_degC > b.coolant.convection_start_degC;
}
bool by_table(const Case& c) { return any_bath(c, has_table); }
bool by_stages(const Case& c) { return any_bath(c, has_stages); }
bool cooled_steel(const Case& c) { return transforms(c) && (moved(c) || quenched(c) || c.cooled()); }
bool tempered(const Case& c) { return transforms(c) && c.tempered(); }

double within(double value, double least, double most) { return std::clamp(value, least, most); }

/// Thickness changed by `at_spine` at the spine, `at_edge` at the edge and in proportion between.
void thicken(Case& c, double at_spine, double at_edge) {
  for (treatment::Station& station : c.blade.stations) {
    section::Profile& p = station.profile;
    for (std::size_t i = 0; i < p.x.size(); ++i) {
      const double share = p.x[i] / p.x.back(), thickness = p.top[i] - p.bottom[i];
      const double wanted = within(thickness + at_spine * (1 - share) + at_edge * share,
                                   std::min(thickness, section::least_thickness), section::most_thickness);
      p.top[i] += 0.5 * (wanted - thickness);
      p.bottom[i] -= 0.5 * (wanted - thickness);
    }
  }
}

/// Moves the end of the vapour blanket by way of the rows that correct the table.
void shift_blanket(records::CoolantRecord& coolant, double shift_K) {
  auto& rows = coolant.by_bath_temperature;
  if (rows.empty())
    rows.push_back({coolant.table_bath_degC, 1, 1, 1, 0});
  for (auto& row : rows)
    row.blanket_shift_K += shift_K;
}

/// Whether the rows change the table at `at` by more than its own doubt hides.
bool corrects(const std::vector<records::StageCorrection>& rows, double at) {
  constexpr double little = 0.05, little_K = 3;
  const auto c = surroundings::correction_at(rows, at);
  return std::max({std::abs(math::log(c.film)), std::abs(math::log(c.peak)),
                   std::abs(math::log(c.convection))}) > little ||
         std::abs(c.blanket_shift_K) > little_K;
}

/// Every change by the rows (1 + share) times as large; what they do at `neutral` stays.
void stretch(std::vector<records::StageCorrection>& rows, double neutral, double share) {
  const double shift_K =
      surroundings::correction_at(rows, neutral).blanket_shift_K; // of the table's own doubt
  for (auto& row : rows) {
    for (double* factor : {&row.film, &row.peak, &row.convection})
      *factor = math::pow(*factor, 1 + share);
    row.blanket_shift_K = shift_K + (row.blanket_shift_K - shift_K) * (1 + share);
  }
}

void scale_solution(Case& c, double factor) {
  auto& a = c.steel.austenitising;
  a.growth_time_s *= factor;
  a.dissolution_time_spheroidised_s *= factor;
  a.dissolution_time_fine_s *= factor;
}

void move_coldest(Case& c, double change_K) {
  constexpr double same_K = 1;
  const double lowest = c.lowest_degC();
  if (std::abs(lowest - c.cool().air_degC) < same_K)
    c.cool().air_degC += change_K;
  c.cool_to(lowest + change_K);
}

constexpr double brightest = 0.05, blackest = 0.98; ///< emissivities that a surface in a shop may have

/// Furnace, foil, surface and the way to the bath.
std::vector<Known> of_heating() {
  return {
      {"furnace_reading", heated, [](Case& c, double x) { c.furnace().reading_offset_K += x; }},
      {"furnace_droop", hot_load, [](Case& c, double x) { c.furnace().droop_K *= x; }},
      {"furnace_recovery", hot_load, [](Case& c, double x) { c.furnace().recovery_s *= x; }},
      {"furnace_walls", heated,
       [](Case& c, double x) {
         c.furnace().wall_emissivity = within(c.furnace().wall_emissivity + x, brightest, 1);
       }},
      {"furnace_convection", heated, [](Case& c, double x) { c.furnace().convection_W_m2K *= x; }},
      {"furnace_support", [](const Case& c) { return heated(c) && c.furnace().support.has_value(); },
       [](Case& c, double x) { c.furnace().support->conductance_W_m2K *= x; }},
      {"foil_gap", with_gap,
       [](Case& c, double x) {
         for (double& gap : c.wrap.gap_m)
           gap *= x;
       },
       [](const Case& c) { return c.wrap.foil.gap_factor; }},
      {"foil_contact", with_gap,
       [](Case& c, double x) { c.wrap.contact_fraction = within(c.wrap.contact_fraction * x, 0, 1); }},
      {"foil_outside", wrapped,
       [](Case& c, double x) {
         c.wrap.emissivity_outside = within(c.wrap.emissivity_outside + x, brightest, blackest);
         if (c.wrap.emissivity_oxidised)
           *c.wrap.emissivity_oxidised = within(*c.wrap.emissivity_oxidised + x, brightest, blackest);
       }},
      {"foil_inside", wrapped,
       [](Case& c, double x) {
         c.wrap.emissivity_inside = within(c.wrap.emissivity_inside + x, brightest, blackest);
       }},
      {"steel_emissivity", [](const Case& c) { return heated(c) || moved(c); },
       [](Case& c, double x) {
         for (double* e : {&c.surface.emissivity_air, &c.surface.emissivity_scaled,
                           &c.surface.emissivity_furnace, &c.surface.emissivity_in_foil})
           *e = within(*e * x, brightest, std::max(*e, blackest));
       }},
      {"transfer_time", moved,
       [](Case& c, double x) {
         // nobody gets there in less than a third of the time that he thinks
         treatment::Air& way = c.transfer();
         way.time_s = std::max(way.time_s + x, way.time_s / 3);
       }},
  };
}

/// Baths.
std::vector<Known> of_baths() {
  return {
      {"oil_h", by_table,
       [](Case& c, double x) {
         c.for_each_bath([x](Bath& b) {
           b.fixed_htc_W_m2K *= x;
           for (double& h : b.coolant.htc_W_m2K.y)
             h *= x;
         });
       },
       [](const Case& c) { return c.bath().coolant.h_uncertainty; }},
      {"oil_blanket", by_stages,
       [](Case& c, double x) {
         c.for_each_bath([x](Bath& b) {
           if (has_stages(b))
             shift_blanket(b.coolant, x);
         });
       },
       [](const Case& c) { return c.bath().coolant.blanket_uncertainty_K; }},
      {"oil_temperature", quenched,
       [](Case& c, double x) {
         c.for_each_bath([x](Bath& b) {
           const bool water = b.coolant.kind == records::CoolantKind::water && !(b.fixed_htc_W_m2K > 0);
           const double T = b.temperature_degC + x;
           b.temperature_degC = water ? within(T, 0, 100) : T;
         });
       }},
      {"oil_volume", [](const Case& c) { return any_bath(c, [](const Bath& b) { return b.volume_m3 > 0; }); },
       [](Case& c, double x) { c.for_each_bath([x](Bath& b) { b.volume_m3 *= x; }); }},
      {"oil_agitation",
       [](const Case& c) { return any_bath(c, [](const Bath& b) { return b.agitation_m_s > 0; }); },
       [](Case& c, double x) { c.for_each_bath([x](Bath& b) { b.agitation_m_s *= x; }); }},
      {"oil_by_temperature",
       [](const Case& c) {
         return any_bath(c, [](const Bath& b) {
           return has_stages(b) && corrects(b.coolant.by_bath_temperature, b.temperature_degC);
         });
       },
       [](Case& c, double x) {
         c.for_each_bath([x](Bath& b) {
           if (has_stages(b))
             stretch(b.coolant.by_bath_temperature, b.coolant.table_bath_degC, x);
         });
       },
       [](const Case& c) { return c.bath().coolant.by_bath_uncertainty; }},
      {"oil_by_agitation",
       [](const Case& c) {
         return any_bath(c, [](const Bath& b) {
           return has_stages(b) && corrects(b.coolant.by_agitation, b.agitation_m_s);
         });
       },
       [](Case& c, double x) {
         c.for_each_bath([x](Bath& b) {
           if (has_stages(b))
             stretch(b.coolant.by_agitation, 0, x);
         });
       },
       [](const Case& c) { return c.bath().coolant.by_agitation_uncertainty; }},
  };
}

/// Plates, an edge-only quench, clay.
std::vector<Known> of_covered_quench() {
  return {
      {"plate_contact", on_plates,
       [](Case& c, double x) {
         c.for_each_bath([x](Bath& b) {
           if (b.plates)
             for (double& contact : b.plates->contact_W_m2K)
               contact *= x;
         });
       },
       [](const Case& c) {
         double widest = 1;
         for (const treatment::Step& step : c.steps)
           if (const Bath* b = step.as<Bath>(); b && b->plates)
             widest = std::max(widest, b->plates->metal.contact_factor);
         return widest;
       }},
      {"immersion",
       [](const Case& c) { return any_bath(c, [](const Bath& b) { return b.immersion_m > 0; }); },
       [](Case& c, double x) {
         // the edge is always in and the spine never: else it would be another quench
         const double deepest = c.blade.stations.front().profile.width();
         c.for_each_bath([x, deepest](Bath& b) {
           if (b.immersion_m > 0)
             b.immersion_m = within(b.immersion_m + x, 0.2 * b.immersion_m,
                                    std::max(b.immersion_m, 0.5 * (b.immersion_m + deepest)));
         });
       }},
      {"coat_thickness", [](const Case& c) { return c.coat.has_value(); },
       [](Case& c, double x) {
         for (double& thickness : c.coat->thickness_m)
           thickness *= x;
         c.coat->spine_m *= x;
         c.coat->edge_m *= x;
       }},
  };
}

/// The steel, its temper and the section.
std::vector<Known> of_steel() {
  return {
      {"coldest", [](const Case& c) { return transforms(c) && c.cooled(); }, move_coldest},
      {"steel_carbon", transforms,
       [](Case& c, double x) {
         // what a steel is bought for stays: a bar may be off, it does not become another steel
         const double stated = c.steel.composition.C;
         c.steel.composition.C = within(stated + x, 0.5 * stated, 1.5 * stated);
       }},
      {"steel_solution", [](const Case& c) { return transforms(c) && heated(c); }, scale_solution},
      {"reheated_carbide", reheated,
       [](Case& c, double x) { c.steel.austenitising.dissolution_time_fine_s *= x; }},
      {"reheated_grain", [](const Case& c) { return reheated(c) && cooled_steel(c); },
       [](Case& c, double x) {
         // the rates are told for a grain: that one finer is as the steel's own one coarser
         c.steel.transformation.grain_number += 2 * math::log2(x);
       }},
      {"steel_pearlite", cooled_steel, [](Case& c, double x) { c.steel.transformation.pearlite_factor *= x; },
       [](const Case& c) { return c.steel.transformation.factor_uncertainty; }},
      {"steel_bainite", cooled_steel, [](Case& c, double x) { c.steel.transformation.bainite_factor *= x; },
       [](const Case& c) { return c.steel.transformation.bainite_uncertainty; }},
      {"steel_progress", cooled_steel,
       [](Case& c, double x) {
         c.steel.phases.pearlite_exponent *= x;
         c.steel.phases.bainite_exponent *= x;
       }},
      {"steel_ms", cooled_steel, [](Case& c, double x) { c.steel.transformation.ms_offset_K += x; },
       [](const Case& c) {
         // what carbide keeps back is an input of its own (steel_solution)
         return steel::martensite_start_band(c.steel.composition, c.steel.composition.C);
       }},
      {"martensite_rate", cooled_steel,
       [](Case& c, double x) { c.steel.transformation.km_alpha_per_K *= x; }},
      {"fresh_hardness", cooled_steel, nullptr},
      {"temper_curve", tempered,
       [](Case& c, double x) {
         records::TemperCurve& curve = c.steel.temper;
         for (double& hrc : curve.hardness_HRC)
           hrc += x;
         // beyond the table as much more as it is in doubt there
         for (std::size_t i = 0; i < curve.beyond_HRC.size(); ++i)
           curve.beyond_HRC[i] +=
               curve.uncertainty_HRC > 0 ? x * curve.beyond_uncertainty_HRC[i] / curve.uncertainty_HRC : x;
       },
       [](const Case& c) { return c.steel.temper.uncertainty_HRC; }},
      {"oven_reading", tempered,
       [](Case& c, double x) { c.for_each_oven([x](treatment::Oven& o) { o.oven_degC += x; }); }},
      {"oven_swing", [](const Case& c) { return tempered(c) && c.oven().swing_K > 0; },
       [](Case& c, double x) { c.for_each_oven([x](treatment::Oven& o) { o.swing_K *= x; }); }},
      {"spine_thickness", [](const Case&) { return true; }, [](Case& c, double x) { thicken(c, x, 0); }},
      {"edge_thickness", [](const Case&) { return true; }, [](Case& c, double x) { thicken(c, 0, x); }},
  };
}

const std::vector<Known>& known_inputs() {
  static const std::vector<Known> known = [] {
    std::vector<Known> all;
    for (const auto& part : {of_heating(), of_baths(), of_covered_quench(), of_steel()})
      all.insert(all.end(), part.begin(), part.end());
    return all;
  }();
  return known;
}

void shift_fresh_hardness(StationAnswer& s, double change_HRC) {
  for (ZoneAnswer& zone : s.zones)
    zone.as_quenched_HRC += change_HRC;
  s.hrc_as_quenched_least += change_HRC;
  s.hrc_as_quenched_most += change_HRC;
}

Distribution distribution_of(const UncertainInputRecord& record, double width) {
  switch (record.spread) {
  case records::Spread::normal:
    return Distribution::normal(0, width);
  case records::Spread::lognormal:
    return Distribution::lognormal(1, record.dimension == "fraction" ? 1 + width : width);
  case records::Spread::uniform:
    return Distribution::uniform(-width, width);
  case records::Spread::triangular:
    return Distribution::triangular(-width, 0, width);
  }
  return {};
}

/// Nothing when the input is exact.
std::optional<UncertainInput> uncertain_input(const Case& c, const UncertainInputRecord& record,
                                              const Known& known) {
  UncertainInput input;
  input.key = record.key;
  input.name = record.name;
  input.source = record.source;
  std::optional<double> width;
  const auto& stated = c.uncertainty.stated;
  const auto doubt = std::find_if(stated.begin(), stated.end(),
                                  [&](const treatment::Doubt& d) { return d.input == record.key; });
  if (doubt != stated.end()) {
    input.knowledge = doubt->knowledge;
    width = doubt->width;
    if (width)
      input.source = "given in the case file";
  }
  if (!width)
    width = record.width[static_cast<std::size_t>(input.knowledge)];
  if (!width) {
    if (known.in_record == nullptr)
      throw records::InputError("typical_uncertainty.toml: " + record.key +
                                ": \"record\", but no record states it; write a width");
    width = known.in_record(c);
    input.source = "the record";
  }
  if (*width <= (record.dimension == "factor" ? 1.0 : 0.0))
    return std::nullopt;
  input.width = records::width_text(record, *width);
  input.distribution = distribution_of(record, *width);
  if (known.apply != nullptr)
    input.apply = known.apply;
  else
    input.adjust = shift_fresh_hardness;
  return input;
}

/// To two digits, as a width is told.
double two_digits(double value) {
  if (!(value > 0) || !std::isfinite(value))
    return value;
  const double unit = math::pow(10.0, std::floor(math::log10(value)) - 1);
  return std::round(value / unit) * unit;
}

/// What the shop's readings make of the input.
void narrow(const Case& c, const UncertainInputRecord& record, UncertainInput& input) {
  if (!c.uncertainty.learnt)
    return;
  const treatment::Learnt& learnt = *c.uncertainty.learnt;
  const auto found = std::find(learnt.inputs.begin(), learnt.inputs.end(), record.key);
  if (found == learnt.inputs.end())
    return;
  const auto at = static_cast<std::size_t>(found - learnt.inputs.begin());
  const double sd = std::sqrt(learnt.covariance[at * learnt.inputs.size() + at]);
  input.learnt = at;
  // what goes into the case is there already
  input.distribution =
      input.distribution.narrowed(learnt.middle[at], sd, input.apply != nullptr && !told_as_set(record.key));
  constexpr double low = 0.05, high = 0.95;
  const double from = input.distribution.quantile(low), to = input.distribution.quantile(high);
  const bool factor = record.spread == records::Spread::lognormal;
  const double width = factor ? std::sqrt(to / from) : 0.5 * (to - from);
  input.width =
      records::width_text(record, two_digits(record.dimension == "fraction" && factor ? width - 1 : width));
  input.source = learnt.from;
}

} // namespace

bool reheated(const Case& c) {
  const auto furnace = c.hardening().furnace;
  return !c.steel.inert && furnace &&
         std::any_of(c.steps.begin(), c.steps.begin() + static_cast<std::ptrdiff_t>(*furnace),
                     [](const treatment::Step& s) { return s.as<treatment::Furnace>() != nullptr; });
}

std::vector<UncertainInput> uncertain_inputs(const Case& c) {
  std::vector<UncertainInput> inputs;
  for (const UncertainInputRecord& record : c.uncertainty.usual.inputs) {
    const auto& all = known_inputs();
    const auto known =
        std::find_if(all.begin(), all.end(), [&](const Known& k) { return k.key == record.key; });
    if (known == all.end())
      throw records::InputError("typical_uncertainty.toml: " + record.key +
                                " is no input that the program knows");
    if (!known->matters(c))
      continue;
    if (auto input = uncertain_input(c, record, *known)) {
      narrow(c, record, *input);
      inputs.push_back(std::move(*input));
    }
  }
  return inputs;
}

std::vector<double> linked_points(const Case& c, const std::vector<UncertainInput>& inputs,
                                  std::vector<double> points) {
  std::vector<std::size_t> at;
  for (std::size_t i = 0; i < inputs.size(); ++i)
    if (inputs[i].learnt)
      at.push_back(i);
  if (at.empty())
    return points;
  const treatment::Learnt& learnt = *c.uncertainty.learnt;
  const std::size_t all = learnt.inputs.size(), n = at.size(), d = inputs.size();
  Eigen::MatrixXd together(n, n);
  const auto covariance = [&](std::size_t i, std::size_t j) {
    return learnt.covariance[*inputs[at[i]].learnt * all + *inputs[at[j]].learnt];
  };
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t j = 0; j < n; ++j)
      together(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) =
          i == j ? 1 : covariance(i, j) / std::sqrt(covariance(i, i) * covariance(j, j));
  const Eigen::LLT<Eigen::MatrixXd> factor(together);
  if (factor.info() != Eigen::Success)
    return points; // nearly singular: each on its own is the wider answer
  const Eigen::MatrixXd lower = factor.matrixL();
  Eigen::VectorXd score(n);
  for (std::size_t p = 0; p < points.size(); p += d) {
    for (std::size_t i = 0; i < n; ++i)
      score(static_cast<Eigen::Index>(i)) = normal_quantile(points[p + at[i]]);
    score = (lower * score).eval();
    for (std::size_t i = 0; i < n; ++i)
      points[p + at[i]] =
          std::clamp(normal_share_below(score(static_cast<Eigen::Index>(i))), 0x1p-53, 1 - 0x1p-53);
  }
  return points;
}

Case perturbed(const Case& c, const std::vector<UncertainInput>& inputs, const double* changes) {
  Case changed = c;
  for (std::size_t i = 0; i < inputs.size(); ++i)
    if (inputs[i].apply)
      inputs[i].apply(changed, changes[i]);
  return changed;
}

} // namespace tq::answers
