#include "output/figures.hpp"

#include "output/text.hpp"
#include "steel/hardness.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace tq::output {

using answers::SurfaceAnswer;
using treatment::NodeState;

const std::vector<SurfaceText>& surface_texts() {
  static const std::vector<SurfaceText> texts = {
      {"edge_governed_by", "what decides the least edge: skin, floor", &SurfaceAnswer::edge_governed_by},
      {"soak_too_short", "what a shorter soak does", &SurfaceAnswer::soak_too_short},
      {"soak_too_long", "what a longer soak does", &SurfaceAnswer::soak_too_long},
      {"file_as_quenched", "what a file will do at the edge as quenched", &SurfaceAnswer::file_as_quenched},
      {"temper_colour", "temper colour of the thickest zone, a hint, not a control",
       &SurfaceAnswer::temper_colour},
      {"temper_colour_edge", "temper colour of the edge, a hint, not a control",
       &SurfaceAnswer::temper_colour_edge},
      {"temper_colour_srgb", "temper colour of the thickest zone as sRGB, #RRGGBB",
       &SurfaceAnswer::temper_colour_srgb},
      {"temper_colour_doubt", "names of the temper colour 20 K cooler to 20 K hotter",
       &SurfaceAnswer::temper_colour_doubt}};
  return texts;
}

const std::vector<FieldFigure>& field_figures() {
  static const std::vector<FieldFigure> figures = {
      {{"temperature", "degC", "temperature", Scale::on_scale}, &NodeState::temperature, false},
      {{"austenite", "1", "share of austenite by mass"}, &NodeState::austenite},
      {{"pearlite", "1", "share of pearlite (or spheroidite) by mass"}, &NodeState::pearlite},
      {{"bainite", "1", "share of bainite by mass, with what tempering makes of retained austenite"},
       &NodeState::bainite},
      {{"martensite", "1", "share of martensite by mass"}, &NodeState::martensite},
      {{"ferrite", "1", "share of ferrite by mass"}, &NodeState::ferrite},
      {{"cementite", "1", "share of undissolved cementite by mass"}, &NodeState::cementite},
      {{"carbon_in_solution", "percent", "carbon in solution in austenite and martensite, by mass"},
       &NodeState::carbon},
      {{"scheil_pearlite", "1", "Scheil sum of the 1 % start of pearlite"}, &NodeState::scheil_pearlite},
      {{"scheil_bainite", "1", "Scheil sum of the 1 % start of bainite"}, &NodeState::scheil_bainite},
      {{"hollomon_jaffe", "K", "Hollomon-Jaffe parameter T (C + log10 t/h) of the martensite, from Ms on"},
       &NodeState::tempering},
      {{"time_at_temperature", "s", "time spent at the hardening temperature"},
       &NodeState::time_at_temperature,
       false}};
  return figures;
}

const std::vector<RowFigure<treatment::Event>>& event_figures() {
  using Row = treatment::Event;
  static const std::vector<RowFigure<Row>> figures = {
      {{"time", "s", "when it happened, from closing the door (or from the start)"},
       [](const Row& e) { return e.time_s; }},
      {{"temperature", "degC", "temperature of the zone then", Scale::on_scale},
       [](const Row& e) { return e.temperature_degC; }}};
  return figures;
}

const std::vector<RowFigure<answers::ColdAnswer>>& cold_figures() {
  using Row = answers::ColdAnswer;
  static const std::vector<RowFigure<Row>> figures = {
      {{"temperature", "degC", "temperature of the medium", Scale::on_scale},
       [](const Row& c) { return c.temperature_degC; }},
      {{"retained_austenite", "1", "share of retained austenite it would leave before tempering"},
       [](const Row& c) { return c.retained_austenite; }},
      {{"hardness_as_quenched", "1", "Rockwell C hardness it would leave before tempering"},
       [](const Row& c) { return c.as_quenched_HRC; }}};
  return figures;
}

const std::vector<RowFigure<answers::CycleAnswer>>& cycle_figures() {
  using Row = answers::CycleAnswer;
  static const std::vector<RowFigure<Row>> figures = {
      {{"hardness_least", "1", "least Rockwell C hardness of the zones after the cycle"},
       [](const Row& c) { return c.hrc_least; }},
      {{"hardness_most", "1", "greatest Rockwell C hardness of the zones after the cycle"},
       [](const Row& c) { return c.hrc_most; }},
      {{"retained_austenite", "1", "greatest share of retained austenite in the zones after the cycle"},
       [](const Row& c) { return c.retained_austenite_most; }}};
  return figures;
}

const std::vector<RowFigure<answers::DiagramAnswer>>& diagram_figures() {
  using Row = answers::DiagramAnswer;
  static const std::vector<RowFigure<Row>> figures = {
      {{"carbon_in_solution", "percent", "carbon in solution for which the diagram holds, by mass"},
       [](const Row& d) { return d.carbon_wt; }},
      {{"ae1", "degC", "equilibrium temperature of the pearlite reaction", Scale::on_scale},
       [](const Row& d) { return d.ae1_degC; }},
      {{"bs", "degC", "temperature below which bainite can form", Scale::on_scale},
       [](const Row& d) { return d.bs_degC; }},
      {{"martensite_start", "degC", "martensite start temperature", Scale::on_scale},
       [](const Row& d) { return d.ms_degC; }},
      {{"pearlite_band", "1", "factor either way on the times of pearlite"},
       [](const Row& d) { return d.pearlite_band; }},
      {{"bainite_band", "1", "factor either way on the times of bainite"},
       [](const Row& d) { return d.bainite_band; }},
      {{"pearlite_nose_temperature", "degC", "where pearlite starts soonest", Scale::on_scale},
       [](const Row& d) { return d.pearlite_nose.T; }},
      {{"pearlite_nose_time", "s", "1 % pearlite there"},
       [](const Row& d) { return d.pearlite_nose.time_s; }},
      {{"bainite_nose_temperature", "degC", "where bainite starts soonest", Scale::on_scale},
       [](const Row& d) { return d.bainite_nose.T; }},
      {{"bainite_nose_time", "s", "1 % bainite there"}, [](const Row& d) { return d.bainite_nose.time_s; }},
      {{"critical_rate_pearlite", "K s-1", "constant cooling rate that just forms 1 % pearlite"},
       [](const Row& d) { return d.critical.pearlite; }},
      {{"critical_rate_bainite", "K s-1", "constant cooling rate that just forms 1 % bainite"},
       [](const Row& d) { return d.critical.bainite; }},
      {{"critical_rate", "K s-1", "constant cooling rate that just forms 1 % of both together"},
       [](const Row& d) { return d.critical.both; }}};
  return figures;
}

