#include "treatment/steps/bath.hpp"

#include "surroundings/bath.hpp"
#include "treatment/simulation.hpp"

#include <algorithm>

namespace tq::treatment {

namespace {

constexpr double vapour_degC = 700;     ///< where a table without a stated blanket is taken as film boiling
constexpr double wetting_fade_s = 0.05; ///< a place turns from vapour to wet within this

std::shared_ptr<const conduction::UniformTable> table_of_htc(const std::function<double(double)>& f) {
  return std::make_shared<const conduction::UniformTable>(0, 1300, 1, f);
}

bool partly_out(const Bath& b, const Simulation& sim) {
  return b.immersion_m > 0 && b.immersion_m < sim.grid().x.back();
}

conduction::Surround surround_of(const Bath& b, double bath_degC, const Simulation& sim) {
  const conduction::HeatOperator& section = sim.section();
  const double now = sim.time();
  const bool is_air = b.coolant.kind == records::CoolantKind::air && b.fixed_htc_W_m2K <= 0;
  const double emissivity = sim.bare_or_foil(sim.bare_emissivity());
  if (is_air || b.plates)
    return sim.air_surround(bath_degC, 0, emissivity);
  conduction::Surround s;
  s.temperature = [bath_degC](double) { return bath_degC; };
  std::shared_ptr<const conduction::UniformTable> table;
  if (b.fixed_htc_W_m2K <= 0) {
    table =
        table_of_htc(surroundings::BathCurve(surroundings::bath_htc(b.coolant, bath_degC, b.agitation_m_s)));
  }
  for (auto& face : s.face) {
    face.htc = table;
    face.htc_constant_W_m2K = b.fixed_htc_W_m2K;
  }
  if (b.flank_cooling != 1) {
    auto& flank = s.face[flank_b];
    if (table)
      flank.htc = table_of_htc([&](double T) { return b.flank_cooling * table->value(T); });
    flank.htc_constant_W_m2K *= b.flank_cooling;
  }
  if (b.volume_m3 > 0)
    s.bath_capacity_J_mK =
        surroundings::bath_heat_capacity(b.coolant, b.volume_m3) / sim.settings().blade.length_m;

  const std::vector<double>& x = sim.grid().x;
  const double width = x.back();
  if (b.immersion_m > 0 && b.immersion_m < width) {
    const auto air = sim.air_surround(b.air_degC, b.air_convection_W_m2K, emissivity);
    s.second.face = air.face;
    s.second.temperature = air.temperature;
    const double level = width - b.immersion_m;
    for (int f : {flank_a, flank_b})
      for (std::size_t n = 0; n < section.face_nodes(f); ++n) {
        const double from = n > 0 ? 0.5 * (x[n - 1] + x[n]) : x[n],
                     to = n + 1 < x.size() ? 0.5 * (x[n] + x[n + 1]) : x[n];
        s.second.share[static_cast<std::size_t>(f)].push_back(
            std::clamp((level - from) / (to - from), 0.0, 1.0));
      }
    s.second.share[spine_face].assign(section.face_nodes(spine_face), 1.0);
  } else if (b.flank_delay_s != 0) {
    const auto late = static_cast<std::size_t>(b.flank_delay_s > 0 ? flank_b : flank_a);
    const auto air = sim.air_surround(b.air_degC, b.air_convection_W_m2K, emissivity);
    s.second.face = air.face;
    s.second.temperature = air.temperature;
    s.second.fade_s = wetting_fade_s;
    s.second.until_s[late].assign(section.face_nodes(static_cast<int>(late)),
                                  now + std::abs(b.flank_delay_s));
  } else if (b.wetting_delay_s > 0 || b.wetting_speed_m_s > 0) {
    // under its blanket of vapour the surface loses what the table says of film boiling
    const double film =
        table ? table->value(std::max(b.coolant.blanket_end_degC, vapour_degC)) : b.fixed_htc_W_m2K;
    for (auto& face : s.second.face)
      face.htc_constant_W_m2K = film;
    s.second.fade_s = wetting_fade_s;
    const auto wet_from = [&](double at) {
      return now + b.wetting_delay_s + (b.wetting_speed_m_s > 0 ? (width - at) / b.wetting_speed_m_s : 0);
    };
    for (int f : {flank_a, flank_b})
      for (std::size_t n = 0; n < section.face_nodes(f); ++n)
        s.second.until_s[static_cast<std::size_t>(f)].push_back(wet_from(x[n]));
    s.second.until_s[spine_face].assign(section.face_nodes(spine_face), wet_from(0));
    s.second.until_s[edge_face].assign(section.face_nodes(edge_face), wet_from(width));
  }
  return s;
}

/// Zero when the blade is to be lifted; nothing when time alone says so.
std::function<double()> lifting(const Bath& b, const Simulation& sim) {
  if (!b.out_at_degC)
    return {};
  const double level = *b.out_at_degC;
  const conduction::HeatOperator& section = sim.section();
  switch (b.out_where) {
  case LiftPlace::surface:
    return [&section, level] { return section.outer_surface_max() - level; };
  case LiftPlace::inside:
    return sim.down_to(level);
  case LiftPlace::edge:
  case LiftPlace::spine:
    break;
  }
  const auto zone = static_cast<std::size_t>(b.out_where == LiftPlace::edge ? zone_edge : zone_spine);
  const auto centre = static_cast<std::size_t>(sim.centre_row() * sim.grid().nx + sim.zone_columns()[zone]);
  return [&section, level, centre] { return section.temperature()[centre] - level; };
}

/// The quench of one blade in the bath at `bath_degC`; notes its heat in the books.
void quench_at(const Bath& b, double bath_degC, Simulation& sim, double seconds,
               const StepObserver& observer) {
  sim.cover(b.plates.has_value());
  const conduction::HeatOperator& section = sim.section();
  sim.enter(surround_of(b, bath_degC, sim), steel::TransformMode::cooling);
  Simulation::BathBooks& books = sim.bath_books();
  books.start_degC = bath_degC;
  books.dry_J_m = 0;
  books.partly_dry = b.volume_m3 > 0 && (partly_out(b, sim) || b.flank_delay_s != 0);
  if (books.partly_dry)
    books.dry_W_m = section.second_heat_rate(sim.time());
  books.tank = {};
  books.tank.fresh_degC = b.temperature_degC;
  books.tank.room_degC = b.air_degC;
  books.tank.interval_s = b.interval_s;
  if (b.volume_m3 > 0) {
    books.tank.capacity_J_K = surroundings::bath_heat_capacity(b.coolant, b.volume_m3);
    books.tank.loss_W_K = surroundings::tank_loss_W_K(b.volume_m3);
  }
  double mass = 0, sum = 0;
  for (std::size_t n = 0; n < sim.temperature().size(); ++n) {
    mass += section.mass()[n];
    sum += section.mass()[n] * sim.temperature()[n];
  }
  books.tank.blade_degC = sum / mass;
  if (seconds > 0)
    sim.advance(sim.time() + seconds, observer, false, {}, lifting(b, sim));
  const int halves = sim.grid().half ? 2 : 1;
  books.tank.heat_J =
      (sim.heat_out() - books.from_J_m * halves - books.dry_J_m * halves) * sim.settings().blade.length_m;
}

bool even(const Bath& b) { return b.flank_delay_s == 0 && b.flank_cooling == 1; }

} // namespace

const char* word(const Bath& b) { return b.plates ? "plates" : "bath"; }

Part counts_as(const Bath&) { return Part::bath; }

void take(const Bath& b, Simulation& sim, double seconds, const StepObserver& observer) {
  const double length = seconds < 0 ? b.time_s : seconds;
  if (b.blades <= 1 || b.volume_m3 <= 0) {
    quench_at(b, b.temperature_degC, sim, length, observer);
    return;
  }
  // the heat of a whole quench hardly minds the steps: the first of a row is quenched roughly
  sim.try_out([&] { quench_at(b, b.temperature_degC, sim, length, {}); });
  const surroundings::Tank of_first = sim.bath_books().tank;
  quench_at(b, surroundings::bath_before_blade(of_first, b.blades), sim, length, observer);
  sim.bath_books().tank = of_first;
}

double expected_s(const Bath& b) { return b.time_s; }

std::vector<double> usual_frames(const Bath& b) {
  std::vector<double> times; // crowded to the start
  for (double t :
       {0.1, 0.2, 0.35, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.0, 10.0, 14.0, 20.0, 30.0, 60.0})
    if (t < b.time_s)
      times.push_back(t);
  return times;
}

double weight(const Bath&) { return 0.3; }

bool same_on_both_flanks(const Bath& b) {
  return even(b) && (!b.plates || b.plates->contact_W_m2K[0] == b.plates->contact_W_m2K[1]);
}

} // namespace tq::treatment
