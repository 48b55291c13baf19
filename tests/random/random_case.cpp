#include "random_case.hpp"

#include "../support/file_records.hpp"
#include "records/read_coolant.hpp"
#include "records/read_foil.hpp"
#include "records/read_steel.hpp"
#include "section/profile.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <random>

namespace tq::test {

namespace {

using namespace treatment;

class Draw {
 public:
  explicit Draw(std::uint64_t seed) : engine_(seed) {}
  /// Even in [a, b); 53 bits of the engine, so the same everywhere.
  double even(double a, double b) { return a + (b - a) * static_cast<double>(engine_() >> 11) * 0x1.0p-53; }
  double logarithmic(double a, double b) { return std::exp(even(std::log(a), std::log(b))); }
  bool chance(double p) { return even(0, 1) < p; }
  int whole(int a, int b) { return a + static_cast<int>(even(0, 1) * (b - a + 1)); }
  template <class T>
  const T& one_of(const std::vector<T>& v) {
    return v[static_cast<std::size_t>(whole(0, static_cast<int>(v.size()) - 1))];
  }

 private:
  std::mt19937_64 engine_;
};

struct Shelf {
  std::vector<records::SteelRecord> steels;
  std::vector<records::CoolantRecord> coolants;
  records::FoilRecord foil;
};

const Shelf& shelf() {
  static const Shelf the = [] {
    Shelf s;
    const FileRecords files;
    const auto text = [&](RecordKind kind, const std::string& key) {
      return files.shipped(kind, key).value();
    };
    const RecordText phases = text(RecordKind::phases, "phases");
    for (const std::string& key : files.keys(RecordKind::steel)) {
      const RecordText t = text(RecordKind::steel, key);
      s.steels.push_back(records::read_steel(t.text, t.file, records::read_phases(phases.text, phases.file)));
    }
    for (const std::string& key : files.keys(RecordKind::coolant)) {
      const RecordText t = text(RecordKind::coolant, key);
      s.coolants.push_back(records::read_coolant(t.text, t.file));
    }
    const RecordText t = text(RecordKind::foil, "stainless");
    s.foil = records::read_foil(t.text, t.file);
    return s;
  }();
  return the;
}

section::Profile random_profile(Draw& d) {
  for (;;) {
    try {
      if (d.chance(0.15)) { // caliper readings
        std::vector<double> x{0}, t{d.logarithmic(1e-3, 8e-3)};
        const double width = d.even(0.010, 0.080);
        const int readings = d.whole(2, 7);
        for (int i = 1; i < readings; ++i) {
          x.push_back(width * i / (readings - 1));
          t.push_back(std::max(1e-4, t.back() * d.even(0.5, 1.05)));
        }
        return section::profile_from_calipers(x, t);
      }
      if (d.chance(0.1)) { // a crooked outline
        const double w = d.even(0.010, 0.080), s = d.logarithmic(1e-3, 8e-3), e = d.logarithmic(1e-4, s);
        const double lean = d.even(-0.3, 0.3) * s;
        return section::profile_from_points(
            {0, w, w, 0.5 * w, 0, 0}, {0.5 * s, 0.5 * e + lean, -0.5 * e + lean, -0.4 * s, -0.5 * s, 0});
      }
      section::GrindSpec g;
      g.grind = d.one_of(std::vector<section::Grind>{section::Grind::flat, section::Grind::bevel,
                                                     section::Grind::hollow, section::Grind::convex,
                                                     section::Grind::one_sided});
      g.width = d.even(0.010, 0.080);
      g.spine = d.logarithmic(1e-3, 8e-3);
      g.edge = std::min(g.spine, d.logarithmic(1e-4, 2e-3));
      g.bevel_height = d.even(0.3, 0.9) * g.width;
      g.wheel_radius = d.logarithmic(0.03, 0.5);
      g.convex_bulge = d.even(0.01, 0.1) * g.spine;
      if (g.grind == section::Grind::flat)
        g.bevel_height = 0;
      if (d.chance(0.15)) {
        g.false_edge_width = d.even(0.1, 0.25) * g.width;
        g.false_edge_thickness = d.even(0.3, 0.9) * g.spine;
      }
      return section::profile_from_grind(g);
    } catch (const section::ProfileError&) {
      // not a blade: draw again
    }
  }
}

} // namespace

Case random_case(std::uint64_t seed) {
  Draw d(seed * 0x9E3779B97F4A7C15ull + 1);
  Case c;
  c.title = "seed " + std::to_string(seed);
  c.steel = d.one_of(shelf().steels);
  c.blade.length_m = d.even(0.03, 0.6);
  c.blade.stations.push_back({"drawn", random_profile(d)});
  c.blade.start_state =
      d.chance(0.5) ? records::StartState::spheroidised : records::StartState::fine_pearlite;
  c.stages = {Stage::furnace, Stage::transfer, Stage::bath, Stage::cool, Stage::temper};
  const double hardening =
      d.even(c.steel.austenitising.hardening_from_degC - 60, c.steel.austenitising.hardening_to_degC + 60);
  c.start.temperature_degC = 20;
  if (d.chance(0.15)) {
    c.stages.erase(c.stages.begin());
    if (d.chance(0.5))
      c.stages.erase(c.stages.begin());
    c.start.temperature_degC = hardening;
    c.start.austenitised = true;
  } else if (d.chance(0.1)) {
    c.stages.resize(1);
  }
  auto& f = c.furnace;
  f.setpoint_degC = hardening;
  f.loading = d.chance(0.7) ? Loading::hot : Loading::cold;
  f.timer_s = d.logarithmic(60, 3 * 3600);
  f.timer_start = d.chance(0.7) ? TimerStart::door : TimerStart::recovery;
  f.reading_offset_K = d.even(-30, 30);
  f.wall_emissivity = d.even(0.5, 1);
  f.convection_W_m2K = d.even(3, 40);
  if (f.loading == Loading::hot) {
    f.droop_K = d.chance(0.3) ? 0 : d.even(0, 110);
    f.recovery_s = f.droop_K > 0 ? d.logarithmic(30, 1800) : 0;
  } else {
    f.programme.push_back({d.even(300, 680), d.chance(0.3) ? 0 : d.logarithmic(0.02, 2), d.even(0, 1800)});
    f.programme.push_back({hardening, d.chance(0.3) ? 0 : d.logarithmic(0.02, 2), d.even(0, 1800)});
  }
  auto& w = c.wrap;
  w.foil = shelf().foil;
  w.layers = d.chance(0.25) ? 0 : d.whole(1, 3);
  w.thickness_m = d.logarithmic(2e-5, 1e-4);
  const double gap = d.logarithmic(1e-6, 3e-3);
  w.gap_m.fill(gap);
  if (d.chance(0.4))
    for (double& g : w.gap_m)
      g = d.logarithmic(1e-6, 3e-3);
  w.contact_fraction = d.chance(0.5) ? 0.02 : d.even(0, 0.3);
  w.contact_conductance_W_m2K = d.even(300, 3000);
  w.emissivity_outside = d.even(0.15, 0.9);
  w.emissivity_inside = d.even(0.15, 0.6);
  w.on_in_oil = w.layers > 0 && d.chance(0.4);
  c.surface = {d.even(0.2, 0.9), d.even(0.2, 0.9), d.even(0.2, 0.6)};
  c.transfer.time_s = d.chance(0.1) ? 0 : d.even(0, 60) * d.even(0, 1);
  c.transfer.in_foil = w.on_in_oil || (w.layers > 0 && d.chance(0.2));
  c.transfer.air_degC = d.even(-10, 40);
  c.transfer.convection_W_m2K = d.chance(0.7) ? 0 : d.even(5, 100);
  auto& b = c.bath;
  b.coolant = d.one_of(shelf().coolants);
  b.temperature_degC = b.coolant.kind == records::CoolantKind::water ? d.even(5, 60)
                       : b.coolant.kind == records::CoolantKind::air ? d.even(-10, 40)
                                                                     : d.even(15, 120);
  b.volume_m3 = d.chance(0.2) ? 0 : d.logarithmic(2e-3, 0.2);
  b.agitation_m_s = d.chance(0.5) ? 0 : d.even(0, 1);
  b.time_s = d.logarithmic(1, 600);
  if (d.chance(0.15))
    b.fixed_htc_W_m2K = d.logarithmic(5, 20000);
  c.cool.air_degC = d.even(0, 35);
  c.cool.lowest_degC = d.chance(0.4) ? c.cool.air_degC : d.even(-196, 80);
  c.cool.convection_W_m2K = d.chance(0.7) ? 0 : d.even(5, 60);
  auto& t = c.temper;
  t.oven_degC = d.even(120, 450);
  t.time_s = d.logarithmic(600, 4 * 3600);
  t.count = d.whole(1, 3);
  t.swing_K = d.chance(0.5) ? 0 : d.even(0, 40);
  t.swing_period_s = d.logarithmic(60, 1800);
  t.edge_extra_K = d.chance(0.7) ? 0 : d.even(0, 40);
  t.convection_W_m2K = d.even(8, 55);
  t.emissivity = d.even(0.2, 0.9);
  c.wishes.soak_s = 600;
  const bool fine = d.chance(0.05);
  c.solver.along = fine ? d.whole(60, 96) : d.whole(12, 32);
  c.solver.across = 2 * (fine ? d.whole(4, 8) : d.whole(1, 4));
  c.solver.tolerance_K = d.logarithmic(0.05, 1);
  c.solver.use_symmetry = d.chance(0.8);
  const double width = c.blade.stations.front().profile.width();
  for (int i = 0; i < 2; ++i)
    c.probes.push_back({"p" + std::to_string(i), d.even(0, width), d.even(-1e-3, 1e-3)});
  return c;
}

TemperatureHull hull(const Case& c) {
  TemperatureHull h{c.start.temperature_degC, c.start.temperature_degC};
  const auto take = [&](double a) {
    h.least = std::min(h.least, a);
    h.most = std::max(h.most, a);
  };
  if (c.has(Stage::furnace)) {
    take(c.furnace.start_degC);
    for (const auto& step : c.furnace.programme)
      take(step.target_degC + c.furnace.reading_offset_K);
    take(c.furnace.setpoint_degC + c.furnace.reading_offset_K);
  }
  if (c.has(Stage::transfer))
    take(c.transfer.air_degC);
  if (c.has(Stage::bath))
    take(c.bath.temperature_degC);
  if (c.has(Stage::cool)) {
    take(c.cool.air_degC);
    take(c.cool.lowest_degC);
  }
  if (c.has(Stage::temper)) {
    take(c.temper.oven_degC + c.temper.swing_K + c.temper.edge_extra_K);
    take(20);
  }
  return h;
}

} // namespace tq::test
