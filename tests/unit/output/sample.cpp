#include "sample.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <limits>
#include <sstream>
#include <stdexcept>
#include <unistd.h>

namespace tq::test {
namespace {

using treatment::NodeState;
using treatment::Part;
using treatment::Run;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

/// A flat grind, written out so that the sample does not lean on the section room's code.
section::Grid wedge_grid(bool half) {
  section::Grid grid;
  grid.nx = 31;
  grid.half = half;
  grid.ny = half ? 3 : 5;
  for (int i = 0; i < grid.nx; ++i) {
    const double x = 0.030 * i / (grid.nx - 1);
    const double thickness = 3.2e-3 + (0.6e-3 - 3.2e-3) * x / 0.030;
    grid.x.push_back(x);
    grid.bottom.push_back(half ? 0 : -thickness / 4);
    grid.top.push_back(half ? thickness / 2 : 3 * thickness / 4);
  }
  for (int j = 0; j < grid.ny; ++j)
    grid.eta.push_back(static_cast<double>(j) / (grid.ny - 1));
  return grid;
}

struct Timetable {
  double start_degC, out, into_bath, out_of_bath, cold, end;
};

/// Lumped heating and cooling of a strip of the given thickness [m].
double temperature(double t, double thickness, const Timetable& table) {
  const double share = thickness / 3.2e-3;
  const auto heated = [&](double s) {
    return 800 - (800 - table.start_degC) * std::exp(-s / (110 * (0.75 + 0.25 * share)));
  };
  const auto aired = [&](double s) { return 20 + (heated(table.out) - 20) * std::exp(-s / (60 * share)); };
  const auto dipped = [&](double s) {
    return 60 + (aired(table.into_bath - table.out) - 60) * std::exp(-s / (3.2 * (0.25 + 0.75 * share)));
  };
  const auto rested = [&](double s) {
    return 20 + (dipped(table.out_of_bath - table.into_bath) - 20) * std::exp(-s / (200 * share));
  };
  if (t <= table.out)
    return heated(t);
  if (t <= table.into_bath)
    return aired(t - table.out);
  if (t <= table.out_of_bath)
    return dipped(t - table.into_bath);
  if (t <= table.cold)
    return rested(t - table.out_of_bath);
  return 205 - 185 * std::exp(-std::fmod(t - table.cold, 7200) / 300);
}

NodeState state_at(const section::Grid& grid, double t, const Timetable& table) {
  NodeState state;
  const std::size_t n = grid.nodes();
  state.temperature.resize(n);
  for (int j = 0; j < grid.ny; ++j)
    for (int i = 0; i < grid.nx; ++i) {
      const auto k = static_cast<std::size_t>(i);
      const double thickness = (grid.half ? 2 : 1) * (grid.top[k] - grid.bottom[k]);
      state.temperature[static_cast<std::size_t>(j * grid.nx + i)] = temperature(t, thickness, table);
    }
  const double hardened = t > table.out_of_bath ? 1 : 0;
  for (std::size_t k = 0; k < n; ++k) {
    const double x = static_cast<double>(k % static_cast<std::size_t>(grid.nx)) / (grid.nx - 1);
    const double bainite = 0.03 * hardened * (1 - x) * (1 - x);
    state.bainite.push_back(bainite);
    state.pearlite.push_back(0.002 * hardened);
    state.ferrite.push_back(0);
    state.cementite.push_back(0.04);
    state.martensite.push_back(hardened * 0.88 - bainite);
    state.austenite.push_back(1 - 0.04 - state.martensite[k] - bainite - state.pearlite[k]);
    state.carbon.push_back(0.62);
    state.pearlite_HV.push_back(390 * hardened);
    state.bainite_HV.push_back(500 * hardened);
    state.tempered_austenite.push_back(0);
    state.grain.push_back(12e-6);
    state.scheil_pearlite.push_back(0.02 * hardened);
    state.scheil_bainite.push_back(0.3 * hardened);
    state.tempering.push_back(t > table.cold ? 9900 : 0);
    state.time_at_temperature.push_back(std::clamp(t - 560, 0.0, table.out - 560));
  }
  return state;
}

std::vector<double> hardness(const section::Grid& grid, double spine, double edge) {
  std::vector<double> hv;
  for (int j = 0; j < grid.ny; ++j)
    for (int i = 0; i < grid.nx; ++i)
      hv.push_back(spine + (edge - spine) * i / (grid.nx - 1));
  return hv;
}

Run sample_run(const treatment::Case& c, const section::Grid& grid, const Timetable& table) {
  Run run;
  run.station = c.blade.stations.front().name;
  run.grid = grid;
  run.area_m2 = 57e-6;
  run.mass_kg = 0.0493;
  run.hardening = c.hardening();
  const auto add_span = [&](Part part, double from, double to, int cycle) {
    if (!c.has(part))
      return;
    treatment::StepSpan span;
    span.step = *run.hardening.first(part) + static_cast<std::size_t>(std::max(0, cycle - 1));
    span.part = part;
    span.from_s = from;
    span.to_s = to;
    span.cycle = cycle;
    if (part == Part::bath)
      span.bath_end_degC = 57.4;
    run.spans.push_back(span);
  };
  add_span(Part::furnace, 0, table.out, 0);
  add_span(Part::transfer, table.out, table.into_bath, 0);
  add_span(Part::bath, table.into_bath, table.out_of_bath, 0);
  add_span(Part::cool, table.out_of_bath, table.cold, 0);
  add_span(Part::temper, table.cold, table.cold + 7200, 1);
  add_span(Part::temper, table.cold + 7200, table.end, 2);

  for (const treatment::StepSpan& span : run.spans)
    for (int k = run.time_s.empty() ? 0 : 1; k <= 60; ++k) {
      const double share = k / 60.0;
      run.time_s.push_back(span.from_s + (span.to_s - span.from_s) * share * share);
      const double t = run.time_s.back();
      run.surroundings_degC.push_back(span.part == Part::furnace  ? 800 - 10 * std::exp(-t / 80)
                                      : span.part == Part::bath   ? 57
                                      : span.part == Part::temper ? 205
                                                                  : 20);
      run.outer_surface_max_degC.push_back(temperature(t, 3.2e-3, table));
      run.heat_out_J_m.push_back(t);
    }

  const auto trace = [&](const std::string& name, double x, double y) {
    treatment::Trace out{name, x, y, {}};
    for (const double t : run.time_s)
      out.temperature.push_back(temperature(t, 3.2e-3 + (0.6e-3 - 3.2e-3) * x / 0.030, table));
    return out;
  };
  run.zones = {trace("edge", 0.0295, 0), trace("middle", 0.015, 0), trace("spine", 0.001, 0),
               trace("thickest", 0, 0)};
  run.zone_column = {29, 15, 1, 0};
  for (const treatment::Probe& probe : c.probes)
    run.probes.push_back(trace(probe.name, probe.x_m, probe.y_m));

  const std::vector<double> quenched = hardness(grid, 800, 840), final = hardness(grid, 700, 740);
  for (const treatment::StepSpan& span : run.spans)
    for (const double share : {0.3, 1.0}) {
      const double t = span.from_s + share * (span.to_s - span.from_s);
      treatment::Frame frame{t, span.part, state_at(grid, t, table), {}};
      frame.hardness_HV = t > table.cold ? final : quenched;
      run.frames.push_back(std::move(frame));
    }
  if (c.heated())
    run.after_furnace = state_at(grid, table.out, table);
  run.after_bath = state_at(grid, table.out_of_bath, table);
  run.after_cool = state_at(grid, table.cold, table);
  run.final_state = state_at(grid, run.time_s.back(), table);
  run.as_quenched_HV = quenched;
  run.final_HV = final;
  run.counters = {812, 9, 2445, 821};
  run.energy_residual = 3e-13;
  run.solver_seconds = 0.12;
  return run;
}

answers::ZoneAnswer zone(const char* name, double x, double thickness, double shift) {
  answers::ZoneAnswer z;
  z.name = name;
  z.x_m = x;
  z.thickness_m = thickness;
  z.reaches_temperature_s = 560 + 40 * shift;
  z.soak_s = 2100 - z.reaches_temperature_s;
  z.timer_from_door_s = z.reaches_temperature_s + 1200;
  z.timer_from_recovery_s = z.timer_from_door_s - 240;
  z.austenite = 1;
  z.carbon_in_solution = 0.62;
  z.undissolved_carbide = 0.04;
  z.in_air_degC = {780 + 10 * shift, 770 + 10 * shift, 752 + 10 * shift, 727 + 10 * shift};
  z.into_bath_degC = 780 + 10 * shift;
  z.transfer_to_spare_s = 9.8 - 2.6 * shift;
  z.transformed = 0.0004 + 0.03 * shift;
  z.pearlite = 0.0002;
  z.bainite = z.transformed - z.pearlite;
  z.rate_margin = 3.4 - 2.2 * shift;
  z.t700_500_s = 0.8 + 1.2 * shift;
  z.t800_500_s = nan;
  z.ms_degC = 196;
  z.hardens = {shift > 0.6 ? answers::Verdict::marginal : answers::Verdict::pass, "2 % or less transformed"};
  z.martensite = 0.87;
  z.retained_austenite = 0.09;
  z.retained_austenite_tempered = 0.06;
  z.as_quenched_HRC = 64.8 - 1.4 * shift;
  z.tempered_HRC = 61.3 - 1.0 * shift;
  return z;
}

} // namespace

Sample full_sample() {
  Sample s;
  treatment::ShortCase c;
  c.title = "Pocket knife <no. 7> & sheath";
  c.source_text = "title = \"Pocket knife\"\r\n";
  c.resolved_text = "title = \"Pocket knife\"\nformat = 1\n";
  c.defaults = {"wrap.gap = \"0.3 mm\": hand folded foil"};
  c.steel.key = "O1";
  c.steel.designation = "100MnCrW4";
  c.steel.provenance = {{"density", "7850 kg/m3", "from memory", "20 to 400 degC", "1 %", "bar"},
                        {"temper.constant", "20", "common practice, no source", "", "", ""}};
  c.blade.length_m = 0.11;
  c.blade.stations = {{"middle of the blade", {{0, 0.030}, {1.6e-3, 0.3e-3}, {-1.6e-3, -0.3e-3}, {}}}};
  c.stages = {Part::furnace, Part::transfer, Part::bath, Part::cool, Part::temper};
  c.furnace.setpoint_degC = 800;
  c.furnace.droop_K = 10;
  c.furnace.recovery_s = 240;
  c.wrap.layers = 1;
  c.wrap.foil.key = "stainless";
  c.wrap.foil.provenance = {{"emissivity", "0.3", "from memory", "", "", ""}};
  c.wrap.thickness_m = 50e-6;
  c.wrap.gap_m = {0.3e-3, 0.3e-3, 0.3e-3, 0.3e-3};
  c.bath.coolant.key = "medium-oil";
  c.bath.coolant.name = "Medium oil";
  c.bath.coolant.flash_degC = 180;
  c.bath.coolant.smoke_degC = 150;
  c.bath.coolant.provenance = {{"density", "880 kg/m3", "from memory", "", "", ""}};
  c.bath.temperature_degC = 55;
  c.bath.volume_m3 = 8e-3;
  c.bath.time_s = 20;
  c.temper.oven_degC = 205;
  c.temper.time_s = 7200;
  c.temper.count = 2;
  c.wishes.soak_s = 1200;
  c.wishes.hrc_from = 60;
  c.wishes.hrc_to = 62;
  c.probes = {{"heel", 0.010, 0.0005}};

  c.steps = treatment::usual_steps(c);
  s.c = c;

  const Timetable table{20, 2100, 2102, 2122, 3600, 3600 + 2 * 7200};
  s.runs = {sample_run(c, wedge_grid(true), table)};
  s.runs[0].warnings = {"oil: agitation outside its table"};
  s.runs[0].events = {{treatment::EventKind::martensite_starts, treatment::zone_edge, 2103.5, 196}};

  answers::Answers& a = s.answers;
  a.title = c.title;
  a.soak = {answers::Verdict::pass, "all zones are austenite with the carbon wanted"};
  a.quench = {answers::Verdict::marginal, "3 % of the spine goes to bainite"};
  a.quench.cure = "a faster bath";
  a.hardness = {answers::Verdict::pass, "60.5 to 61.5 HRC lies in the wanted range"};
  answers::StationAnswer station;
  station.name = "middle of the blade";
  station.zones = {zone("edge", 0.0295, 0.64e-3, 0), zone("middle", 0.015, 1.9e-3, 0.5),
                   zone("spine", 0.001, 3.1e-3, 0.9), zone("thickest", 0, 3.2e-3, 1)};
  station.soak = a.soak;
  station.quench = a.quench;
  station.hardness = a.hardness;
  station.timer_from_door_s = 1800;
  station.timer_from_recovery_s = 1560;
  station.timer_used_s = 2100;
  station.display_ready_s = 240;
  station.lift_below_smoke_s = 8.2;
  station.lift_below_flash_s = 6.1;
  station.surface_at_lift_degC = 61;
  station.centre_at_lift_degC = 62;
  station.bath_rise_K = 2.4;
  station.bath_start_degC = 55;
  station.bath_limit_degC = 75;
  station.blades_in_a_row = 8;
  station.least_interval_s = 400;
  station.least_volume_m3 = 1.1e-3;
  station.bath_end_degC = 57.4;
  station.mass_kg = 0.0493;
  station.hrc_as_quenched_least = 63.4;
  station.hrc_as_quenched_most = 64.8;
  station.hrc_tempered_least = 60.3;
  station.hrc_tempered_most = 61.3;
  station.hrc_band = station.hrc_as_quenched_band = 1;
  answers::SurfaceAnswer& surface = station.surface;
  surface.soft_depth_m = 0;
  surface.affected_depth_m = surface.grind_per_side_m = 0.02e-3;
  surface.scale_m = 2e-6;
  surface.scale_loss_m = 1e-6;
  surface.least_edge_m = 0.5e-3;
  surface.edge_governed_by = "floor";
  surface.grain_number = 9.2;
  surface.soak_earliest_s = 300;
  surface.soak_latest_s = 3600;
  surface.soak_too_short = "shorter: soft for want of carbon";
  surface.soak_too_long = "longer: coarse";
  surface.flash_limit_degC = 330;
  station.cold_gain = 0.02;
  station.cold = {{"freezer", -18, 0.07, 65.0}};
  station.cycles = {{1, 60.8, 61.8, 0.08}, {2, 60.3, 61.3, 0.06}};
  answers::DiagramAnswer& diagram = station.diagram;
  diagram = {0.8, 724, 560, 196, 2, 5, {570, 10}, {456, 9}, {18, 20, 30}, {}, {}};
  diagram.isothermal = {{600, {12, 60, 130}, {INFINITY, INFINITY, INFINITY}},
                        {500, {20, 90, 200}, {14, 70, 150}}};
  diagram.cooling = {{30, nan, 420, nan, 0, 0.01, 0.85, 0.14}, {1, 640, nan, 560, 1, 0, 0, 0}};
  surface.file_as_quenched = "skates";
  surface.rockwell_thickness_m = 0.77e-3;
  surface.temper_colour = surface.temper_colour_edge = "straw";
  surface.temper_colour_srgb = "#94814F";
  surface.temper_colour_doubt = "faint straw to dark straw";
  a.stations = {station};
  a.warnings = {"the oil is near its flash point"};
  a.assumptions = {"the blade goes in edge first and is moved"};
  a.cautions = {{"oil", "Keep the lid of the tank at hand."},
                {"all", "Prove the figures on a coupon of the same bar."}};

  s.info.command_line = "thinquench run pocket.toml";
  s.info.case_file = "pocket.toml";
  s.info.record_files = {{"steels/O1.toml", "density = \"7850 kg/m3\"\n"}};
  s.info.wall_s = 0.4;
  return s;
}

Sample bare_sample() {
  Sample s;
  s.c.title = "Plate in oil";
  s.c.source_text = "title = \"Plate in oil\"\n";
  s.c.steel.key = "plate";
  s.c.steel.inert = true;
  s.c.blade.stations = {{"plate", {}}};
  treatment::Bath bath;
  bath.coolant.key = "own";
  bath.coolant.name = "Own oil";
  bath.temperature_degC = 60;
  bath.time_s = 20;
  s.c.steps = {{"bath", bath, false, false}};
  const Timetable table{800, 0, 0, 20, 20, 20};
  s.runs = {sample_run(s.c, wedge_grid(false), table)};
  s.answers.title = s.c.title;
  answers::StationAnswer station;
  station.name = "plate";
  station.surface_at_lift_degC = 60;
  station.centre_at_lift_degC = 61;
  station.bath_end_degC = 60;
  station.mass_kg = 0.05;
  for (std::size_t k = 0; k < station.zones.size(); ++k) {
    answers::ZoneAnswer& z = station.zones[k];
    z.name = treatment::zone_name(static_cast<treatment::Zone>(k));
    z.x_m = 0.01;
    z.thickness_m = 2e-3;
    z.into_bath_degC = 800;
    z.t800_500_s = 2.4;
    z.t700_500_s = 1.7;
    z.in_air_degC = {nan, nan, nan, nan};
    for (double* absent :
         {&z.reaches_temperature_s, &z.soak_s, &z.timer_from_door_s, &z.timer_from_recovery_s, &z.austenite,
          &z.carbon_in_solution, &z.undissolved_carbide, &z.transfer_to_spare_s, &z.transformed, &z.pearlite,
          &z.bainite, &z.rate_margin, &z.ms_degC, &z.martensite, &z.retained_austenite, &z.as_quenched_HRC,
          &z.tempered_HRC})
      *absent = nan;
  }
  for (double* absent :
       {&station.timer_from_door_s, &station.timer_from_recovery_s, &station.lift_below_smoke_s,
        &station.lift_below_flash_s, &station.hrc_as_quenched_least, &station.hrc_as_quenched_most,
        &station.hrc_tempered_least, &station.hrc_tempered_most, &station.hrc_band,
        &station.hrc_as_quenched_band})
    *absent = nan;
  s.answers.stations = {station};
  return s;
}

std::string file_text(const std::filesystem::path& path) {
  const std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

EnvironmentGuard::EnvironmentGuard(const char* name, const char* value) : name_(name) {
  if (const char* before = std::getenv(name)) {
    was_set_ = true;
    before_ = before;
  }
  ::setenv(name, value, 1);
}

EnvironmentGuard::~EnvironmentGuard() {
  if (was_set_)
    ::setenv(name_.c_str(), before_.c_str(), 1);
  else
    ::unsetenv(name_.c_str());
}

} // namespace tq::test
