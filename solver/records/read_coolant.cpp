#include "records/read_coolant.hpp"

#include "records/document.hpp"
#include "records/sourced.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <utility>

namespace tq::records {

namespace {

constexpr Range bath_range{-200, 400};

// What stands for a liquid whose file does not say (from memory, as the shipped records have it).
struct Bulk {
  double density_kg_m3, specific_heat_J_kgK;
};
Bulk usual_bulk(CoolantKind kind) {
  switch (kind) {
  case CoolantKind::water:
    return {997, 4180};
  case CoolantKind::air:
    return {1.16, 1007};
  case CoolantKind::oil:
    break;
  }
  return {850, 2000};
}

void read_htc(const Sourced& record, CoolantRecord& coolant) {
  const Sourced head = record.table("heat_transfer");
  const Node& node = head.node();
  coolant.htc_kind = node.choice("kind", {"local", "lumped"}) == "lumped" ? HtcKind::lumped : HtcKind::local;
  node.choice("interpolation", {"linear", "log"}); // must be said: the two differ by half between far points
  coolant.htc_W_m2K = record.points("heat_transfer", "surface", "temperature", {-200, 1500},
                                    "heat_transfer_coefficient", {0, 1e6, true});
  if (node.has("low") != node.has("high"))
    node.fail(node.has("low") ? "low" : "high", "stands alone; write low and high, or neither");
  if (node.has("low")) {
    const Table& table = coolant.htc_W_m2K;
    for (const bool upper : {false, true}) {
      const char* key = upper ? "high" : "low";
      Table& bound = upper ? coolant.htc_high_W_m2K : coolant.htc_low_W_m2K;
      bound = {table.x, node.quantities(key, "heat_transfer_coefficient", {0, 1e6, true}),
               table.interpolation};
      if (bound.y.size() != table.y.size())
        node.fail(key, "has " + std::to_string(bound.y.size()) + " values for " +
                           std::to_string(table.y.size()) + " of h; allowed: as many of each");
      for (std::size_t n = 0; n < table.y.size(); ++n)
        if (upper ? bound.y[n] < table.y[n] : bound.y[n] > table.y[n])
          node.fail(key, std::string("must be no ") + (upper ? "less" : "more") + " than h, but value " +
                             std::to_string(n + 1) + " is");
    }
  }
  coolant.table_bath_degC = head.quantity("bath", "temperature", bath_range);
  if (const auto spread = head.optional_quantity("h_uncertainty", "fraction", {0, 10}))
    coolant.h_uncertainty = *spread;
  if (const auto spread = head.optional_quantity("blanket_uncertainty", "temperature_difference", {0, 300}))
    coolant.blanket_uncertainty_K = *spread;
  const auto convection = head.optional_quantity("convection_start", "temperature", {-200, 1500});
  const auto blanket = head.optional_quantity("blanket_end", "temperature", {-200, 1500});
  if (convection.has_value() != blanket.has_value())
    node.fail(convection ? "convection_start" : "blanket_end",
              "stands alone; write convection_start and blanket_end, or neither");
  if (!convection)
    return;
  if (*blanket <= *convection)
    node.fail("blanket_end", "must be above convection_start");
  coolant.convection_start_degC = *convection;
  coolant.blanket_end_degC = *blanket;
}

/// Rows of [by_bath_temperature] or [by_agitation]; the row at `neutral` must correct nothing.
std::vector<StageCorrection> read_corrections(const Node& root, std::string_view key,
                                              std::string_view dimension, Range at_range, double neutral,
                                              CoolantRecord& coolant, double& change_uncertainty) {
  std::vector<StageCorrection> rows;
  const auto node = root.optional_table(key);
  if (!node)
    return rows;
  if (coolant.htc_W_m2K.empty())
    node->fail("", "corrects a table of h that is not there; write [heat_transfer], or leave it out");
  if (coolant.blanket_end_degC <= coolant.convection_start_degC)
    node->fail("", "needs to know the stages; write convection_start and blanket_end in [heat_transfer]");

  const auto at = node->quantities("at", dimension, at_range);
  const Range multiplier{0, 20, true};
  const auto film = node->numbers("film", multiplier), peak = node->numbers("peak", multiplier),
             convection = node->numbers("convection", multiplier);
  const auto shift = node->quantities("blanket_shift", "temperature_difference", {-300, 300});
  if (at.empty())
    node->fail("at", "has no values; allowed: 1 or more");
  const auto same_count = [&](std::string_view name, std::size_t count) {
    if (count != at.size())
      node->fail(name, "has " + std::to_string(count) + " values for " + std::to_string(at.size()) +
                           " of at; allowed: as many of each");
  };
  same_count("film", film.size());
  same_count("peak", peak.size());
  same_count("convection", convection.size());
  same_count("blanket_shift", shift.size());

  bool has_neutral = false;
  for (std::size_t n = 0; n < at.size(); ++n) {
    if (n > 0 && at[n] <= at[n - 1])
      node->fail("at", "must ascend, but value " + std::to_string(n + 1) + " is not above value " +
                           std::to_string(n));
    rows.push_back({at[n], film[n], peak[n], convection[n], shift[n]});
    if (std::abs(at[n] - neutral) < 1e-9)
      has_neutral = film[n] == 1.0 && peak[n] == 1.0 && convection[n] == 1.0 && shift[n] == 0.0;
  }
  if (!has_neutral)
    node->fail("at", "needs a row at " + units::format_quantity(neutral, dimension) +
                         ", to which the table of h belongs, with multipliers 1 and shift 0");

  if (const auto off = node->optional_quantity("change_uncertainty", "fraction", {0, 1}))
    change_uncertainty = *off;

  std::string source = node->text("source", root.text("source", ""));
  if (source.empty())
    node->fail("", "has no source; write source = \"...\" in it (a citation, \"from memory\", \"common "
                   "practice, no source\", \"assumption, no source\")");
  coolant.provenance.push_back({std::string(key),
                                "film " + node->written("film") + ", peak " + node->written("peak") +
                                    ", convection " + node->written("convection") + ", blanket_shift " +
                                    node->written("blanket_shift") + " at " + node->written("at"),
                                std::move(source), node->text("range", ""), node->text("uncertainty", ""),
                                node->text("note", "")});
  return rows;
}

double bulk_value(const Sourced& record, std::string_view key, std::string_view dimension, Range range,
                  double usual, CoolantRecord& coolant) {
  if (const auto given = record.optional_quantity(key, dimension, range))
    return *given;
  coolant.provenance.push_back({std::string(key), units::format_quantity(usual, dimension),
                                "from memory: usual for this kind, the record does not say", "", "", ""});
  return usual;
}

/// What service does to an oil: read for its faults even where it is not asked for.
struct Aged {
  StageCorrection stages;
  double flash_falls_K = 0, h_uncertainty = 0;
};

std::optional<Aged> read_aged(const Node& root, OilState state, CoolantRecord& coolant) {
  const auto node = root.optional_table(oil_state_name(state));
  if (!node)
    return std::nullopt;
  if (coolant.kind != CoolantKind::oil)
    node->fail("", "only an oil grows old; leave it out or write kind = \"oil\"");
  const Range multiplier{0.1, 5};
  Aged aged;
  aged.stages.film = node->number("film", multiplier);
  aged.stages.peak = node->number("peak", multiplier);
  aged.stages.convection = node->number("convection", multiplier);
  aged.stages.blanket_shift_K = node->quantity("blanket_shift", "temperature_difference", {-300, 300});
  aged.flash_falls_K = node->quantity("flash_falls", "temperature_difference", {0, 300});
  aged.h_uncertainty = node->quantity("h_uncertainty", "fraction", {0, 10});
  const std::string source = node->text("source", root.text("source", ""));
  if (source.empty())
    node->fail("", "has no source; write source = \"...\" in it (a citation, \"from memory\", \"common "
                   "practice, no source\", \"assumption, no source\")");
  coolant.provenance.push_back(
      {oil_state_name(state),
       "film " + node->written("film") + ", peak " + node->written("peak") + ", convection " +
           node->written("convection") + ", blanket_shift " + node->written("blanket_shift") +
           ", flash_falls " + node->written("flash_falls"),
       source, node->text("range", ""), "h_uncertainty " + node->written("h_uncertainty"), ""});
  return aged;
}

/// Flash and smoke point fall, the stages change at every bath temperature, the doubt is wider.
void grow_old(CoolantRecord& coolant, const Aged& aged) {
  auto& rows = coolant.by_bath_temperature;
  if (rows.empty())
    rows.push_back({coolant.table_bath_degC, 1, 1, 1, 0});
  for (StageCorrection& row : rows) {
    row.film *= aged.stages.film;
    row.peak *= aged.stages.peak;
    row.convection *= aged.stages.convection;
    row.blanket_shift_K += aged.stages.blanket_shift_K;
  }
  for (std::optional<double>* point : {&coolant.flash_degC, &coolant.smoke_degC})
    if (*point)
      **point -= aged.flash_falls_K;
  coolant.h_uncertainty = std::max(coolant.h_uncertainty, aged.h_uncertainty);
}

} // namespace

const char* oil_state_name(OilState state) {
  return state == OilState::used ? "used" : state == OilState::old ? "old" : "fresh";
}

CoolantRecord read_coolant(std::string_view text, std::string file, OilState state) {
  CoolantRecord coolant;
  coolant.key = std::filesystem::path(file).stem().string();
  const Node root = parse_document(text, std::move(file));
  const Sourced record(root, coolant.provenance);
  coolant.name = root.text("name", coolant.key);
  coolant.description = root.text("description", "");
  const std::string kind = root.choice("kind", {"oil", "water", "air"});
  coolant.kind = kind == "oil" ? CoolantKind::oil : kind == "water" ? CoolantKind::water : CoolantKind::air;

  if (coolant.kind != CoolantKind::air || root.has("heat_transfer"))
    read_htc(record, coolant);
  coolant.by_bath_temperature =
      read_corrections(root, "by_bath_temperature", "temperature", bath_range, coolant.table_bath_degC,
                       coolant, coolant.by_bath_uncertainty);
  coolant.by_agitation = read_corrections(root, "by_agitation", "velocity", {0, 20}, 0.0, coolant,
                                          coolant.by_agitation_uncertainty);

  const Bulk usual = usual_bulk(coolant.kind);
  coolant.density_kg_m3 = bulk_value(record, "density", "density", {0.1, 5000}, usual.density_kg_m3, coolant);
  coolant.specific_heat_J_kgK =
      bulk_value(record, "specific_heat", "specific_heat", {100, 20000}, usual.specific_heat_J_kgK, coolant);

  coolant.flash_degC = record.optional_quantity("flash", "temperature", {20, 600});
  coolant.smoke_degC = record.optional_quantity("smoke", "temperature", {20, 600});
  if (coolant.kind != CoolantKind::oil)
    for (const char* key : {"flash", "smoke"})
      if (root.has(key))
        root.fail(key, "only an oil has one; leave it out or write kind = \"oil\"");
  if (coolant.flash_degC && coolant.smoke_degC && *coolant.smoke_degC > *coolant.flash_degC)
    root.fail("smoke", "is above the flash point; an oil smokes before it flashes");
  if (const auto window = record.optional_table("recommended")) {
    coolant.recommended_from_degC = window->quantity("from", "temperature", bath_range);
    coolant.recommended_to_degC = window->quantity("to", "temperature", bath_range);
    if (coolant.recommended_to_degC <= coolant.recommended_from_degC)
      window->node().fail("to", "must be above from");
  }

  for (const OilState one : {OilState::used, OilState::old})
    if (const auto aged = read_aged(root, one, coolant); aged && one == state)
      grow_old(coolant, *aged);
  if (state != OilState::fresh && !root.has(oil_state_name(state)))
    root.fail(oil_state_name(state), "missing; this record does not say what an oil in that state does");
  root.finish();
  return coolant;
}

} // namespace tq::records
