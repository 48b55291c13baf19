#include "output/json.hpp"

#include "answers/decision.hpp"
#include "answers/ledger.hpp"
#include "answers/wanted.hpp"
#include "output/figures.hpp"
#include "output/sha256.hpp"
#include "treatment/trace.hpp"

#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

namespace tq::output {
namespace {

using Json = nlohmann::ordered_json;

Json judgement(const answers::Judgement& j) {
  return {{"verdict", verdict_key(j.verdict)}, {"as_stated", verdict_key(j.stated())},
          {"passing", number(j.passing)},      {"failing", number(j.failing)},
          {"reason", j.reason.text()},         {"change", j.cure}};
}

/// The verdicts of one place, by their keys.
void verdicts(Json& out, const answers::Ledger& ledger, int station, int zone) {
  for (const answers::VerdictEntry& v : ledger.verdicts)
    if (v.station == station && v.zone == zone)
      out[v.key] = judgement(v.judgement);
}

/// The figures of one place, by their names.
void figures(Json& out, const answers::Ledger& ledger, int station, int zone, bool of_surface = false) {
  for (const answers::FigureEntry& f : ledger.figures)
    if (f.station == station && f.zone == zone && f.figure->of_surface == of_surface)
      out[f.figure->meaning.name] = number(f.stated);
}

template <class Row>
Json row(const std::vector<RowFigure<Row>>& figures, const Row& values) {
  Json out = Json::object();
  for (const RowFigure<Row>& figure : figures)
    out[figure.meaning.name] = number(figure.value(values));
  return out;
}
template <class Row>
Json rows(const std::vector<RowFigure<Row>>& figures, const std::vector<Row>& list) {
  Json out = Json::array();
  for (const Row& values : list)
    out.push_back(row(figures, values));
  return out;
}

/// Events of the run, what cold would do, the cycles of the temper and the diagram.
void metallurgy(Json& out, const answers::StationAnswer& s, const treatment::Run& run) {
  out["events"] = rows(event_figures(), run.events);
  for (std::size_t k = 0; k < run.events.size(); ++k) {
    out["events"][k]["kind"] = event_key(run.events[k].kind);
    out["events"][k]["zone"] = treatment::zone_name(run.events[k].zone);
  }
  out["cold"] = rows(cold_figures(), s.cold);
  for (std::size_t k = 0; k < s.cold.size(); ++k)
    out["cold"][k]["medium"] = s.cold[k].medium;
  out["cycles"] = rows(cycle_figures(), s.cycles);
  out["diagram"] = row(diagram_figures(), s.diagram);
  out["diagram"]["isothermal"] = rows(isothermal_figures(), s.diagram.isothermal);
  out["diagram"]["cooling"] = rows(cooling_figures(), s.diagram.cooling);
}

/// Each probe with its temperature at the end of every step.
Json probes(const treatment::Run& run) {
  Json out = Json::array();
  for (const treatment::Trace& probe : run.probes) {
    Json readings = Json::array();
    for (const treatment::StepSpan& span : run.spans)
      if (!run.time_s.empty() && probe.temperature.size() == run.time_s.size())
        readings.push_back(
            {{"stage", treatment::part_name(span.part)},
             {"cycle", span.cycle},
             {"time", span.to_s},
             {"temperature", number(treatment::trace_value(run.time_s, probe.temperature, span.to_s))}});
    out.push_back({{"name", probe.name}, {"x", probe.x_m}, {"y", probe.y_m}, {"readings", readings}});
  }
  return out;
}

Json station(const answers::Ledger& ledger, int index, const answers::StationAnswer& s,
             const treatment::Run& run) {
  Json out = {{"name", s.name}};
  verdicts(out, ledger, index, answers::no_zone);
  figures(out, ledger, index, answers::no_zone);
  out["surface"] = Json::object();
  figures(out["surface"], ledger, index, answers::no_zone, true);
  for (const SurfaceText& text : surface_texts())
    out["surface"][text.name] = s.surface.*text.value;
  out["zones"] = Json::object();
  for (int z = 0; z < treatment::zone_count; ++z) {
    const answers::ZoneAnswer& zone = s.zones[static_cast<std::size_t>(z)];
    Json& to = out["zones"][treatment::zone_name(static_cast<treatment::Zone>(z))];
    figures(to, ledger, index, z);
    to[in_air_meaning.name] = Json::array();
    for (const double value : zone.in_air_degC)
      to[in_air_meaning.name].push_back(number(value));
    to["wanted"] = answers::wanted_name(zone.wanted);
    verdicts(to, ledger, index, z);
  }
  metallurgy(out, s, run);
  out["probes"] = probes(run);
  return out;
}

Json figure_units() {
  Json out = Json::object();
  for (const answers::Figure& figure : answers::figures())
    out[figure.meaning.name] = figure.meaning.unit;
  const auto add = [&](const auto& figures) {
    for (const auto& figure : figures)
      out[figure.meaning.name] = figure.meaning.unit;
  };
  add(event_figures());
  add(cold_figures());
  add(cycle_figures());
  add(diagram_figures());
  add(isothermal_figures());
  add(cooling_figures());
  out["y"] = "m";
  out[in_air_meaning.name] = in_air_meaning.unit;
  out[in_air_time_meaning.name] = in_air_time_meaning.unit;
  out["passing"] = "1";
  out["failing"] = "1";
  out["tolerance"] = "K";
  out["wall_time"] = "s";
  out["solver_time"] = "s";
  out["energy_residual"] = "1";
  return out;
}

Json provenance(const std::vector<treatment::Run>& runs, const Origin& origin) {
  Json out = {{"program", origin.program},
              {"program_version", origin.version},
              {"commit", origin.commit},
              {"created", origin.created},
              {"command_line", origin.command_line},
              {"case_file", origin.case_file},
              {"case_sha256", origin.case_sha256},
              {"case_text", origin.case_text},
              {"resolved_case", origin.resolved_case},
              {"compiler", origin.compiler},
              {"compiler_flags", origin.compiler_flags},
              {"build_type", origin.build_type},
              {"libraries", origin.libraries},
              {"tolerance", number(origin.tolerance_K)},
              {"wall_time", number(origin.wall_s)}};
  out["solver"] = Json::array();
  for (const treatment::Run& run : runs)
    out["solver"].push_back({{"station", run.station},
                             {"steps", run.counters.steps},
                             {"rejected_steps", run.counters.rejected},
                             {"rhs_evaluations", run.counters.rhs},
                             {"factorisations", run.counters.factorisations},
                             {"energy_residual", number(run.energy_residual)},
                             {"solver_time", number(reproducible() ? std::numeric_limits<double>::quiet_NaN()
                                                                   : run.solver_seconds)}});
  out["records"] = Json::array();
  for (const RecordEntry& r : origin.records)
    out["records"].push_back({{"record", r.record},
                              {"key", r.entry.key},
                              {"value", r.entry.value},
                              {"source", r.entry.source},
                              {"range", r.entry.range},
                              {"uncertainty", r.entry.uncertainty},
                              {"note", r.entry.note}});
  out["record_files"] = Json::array();
  for (const InputFile& file : origin.record_files)
    out["record_files"].push_back({{"name", file.name}, {"sha256", sha256_hex(file.text)}});
  return out;
}

Json causes(const answers::Bands& bands, const std::vector<answers::Cause>& list) {
  Json out = Json::array();
  for (const answers::Cause& cause : list)
    out.push_back({{"input", bands.inputs.at(cause.input).key}, {"share", number(cause.share)}});
  return out;
}

Json banded(const answers::Bands& bands, const answers::BandedVerdict& v) {
  return {{"verdict", verdict_key(v.verdict)},
          {"passing", number(v.passing)},
          {"failing", number(v.failing)},
          {"causes", causes(bands, v.causes)}};
}

Json figures_with_bands(const answers::Bands& bands, const std::vector<answers::Band>& figures) {
  Json out = Json::object();
  for (const answers::Band& band : figures)
    out[band.key] = {{"nominal", number(band.nominal)}, {"middle", number(band.middle)},
                     {"low", number(band.low)},         {"high", number(band.high)},
                     {"known", number(band.known)},     {"causes", causes(bands, band.causes)}};
  return out;
}

} // namespace

Json number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

std::string json_text(const Json& document) {
  return document.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}
std::string json_line(const Json& document) {
  return document.dump(-1, ' ', false, Json::error_handler_t::replace);
}
Json parsed_json(std::string_view text) { return Json::parse(text, nullptr, false); }

Json bands_json(const answers::Bands& bands) {
  Json out = {{"members", bands.members},
              {"failed", bands.failed},
              {"first_failure", bands.first_failure},
              {"seed", bands.seed},
              {"soak", banded(bands, bands.soak)},
              {"quench", banded(bands, bands.quench)},
              {"hardness", banded(bands, bands.hardness)},
              {"oven",
               {{"here", number(bands.oven.here)},
                {"best", number(bands.oven.best)},
                {"best_oven", number(bands.oven.best_degC)}}}};
  out["inputs"] = Json::array();
  for (const answers::UncertainInput& input : bands.inputs)
    out["inputs"].push_back(
        {{"key", input.key}, {"name", input.name}, {"width", input.width}, {"source", input.source}});
  out["stations"] = Json::array();
  for (const answers::StationBands& s : bands.stations) {
    Json one = {{"name", s.name},
                {"soak", banded(bands, s.soak)},
                {"quench", banded(bands, s.quench)},
                {"hardness", banded(bands, s.hardness)},
                {"figures", figures_with_bands(bands, s.figures)}};
    one["zones"] = Json::object();
    for (int k = 0; k < treatment::zone_count; ++k) {
      const answers::ZoneBands& zone = s.zones[static_cast<std::size_t>(k)];
      one["zones"][treatment::zone_name(static_cast<treatment::Zone>(k))] = {
          {"soak", banded(bands, zone.soak)},
          {"hardens", banded(bands, zone.hardens)},
          {"hardness", banded(bands, zone.hardness)},
          {"figures", figures_with_bands(bands, zone.figures)}};
    }
    out["stations"].push_back(one);
  }
  return out;
}

namespace {

Json risks_json(const answers::Risks& risks) {
  const auto as_stated = [](const answers::Judgement& j) { // no draws judge these
    return Json{{"verdict", verdict_key(j.verdict)}, {"reason", j.reason.text()}, {"change", j.cure}};
  };
  Json out = {{"bow", as_stated(risks.bow)},           {"straightening_caution", risks.straightening_caution},
              {"crack", as_stated(risks.crack.crack)}, {"oil", as_stated(risks.oil)},
              {"edge", as_stated(risks.edge)},         {"notch_factor", number(risks.crack.notch_factor)}};
  out["flags"] = Json::array();
  for (const answers::CrackFlag& flag : risks.crack.flags)
    out["flags"].push_back({{"key", flag.key},
                            {"level", answers::crack_level_name(flag.level)},
                            {"reason", flag.reason.text()}});
  out["not_stated"] = Json::array();
  for (const answers::NotStated& one : risks.crack.not_stated)
    out["not_stated"].push_back(one.text());
  out["stations"] = Json::array();
  for (const answers::BowAnswer& s : risks.stations) {
    Json one = {{"name", s.name},
                {"verdict", verdict_key(s.bow.verdict)},
                {"reason", s.bow.reason.text()},
                {"bow", number(s.bow_m)},
                {"low", number(s.low_m)},
                {"high", number(s.high_m)},
                {"outside", s.convex_on_a ? "flank_a" : "flank_b"},
                {"side_certain", s.side_certain},
                {"edge_bow", number(s.edge_bow_m)},
                {"advice", s.advice}};
    one["parts"] = Json::array();
    for (const answers::BowAnswer::Part& part : s.parts)
      one["parts"].push_back({{"name", part.name}, {"change", number(part.change_m)}});
    out["stations"].push_back(one);
  }
  return out;
}

} // namespace

std::string answers_json(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                         const answers::Answers& a, const Origin& origin, const Extras& extras) {
  Json out = {{"schema", "thinquench-answers"}, {"schema_version", schema_version}, {"title", a.title}};
  out["stages"] = Json::array();
  for (std::size_t part = 0; part < treatment::part_count; ++part)
    if (c.has(static_cast<treatment::Part>(part)))
      out["stages"].push_back(treatment::part_name(static_cast<treatment::Part>(part)));
  out["steel"] = c.steel.key;
  out["coolant"] = c.quenched() ? Json(c.bath().coolant.key) : Json(nullptr);
  out["foil"] = c.wrap.layers > 0 ? Json(c.wrap.foil.key) : Json(nullptr);
  const answers::Ledger ledger = answers::ledger_of(a, extras.bands, nullptr);
  const answers::Decision decision = answers::decide(a, extras.risks);
  out["decision"] = {
      {"go", answers::go_key(decision.go)}, {"because", decision.because}, {"changes", decision.changes}};
  out["judged_by_draws"] = ledger.draws;
  verdicts(out, ledger, answers::whole_blade, answers::no_zone);
  out["in_air_time"] = in_air_times_s;
  out["stations"] = Json::array();
  for (std::size_t k = 0; k < a.stations.size(); ++k)
    out["stations"].push_back(station(ledger, static_cast<int>(k), a.stations[k], runs.at(k)));
  if (extras.bands != nullptr)
    out["bands"] = bands_json(*extras.bands);
  if (extras.risks != nullptr)
    out["risks"] = risks_json(*extras.risks);
  out["cautions"] = Json::array();
  for (const answers::Caution& caution : a.cautions)
    out["cautions"].push_back({{"beside", caution.beside}, {"text", caution.text}});
  out["warnings"] = origin.warnings;
  out["assumptions"] = a.assumptions;
  out["defaults"] = origin.defaults;
  out["units"] = figure_units();
  out["provenance"] = provenance(runs, origin);
  return json_text(out);
}

std::string answers_json(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                         const answers::Answers& a, const OutputInfo& info, const Extras& extras) {
  return answers_json(c, runs, a, describe_origin(c, runs, a, info), extras);
}

} // namespace tq::output
