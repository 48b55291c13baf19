#include "output/figures.hpp"

#include "output/text.hpp"
#include "steel/hardness.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace tq::output {

using answers::StationAnswer;
using answers::SurfaceAnswer;
using answers::ZoneAnswer;
using treatment::NodeState;

const std::vector<ZoneFigure>& zone_figures() {
  static const std::vector<ZoneFigure> figures = {
      {{"x", "m", "distance of the zone from the spine face"}, &ZoneAnswer::x_m},
      {{"thickness", "m", "thickness of the section at the zone"}, &ZoneAnswer::thickness_m},
      {{"reaches_temperature", "s", "reaches the hardening temperature, from closing the door"},
       &ZoneAnswer::reaches_temperature_s},
      {{"soak", "s", "time at temperature before the blade came out"}, &ZoneAnswer::soak_s},
      {{"timer_from_door", "s", "timer for the asked soak, from closing the door"},
       &ZoneAnswer::timer_from_door_s},
      {{"timer_from_recovery", "s", "timer for the asked soak, from the recovery of the display"},
       &ZoneAnswer::timer_from_recovery_s},
      {{"austenite", "1", "share of austenite at the end of the soak"}, &ZoneAnswer::austenite},
      {{"carbon_in_solution", "percent", "carbon in solution in the austenite, by mass"},
       &ZoneAnswer::carbon_in_solution},
      {{"undissolved_carbide", "1", "carbide left undissolved, by mass"}, &ZoneAnswer::undissolved_carbide},
      {{"into_bath", "degC", "temperature on entering the bath", Scale::on_scale},
       &ZoneAnswer::into_bath_degC},
      {{"transfer_to_spare", "s", "further seconds of transfer before the zone no longer passes"},
       &ZoneAnswer::transfer_to_spare_s},
      {{"transformed", "1", "pearlite and bainite, worst through the thickness"}, &ZoneAnswer::transformed},
      {{"pearlite", "1", "share of pearlite"}, &ZoneAnswer::pearlite},
      {{"bainite", "1", "share of bainite"}, &ZoneAnswer::bainite},
      {{"rate_margin", "1", "1 / Scheil sum of the 1 % start over transfer and quench"},
       &ZoneAnswer::rate_margin},
      {{"time_700_to_500", "s", "time from 700 to 500 degC on cooling"}, &ZoneAnswer::t700_500_s},
      {{"time_800_to_500", "s", "time from 800 to 500 degC on cooling"}, &ZoneAnswer::t800_500_s},
      {{"straighten", "s", "from lifting out of the last bath until martensite starts"},
       &ZoneAnswer::straighten_s},
      {{"martensite_start", "degC", "martensite start temperature", Scale::on_scale}, &ZoneAnswer::ms_degC},
      {{"martensite", "1", "share of martensite before tempering"}, &ZoneAnswer::martensite},
      {{"retained_austenite", "1", "share of retained austenite before tempering"},
       &ZoneAnswer::retained_austenite},
      {{"retained_austenite_tempered", "1", "share of retained austenite after all tempers"},
       &ZoneAnswer::retained_austenite_tempered},
      {{"hardness_as_quenched", "1", "Rockwell C hardness as quenched"}, &ZoneAnswer::as_quenched_HRC},
      {{"hardness_tempered", "1", "Rockwell C hardness after tempering"}, &ZoneAnswer::tempered_HRC}};
  return figures;
}