const std::vector<RowFigure<steel::DiagramRow>>& isothermal_figures() {
  using Row = steel::DiagramRow;
  static const std::vector<RowFigure<Row>> figures = {
      {{"temperature", "degC", "temperature of the hold", Scale::on_scale}, [](const Row& r) { return r.T; }},
      {{"pearlite_start", "s", "1 % pearlite, as if alone; infinite where none forms"},
       [](const Row& r) { return r.pearlite.start_s; }},
      {{"pearlite_half", "s", "50 % pearlite"}, [](const Row& r) { return r.pearlite.half_s; }},
      {{"pearlite_finish", "s", "99 % pearlite"}, [](const Row& r) { return r.pearlite.finish_s; }},
      {{"bainite_start", "s", "1 % bainite, as if alone; infinite where none forms"},
       [](const Row& r) { return r.bainite.start_s; }},
      {{"bainite_half", "s", "50 % bainite"}, [](const Row& r) { return r.bainite.half_s; }},
      {{"bainite_finish", "s", "99 % bainite"}, [](const Row& r) { return r.bainite.finish_s; }}};
  return figures;
}

const std::vector<RowFigure<steel::CoolingResult>>& cooling_figures() {
  using Row = steel::CoolingResult;
  static const std::vector<RowFigure<Row>> figures = {
      {{"rate", "K s-1", "constant cooling rate from ae1"}, [](const Row& r) { return r.rate_K_s; }},
      {{"pearlite_from", "degC", "1 % pearlite has formed; NaN when it never has", Scale::on_scale},
       [](const Row& r) { return r.pearlite_start_degC; }},
      {{"bainite_from", "degC", "1 % bainite has formed; NaN when it never has", Scale::on_scale},
       [](const Row& r) { return r.bainite_start_degC; }},
      {{"all_gone_at", "degC", "1 % of the austenite is left; NaN when more goes on to Ms", Scale::on_scale},
       [](const Row& r) { return r.finish_degC; }},
      {{"pearlite", "1", "share of pearlite at 20 degC"}, [](const Row& r) { return r.pearlite; }},
      {{"bainite", "1", "share of bainite at 20 degC"}, [](const Row& r) { return r.bainite; }},
      {{"martensite", "1", "share of martensite at 20 degC"}, [](const Row& r) { return r.martensite; }},
      {{"austenite", "1", "share of austenite at 20 degC"}, [](const Row& r) { return r.austenite; }}};
  return figures;
}

const char* event_key(treatment::EventKind kind) {
  switch (kind) {
  case treatment::EventKind::pearlite_starts:
    return "pearlite_starts";
  case treatment::EventKind::bainite_starts:
    return "bainite_starts";
  case treatment::EventKind::martensite_starts:
    return "martensite_starts";
  }
  return "";
}

std::string verdict_key(answers::Verdict verdict) {
  std::string key = lower_case(answers::verdict_name(verdict));
  std::replace(key.begin(), key.end(), ' ', '_');
  return key;
}

WholeSection::WholeSection(const section::Grid& grid)
    : ni(grid.nx), nj(grid.half ? 2 * grid.ny - 1 : grid.ny), half_(grid.half) {
  x.reserve(static_cast<std::size_t>(ni) * static_cast<std::size_t>(nj));
  y.reserve(x.capacity());
  for (int j = 0; j < nj; ++j)
    for (int i = 0; i < ni; ++i) {
      const int fold = half_ ? j - (grid.ny - 1) : j;
      x.push_back(grid.x[static_cast<std::size_t>(i)]);
      y.push_back(fold < 0 ? -grid.y(i, -fold) : grid.y(i, fold));
    }
}

std::vector<double> WholeSection::expand(const std::vector<double>& solved) const {
  const int rows = half_ ? (nj + 1) / 2 : nj;
  if (solved.size() != static_cast<std::size_t>(rows) * static_cast<std::size_t>(ni))
    throw std::logic_error("a field does not fit its grid");
  if (!half_)
    return solved;
  std::vector<double> whole;
  whole.reserve(x.size());
  for (int j = 0; j < nj; ++j) {
    const auto row = solved.begin() + static_cast<std::ptrdiff_t>(std::abs(j - (rows - 1))) * ni;
    whole.insert(whole.end(), row, row + ni);
  }
  return whole;
}

std::vector<double> rockwell(const std::vector<double>& vickers) {
  std::vector<double> hrc(vickers.size());
  std::transform(vickers.begin(), vickers.end(), hrc.begin(), [](double hv) {
    const double value = steel::hrc_from_hv(hv);
    return std::isfinite(hv) && steel::valid_hrc(value) ? value : std::numeric_limits<double>::quiet_NaN();
  });
  return hrc;
}

} // namespace tq::output