const std::vector<StationFigure>& station_figures() {
  static const std::vector<StationFigure> figures = {
      {{"timer_from_door", "s", "timer for the asked soak in the worst zone, whole minutes from the door"},
       &StationAnswer::timer_from_door_s},
      {{"timer_from_recovery", "s", "the same from the recovery of the display"},
       &StationAnswer::timer_from_recovery_s},
      {{"timer_used", "s", "when the blade came out in this run, from the door"},
       &StationAnswer::timer_used_s},
      {{"display_ready", "s", "when the display has recovered, from the door"},
       &StationAnswer::display_ready_s},
      {{"lift_below_smoke", "s", "seconds in the bath until the surface is below the smoke temperature"},
       &StationAnswer::lift_below_smoke_s},
      {{"lift_below_flash", "s", "seconds in the bath until the surface is below the flash point"},
       &StationAnswer::lift_below_flash_s},
      {{"surface_at_lift", "degC", "hottest surface on lifting out of the bath", Scale::on_scale},
       &StationAnswer::surface_at_lift_degC},
      {{"centre_at_lift", "degC", "hottest point inside on lifting out of the bath", Scale::on_scale},
       &StationAnswer::centre_at_lift_degC},
      {{"in_bath", "s", "time in the first bath"}, &StationAnswer::in_bath_s},
      {{"flash_margin", "K", "flash point minus the bath at the end of the quench", Scale::difference},
       &StationAnswer::flash_margin_K},
      {{"bath_start", "degC", "temperature of the bath when this blade comes", Scale::on_scale},
       &StationAnswer::bath_start_degC},
      {{"bath_rise", "K", "rise of the bath's temperature by one blade", Scale::difference},
       &StationAnswer::bath_rise_K},
      {{"bath_end", "degC", "temperature of the bath at the end", Scale::on_scale},
       &StationAnswer::bath_end_degC},
      {{"bath_limit", "degC", "temperature that the bath should not pass along a row of blades",
        Scale::on_scale},
       &StationAnswer::bath_limit_degC},
      {{"blades_in_a_row", "1", "blades that the bath takes one after another before it passes the limit"},
       &StationAnswer::blades_in_a_row},
      {{"least_interval", "s", "shortest interval at which it takes any number of blades"},
       &StationAnswer::least_interval_s},
      {{"least_bath_volume", "m3", "smallest bath that stays below the limit to the end of the row"},
       &StationAnswer::least_volume_m3},
      {{"mass", "kg", "mass of a blade of this section and the stated length"}, &StationAnswer::mass_kg},
      {{"hardness_as_quenched_least", "1", "least Rockwell C hardness as quenched"},
       &StationAnswer::hrc_as_quenched_least},
      {{"hardness_as_quenched_most", "1", "greatest Rockwell C hardness as quenched"},
       &StationAnswer::hrc_as_quenched_most},
      {{"hardness_tempered_least", "1", "least Rockwell C hardness after tempering"},
       &StationAnswer::hrc_tempered_least},
      {{"hardness_tempered_most", "1", "greatest Rockwell C hardness after tempering"},
       &StationAnswer::hrc_tempered_most},
      {{"hardness_band", "1", "band of the hardness after tempering, plus or minus, in Rockwell C"},
       &StationAnswer::hrc_band},
      {{"hardness_as_quenched_band", "1", "band of the hardness as quenched, plus or minus, in Rockwell C"},
       &StationAnswer::hrc_as_quenched_band},
      {{"cold_gain", "1", "austenite that cooling below the air turned in the thickest zone"},
       &StationAnswer::cold_gain}};
  return figures;
}

const std::vector<SurfaceFigure>& surface_figures() {
  static const std::vector<SurfaceFigure> figures = {
      {{"soft_depth", "m", "depth down to half of the carbon at the edge, below the scale"},
       &SurfaceAnswer::soft_depth_m},
      {{"affected_depth", "m", "depth down to 90 % of the carbon at the edge, below the scale"},
       &SurfaceAnswer::affected_depth_m},
      {{"scale", "m", "thickness of the scale"}, &SurfaceAnswer::scale_m},
      {{"scale_loss", "m", "steel lost to the scale, per side"}, &SurfaceAnswer::scale_loss_m},
      {{"grind_per_side", "m", "to be ground off each side after hardening"},
       &SurfaceAnswer::grind_per_side_m},
      {{"least_edge", "m", "least edge thickness to leave before hardening"}, &SurfaceAnswer::least_edge_m},
      {{"grain_number", "1", "ASTM grain number of the coarsest zone at the end of the soak"},
       &SurfaceAnswer::grain_number},
      {{"soak_earliest", "s", "shortest sensible soak at the true temperature of the furnace"},
       &SurfaceAnswer::soak_earliest_s},
      {{"soak_latest", "s", "longest sensible soak there, infinite when nothing is overdone within 6 h"},
       &SurfaceAnswer::soak_latest_s},
      {{"rockwell_thickness", "m", "least thickness for a valid Rockwell C reading"},
       &SurfaceAnswer::rockwell_thickness_m},
      {{"rockwell_from", "m", "nearest place to the spine at which that reading holds"},
       &SurfaceAnswer::rockwell_from_m},
      {{"rockwell_to", "m", "farthest place from the spine at which that reading holds"},
       &SurfaceAnswer::rockwell_to_m},
      {{"flash_limit", "degC", "a second of grinding heat at this temperature takes off 1 HRC",
        Scale::on_scale},
       &SurfaceAnswer::flash_limit_degC}};
  return figures;
}

const Meaning& station_band_meaning(const std::string& key) {
  // told with more digits than the answer, or of no zone alone
  static const std::vector<Meaning> of_bands_alone = {
      {"timer_from_door", "s", "timer for the asked soak in the worst zone, not rounded, from the door"},
      {"transfer_to_spare", "s", "further seconds of transfer before the first zone no longer passes"}};
  for (const Meaning& m : of_bands_alone)
    if (key == m.name)
      return m;
  for (const StationFigure& f : station_figures())
    if (key == f.meaning.name)
      return f.meaning;
  for (const SurfaceFigure& f : surface_figures())
    if (key == f.meaning.name)
      return f.meaning;
  throw std::out_of_range(key + " is the band of no figure");
}

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
