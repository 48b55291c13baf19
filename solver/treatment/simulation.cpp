#include "treatment/simulation.hpp"

#include "section/grid.hpp"
#include "steel/hardness.hpp"
#include "steel/retained_austenite.hpp"
#include "surroundings/air.hpp"
#include "surroundings/bath.hpp"
#include "surroundings/plates.hpp"
#include "surroundings/wrap.hpp"
#include "units/temperature.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <limits>
#include <sstream>
#include <utility>

namespace tq::treatment {

namespace {

/// Share of the muffle's area that blade or foil take up, for the finite-cavity correction (Incropera ch. 13:
/// below 5 % of the flux for ratios up to 0.2). A usual small muffle; no source.
constexpr double cavity_area_ratio = 0.1;
/// The furnace, the air and the oven change slowly; their steps may err this much more than the quench's.
constexpr double slow_tolerance_factor = 3;
constexpr double cold_medium_htc = 30; ///< freezer air or dry ice in alcohol, order of magnitude [W/m2K]
constexpr double room_degC = 20;
constexpr double vapour_degC = 700;     ///< where a table without a stated blanket is taken as film boiling
constexpr double wetting_fade_s = 0.05; ///< a place turns from vapour to wet within this
constexpr long most_steps = 100000;     ///< in one stage; usual ones take some hundred

std::shared_ptr<const conduction::UniformTable> shared_table(double from, double to, double step,
                                                             const std::function<double(double)>& f) {
  return std::make_shared<const conduction::UniformTable>(from, to, step, f);
}

double cavity_emissivity(double surface, const Furnace& f) {
  return surface <= 0
             ? 0
             : 1.0 / (1.0 / surface + cavity_area_ratio * f.blades * (1.0 / f.wall_emissivity - 1.0));
}
/// Foil browns above this; assumption, no source.
constexpr double oxidising_from_degC = 500;

bool same_flanks(const Case& c) {
  const Wrap& w = c.wrap;
  const bool foil = w.layers == 0 || (w.gap_m[flank_a] == w.gap_m[flank_b] &&
                                      w.contact_patches[flank_a] == w.contact_patches[flank_b]);
  const auto plates = [](const std::optional<Plates>& p) {
    return !p || p->contact_W_m2K[0] == p->contact_W_m2K[1];
  };
  // of two blades side by side each is shaded on one flank only
  const auto even = [](const Bath& b) { return b.flank_delay_s == 0 && b.flank_cooling == 1; };
  return foil && c.furnace.blades != 2 && plates(c.bath.plates) && even(c.bath) &&
         (!c.second_bath || (plates(c.second_bath->plates) && even(*c.second_bath)));
}

} // namespace

surroundings::FurnaceTemperature furnace_of(const Case& c) {
  const Furnace& f = c.furnace;
  auto furnace = f.loading == Loading::hot
                     ? surroundings::FurnaceTemperature::hot(f.setpoint_degC, f.reading_offset_K, f.droop_K,
                                                             f.recovery_s)
                     : surroundings::FurnaceTemperature::cold(f.start_degC, f.reading_offset_K, f.programme);
  if (f.overshoot_K > 0)
    furnace.overshoot(f.overshoot_K, f.overshoot_peak_s);
  return furnace;
}

Simulation::Simulation(const Case& c, std::size_t station) : case_(c), furnace_(furnace_of(c)) {
  const bool from_the_furnace = !c.stages.empty() && c.stages.front() != Stage::furnace;
  foil_emissivity_ = from_the_furnace ? c.wrap.emissivity_oxidised.value_or(c.wrap.emissivity_outside)
                                      : c.wrap.emissivity_outside;
  const section::Profile& profile = c.blade.stations.at(station).profile;
  section::GridOptions options;
  options.along = c.solver.along;
  options.across = c.solver.across;
  options.use_symmetry = c.solver.use_symmetry && same_flanks(c);
  grid_ = section::make_grid(profile, options);
  mesh_ = conduction::make_mesh(grid_);
  area_ = profile.area();
  tolerance_K_ = c.solver.tolerance_K;
  const std::size_t n = grid_.nodes();
  temperature_.assign(n, c.start.temperature_degC);
  temperature_before_ = temperature_mean_ = temperature_;
  tempering_.assign(n, 0);
  time_at_temperature_.assign(n, 0);
  std::vector<double> enthalpy(n), clocks;
  if (c.steel.inert) {
    inert_ =
        std::make_unique<conduction::InertMaterial>(c.steel.conductivity_W_mK, c.steel.specific_heat_J_kgK);
    op_ = std::make_unique<conduction::HeatOperator>(mesh_, c.steel.density_kg_m3, *inert_);
    std::fill(enthalpy.begin(), enthalpy.end(), inert_->enthalpy(c.start.temperature_degC));
  } else {
    steel_ = std::make_unique<steel::TransformingMaterial>(c.steel, c.blade.start_state, n);
    op_ = std::make_unique<conduction::HeatOperator>(mesh_, c.steel.density_kg_m3, *steel_);
    clocks.assign(2 * n, 0);
    if (c.start.austenitised)
      steel_->austenitise(c.start.temperature_degC);
    for (std::size_t i = 0; i < n; ++i)
      enthalpy[i] = steel_->enthalpy(i, c.start.temperature_degC);
    if (!c.steel.temper.hardness_HRC.empty())
      response_ = steel::TemperResponse::of_martensite(c.steel);
  }
  x_ = op_->make_state(enthalpy.data(), clocks.data(), c.start.temperature_degC, 0);
  const bool foil = c.wrap.layers > 0 && !c.stages.empty() && c.stages.front() != Stage::furnace &&
                    (c.wrap.on_in_oil || (c.transfer.in_foil && c.stages.front() == Stage::transfer));
  const bool coat = c.coat && !c.stages.empty() && c.stages.front() <= Stage::bath;
  set_covers({foil, coat, nullptr});
  const auto column = [&](double at) {
    const auto nearest = std::min_element(grid_.x.begin(), grid_.x.end(), [&](double a, double b) {
      return std::abs(a - at) < std::abs(b - at);
    });
    return static_cast<int>(nearest - grid_.x.begin());
  };
  zone_column_ = {grid_.nx - 1, column(0.5 * profile.width()), 0, column(profile.thickest_at())};
}

Simulation::Snapshot Simulation::save() const {
  Snapshot s{time_, x_, temperature_, tempering_, time_at_temperature_, {}, covers_, foil_emissivity_};
  if (steel_)
    s.material.emplace(*steel_);
  return s;
}

void Simulation::restore(const Snapshot& s) {
  time_ = s.time;
  foil_emissivity_ = s.foil_emissivity;
  temperature_ = s.temperature;
  if (steel_ && s.material)
    *steel_ = *s.material;
  tempering_ = s.tempering;
  time_at_temperature_ = s.time_at_temperature;
  set_covers(s.covers);
  x_ = s.state;
  heat_out_ = x_[static_cast<Eigen::Index>(op_->heat_out_index())];
  op_->refresh(x_);
}

void Simulation::set_covers(const Covers& covers) {
  if (covers == covers_)
    return;
  const std::vector<double> enthalpy(x_.data(), x_.data() + op_->body_nodes());
  const std::vector<double> clocks(x_.data() + op_->clock_offset(), x_.data() + op_->heat_out_index());
  conduction::Cover cover;
  if (covers.coat)
    add_coat(cover);
  if (covers.foil)
    add_foil(cover);
  if (covers.plates)
    add_plates(cover, *covers.plates->plates, covers.plates->temperature_degC);
  op_->set_cover(cover);
  covers_ = covers;
  x_ = op_->make_state(enthalpy.data(), clocks.data(), temperature_.front(), heat_out_);
}

void Simulation::add_foil(conduction::Cover& cover) const {
  const Wrap& w = case_.wrap;
  conduction::FoilCover foil;
  foil.layers = w.layers;
  if (w.heat_capacity_J_m2K > 0) {
    foil.mass_kg_m2 = 1;
    foil.c0 = w.heat_capacity_J_m2K;
    foil.c1 = 0;
  } else {
    foil.mass_kg_m2 = w.foil.density_kg_m3 * w.thickness_m;
    foil.c0 = w.foil.specific_heat_c0;
    foil.c1 = w.foil.specific_heat_c1;
  }
  foil.along_W_K = w.foil.conductivity_W_mK * w.thickness_m;
  for (std::size_t f = 0; f < face_count; ++f) {
    surroundings::Gap gap;
    gap.width_m = w.gap_m[f];
    gap.contact_fraction = std::min(1.0, w.contact_fraction + w.contact_patches[f]);
    gap.contact_conductance_W_m2K = w.contact_conductance_W_m2K;
    gap.fixed_conductance_W_m2K = w.fixed_conductance_W_m2K;
    gap.gas = w.gas;
    foil.gap_conductance[f] =
        shared_table(-100, 1300, 10, [&](double T) { return surroundings::gap_conductance(gap, T); });
  }
  foil.exchange_steel =
      surroundings::exchange_emissivity(w.emissivity_inside, case_.surface.emissivity_in_foil);
  foil.exchange_layers = surroundings::exchange_emissivity(w.emissivity_inside, w.emissivity_inside);
  for (const conduction::CoverLayer& layer : conduction::cover_of(foil))
    cover.push_back(layer);
}

void Simulation::add_coat(conduction::Cover& cover) const {
  const Coat& coat = *case_.coat;
  const auto at = [&](double x) {
    const std::vector<double>&d = coat.distance_m, &t = coat.thickness_m;
    if (d.empty() || x < d.front() - 1e-9 || x > d.back() + 1e-9)
      return 0.0;
    const auto after = std::upper_bound(d.begin(), d.end(), x);
    if (after == d.begin() || after == d.end())
      return after == d.begin() ? t.front() : t.back();
    const auto n = static_cast<std::size_t>(after - d.begin());
    return t[n - 1] + (t[n] - t[n - 1]) * (x - d[n - 1]) / (d[n] - d[n - 1]);
  };
  std::array<std::vector<double>, conduction::faces> thickness;
  for (int f : {flank_a, flank_b})
    for (std::size_t n = 0; n < op_->face_nodes(f); ++n)
      thickness[static_cast<std::size_t>(f)].push_back(at(grid_.x[n]));
  thickness[spine_face].assign(op_->face_nodes(spine_face), coat.spine_m);
  thickness[edge_face].assign(op_->face_nodes(edge_face), coat.edge_m);
  for (const conduction::CoverLayer& layer : surroundings::coat(coat.solid, thickness))
    cover.push_back(layer);
}

void Simulation::add_plates(conduction::Cover& cover, const Plates& plates, double start_degC) const {
  conduction::Cover slices;
  std::vector<double> lower(grid_.bottom.size());
  std::transform(grid_.bottom.begin(), grid_.bottom.end(), lower.begin(), [](double y) { return -y; });
  for (int f : {flank_a, flank_b})
    if (op_->face_nodes(f) > 0)
      surroundings::add_plate(
          slices, f, plates.metal, plates.thickness_m, plates.contact_W_m2K[static_cast<std::size_t>(f)],
          surroundings::gap_under_plate(grid_.x, f == flank_a ? grid_.top : lower), start_degC);
  cover.insert(cover.end(), slices.begin(), slices.end());
}

double Simulation::bare_or_foil(double bare_emissivity) const {
  return covers_.foil ? foil_emissivity_ : bare_emissivity;
}

conduction::Surround Simulation::air_surround(double air_degC, double convection, double emissivity) const {
  conduction::Surround s;
  s.temperature = [air_degC](double) { return air_degC; };
  const double height = grid_.x.back();
  std::shared_ptr<const conduction::UniformTable> table;
  if (convection <= 0)
    table = shared_table(-200, 1300, 5,
                         [&](double T) { return surroundings::natural_convection(T, air_degC, height); });
  for (auto& face : s.face) {
    face.htc = table;
    face.htc_constant_W_m2K = convection;
    face.emissivity = emissivity;
  }
  return s;
}

void Simulation::enter(Stage stage, const conduction::Surround& surround, bool foil_on,
                       steel::TransformMode mode) {
  stage_ = stage;
  set_covers({foil_on, covers_.coat, covers_.plates});
  if (steel_) {
    std::vector<double> clocks(x_.data() + op_->clock_offset(), x_.data() + op_->heat_out_index());
    steel_->begin(mode, clocks.data());
    std::copy(clocks.begin(), clocks.end(), x_.data() + op_->clock_offset());
  }
  op_->set_surround(surround);
  op_->start_bath(heat_out_);
  op_->refresh(x_);
  temperature_ = op_->temperature();
  bath_from_J_m_ = heat_out_;
  partly_dry_ = false;
}

void Simulation::after_step(double dt) {
  op_->refresh(x_);
  const std::vector<double>& now = op_->temperature();
  const std::size_t n = now.size();
  for (std::size_t i = 0; i < n; ++i)
    temperature_mean_[i] = 0.5 * (temperature_before_[i] + now[i]);
  if (steel_)
    steel_->commit(x_.data() + op_->clock_offset(), now.data(), temperature_mean_.data(), n, dt);
  temperature_ = op_->temperature();
  heat_out_ = x_[static_cast<Eigen::Index>(op_->heat_out_index())];
  if (partly_dry_) {
    const double rate = op_->second_heat_rate(time_);
    dry_heat_J_m_ += 0.5 * (dry_rate_W_m_ + rate) * dt;
    dry_rate_W_m_ = rate;
    op_->start_bath(bath_from_J_m_ + dry_heat_J_m_);
  }
  soak_.step(time_ - dt, time_, temperature_before_, temperature_, time_at_temperature_);
  if (steel_ && steel_->mode() == steel::TransformMode::cooling)
    temper_while_cooling(dt);
  if (tempering_on_) {
    const double C = case_.steel.temper.hj_constant_h;
    for (std::size_t i = 0; i < n; ++i) {
      const double a = temperature_before_[i], b = temperature_[i];
      if (std::max(a, b) < 60)
        continue; // far below any tempering effect in these times
      const double middle = 0.5 * (a + b);
      double p = tempering_[i];
      if (std::abs(b - a) > 5) {
        p = steel::add_tempering(p, 0.75 * a + 0.25 * b, 0.5 * dt, C);
        p = steel::add_tempering(p, 0.25 * a + 0.75 * b, 0.5 * dt, C);
      } else {
        p = steel::add_tempering(p, middle, dt, C);
      }
      tempering_[i] = p;
    }
  }
}

void Simulation::temper_while_cooling(double dt) {
  // Martensite tempers itself on the way down from Ms. A node's parameter is that of the mean time its
  // martensite has had at the present temperature: what forms in a step comes in with none.
  constexpr double cold_degC = 80; // below, the seconds and minutes of a quench do nothing
  const double C = case_.steel.temper.hj_constant_h;
  const std::vector<double>&martensite = steel_->martensite(), &fresh = steel_->fresh_martensite();
  for (std::size_t i = 0; i < tempering_.size(); ++i) {
    if (temperature_mean_[i] < cold_degC || martensite[i] < 1e-3)
      continue;
    double p = steel::add_tempering(tempering_[i], temperature_mean_[i], dt, C);
    if (fresh[i] > 0)
      p = fresh[i] < 1 ? std::max(0.0, p + kelvin(temperature_mean_[i]) * std::log10(1 - fresh[i])) : 0;
    tempering_[i] = p;
  }
}

void Simulation::find_events(conduction::DenseRosenbrockW& stepper) {
  if (!steel_ || steel_->mode() != steel::TransformMode::cooling)
    return;
  const conduction::State& old_state = stepper.previous_state();
  const conduction::State& new_state = stepper.current_state();
  const auto nodes = static_cast<Eigen::Index>(op_->body_nodes());
  const auto clocks = static_cast<Eigen::Index>(op_->clock_offset());
  op_->refresh(new_state);
  const std::vector<double> T_new = op_->temperature();
  const auto note = [&](EventKind kind, int zone, std::size_t node, double time) {
    conduction::State there;
    stepper.calc_state(time, there);
    op_->refresh(there);
    events_.push_back({kind, static_cast<Zone>(zone), time, op_->temperature()[node]});
  };
  const std::size_t before = events_.size();
  for (int z = 0; z < zone_count; ++z) {
    const auto node =
        static_cast<std::size_t>(centre_row() * grid_.nx + zone_column_[static_cast<std::size_t>(z)]);
    for (const auto& [kind, row] :
         {std::pair{EventKind::pearlite_starts, 0}, {EventKind::bainite_starts, 1}}) {
      const Eigen::Index at = clocks + row * nodes + static_cast<Eigen::Index>(node);
      const double from = old_state[at] - 1, to = new_state[at] - 1;
      if (from < 0 && to >= 0)
        note(kind, z, node,
             stepper.locate([&](const conduction::State& x) { return x[at] - 1; }, from, event_resolution_s));
    }
    const double ms = steel_->ms()[node];
    if (temperature_[node] > ms && T_new[node] <= ms)
      note(EventKind::martensite_starts, z, node,
           stepper.locate(
               [&](const conduction::State& x) {
                 op_->refresh(x);
                 return op_->temperature()[node] - ms;
               },
               temperature_[node] - ms, event_resolution_s));
  }
  std::stable_sort(events_.begin() + static_cast<std::ptrdiff_t>(before), events_.end(),
                   [](const Event& a, const Event& b) { return a.time_s < b.time_s; });
}

void Simulation::advance(double until, const Observer& observer, bool slow, const std::vector<double>& breaks,
                         const std::function<double()>& stop) {
  const auto begin = std::chrono::steady_clock::now();
  ended_early_ = false;
  const double scale = op_->energy(x_);
  const double heat_before = heat_out_;
  op_->set_tolerance(tolerance_K_ * (slow ? slow_tolerance_factor : 1));
  conduction::StepRule rule;
  rule.max_step_s = case_.solver.max_step_s;
  conduction::DenseRosenbrockW stepper(rule);
  stepper.initialize(x_, time_, slow ? 0.05 : 1e-3);
  std::vector<double> stops;
  for (const std::vector<double>* list : {&breaks, static_cast<const std::vector<double>*>(&landings_)})
    for (double t : *list)
      if (t > time_ + 1e-9 && t < until - 1e-9)
        stops.push_back(t);
  stops.push_back(until);
  std::sort(stops.begin(), stops.end());
  std::size_t next = 0;
  try {
    if (observer && !observer(*this, stage_)) {
      ended_early_ = true;
      next = stops.size();
    }
    if (stop && stop() <= 0)
      next = stops.size();
    while (next < stops.size()) {
      if (stepper.steps() > most_steps)
        throw std::runtime_error("more than " + std::to_string(most_steps) + " time steps");
      temperature_before_ = temperature_;
      const std::pair<double, double> step = stepper.do_step_until(std::ref(*op_), stops[next]);
      const double from = step.first;
      double to = step.second;
      const std::size_t events_before = events_.size();
      find_events(stepper);
      x_ = stepper.current_state();
      bool stopped = false;
      if (stop) {
        const auto left = [&](const conduction::State& x) {
          op_->refresh(x);
          return stop();
        };
        if (left(x_) <= 0) {
          to = stepper.locate(left, 1.0, event_resolution_s);
          stepper.calc_state(to, x_);
          stopped = true;
          while (events_.size() > events_before && events_.back().time_s > to)
            events_.pop_back();
        }
      }
      time_ = to;
      after_step(to - from);
      if (observer && !observer(*this, stage_)) {
        ended_early_ = true;
        break;
      }
      if (stopped)
        break;
      if (to >= stops[next]) {
        if (std::find_if(breaks.begin(), breaks.end(), [&](double b) { return std::abs(b - to) < 1e-9; }) !=
            breaks.end()) {
          stepper.reset();
          soak_.jumped();
          stepper.limit_time_step(slow ? 0.5 : 1e-2);
        }
        ++next;
      }
    }
  } catch (const Interrupted&) {
    throw;
  } catch (const std::runtime_error& e) {
    std::ostringstream message;
    message << "the solver gave up in the " << stage_name(stage_) << " stage at " << time_
            << " s: " << e.what() << "; try a larger solver.tolerance or fewer grid intervals";
    throw SolverError(message.str());
  }
  counters_.steps += stepper.steps();
  counters_.rejected += stepper.rejected();
  counters_.rhs += stepper.rhs_evaluations();
  counters_.factorisations += stepper.factorisations();
  energy_defect_ += std::abs(op_->energy(x_) - scale);
  heat_scale_ = std::max(heat_scale_, std::abs(heat_out_ - heat_before));
  solver_seconds_ += std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

void Simulation::furnace(double until_s, const Observer& observer) {
  set_covers({case_.wrap.layers > 0, case_.coat.has_value(), nullptr});
  conduction::Surround s;
  s.temperature = [this](double t) { return furnace_(t); };
  const Furnace& f = case_.furnace;
  foil_emissivity_ = case_.wrap.emissivity_outside;
  const double fresh = bare_or_foil(case_.surface.emissivity_furnace);
  double hot_from = 0;
  if (f.loading == Loading::cold)
    while (hot_from < until_s && furnace_(hot_from) < oxidising_from_degC)
      hot_from += 10;
  const auto foil_now = [this, fresh, hot_from](double t) {
    return surroundings::oxidising_emissivity(fresh, *case_.wrap.emissivity_oxidised,
                                              case_.wrap.oxidises_in_s, t - hot_from);
  };
  const bool oxidises = covers_.foil && case_.wrap.emissivity_oxidised;
  for (int face = 0; face < face_count; ++face) {
    const bool shaded = (face == flank_a && f.blades > 2) || (face == flank_b && f.blades > 1);
    const double view = shaded ? surroundings::view_between_blades(grid_.x.back(), f.spacing_m) : 0;
    const auto towards_walls = [&f, view](double emissivity) {
      return cavity_emissivity(surroundings::shaded_emissivity(emissivity, view), f);
    };
    auto& exchange = s.face[static_cast<std::size_t>(face)];
    exchange.htc_constant_W_m2K = f.convection_W_m2K;
    exchange.emissivity = towards_walls(fresh);
    if (oxidises && exchange.emissivity > 0)
      s.emissivity_factor[static_cast<std::size_t>(face)] = [foil_now, towards_walls,
                                                             first = exchange.emissivity](double t) {
        return towards_walls(foil_now(t)) / first;
      };
  }
  if (f.support)
    heat_support(s);
  enter(Stage::furnace, s, covers_.foil, steel::TransformMode::heating);
  soak_.begin(furnace_.final_degC() - case_.wishes.within_K);
  advance(until_s, observer, true, furnace_.breakpoints());
  soak_ = {};
  if (oxidises)
    foil_emissivity_ = foil_now(time_);
}

void Simulation::heat_support(conduction::Surround& s) const {
  const Support& support = *case_.furnace.support;
  const std::vector<double>& x = grid_.x;
  for (auto& face : s.second.face)
    face.htc_constant_W_m2K = support.conductance_W_m2K;
  s.second.temperature = [this, cooler = support.cooler_K](double t) {
    const double furnace = furnace_(t); // a brick came from the room, and is no colder
    return std::min(furnace, std::max(furnace - cooler, room_degC));
  };
  const bool spine = support.face == spine_face;
  for (int f : {flank_a, flank_b})
    for (std::size_t n = 0; n < op_->face_nodes(f); ++n) {
      const double from = n > 0 ? 0.5 * (x[n - 1] + x[n]) : x[n],
                   to = n + 1 < x.size() ? 0.5 * (x[n] + x[n + 1]) : x[n];
      const double in_slot = spine ? support.depth_m - from : to - (x.back() - support.depth_m);
      s.second.share[static_cast<std::size_t>(f)].push_back(std::clamp(in_slot / (to - from), 0.0, 1.0));
    }
  s.second.share[static_cast<std::size_t>(support.face)].assign(op_->face_nodes(support.face), 1.0);
}

void Simulation::transfer(double seconds, const Observer& observer) {
  const bool foil = (case_.transfer.in_foil || case_.wrap.on_in_oil) && covers_.foil;
  set_covers({foil, covers_.coat, nullptr});
  const auto s = air_surround(case_.transfer.air_degC, case_.transfer.convection_W_m2K,
                              bare_or_foil(case_.surface.emissivity_air));
  enter(Stage::transfer, s, foil, steel::TransformMode::cooling);
  if (seconds > 0)
    advance(time_ + seconds, observer, false);
}

conduction::Surround Simulation::bath_surround(const Bath& b, double bath_degC) const {
  const bool is_air = b.coolant.kind == records::CoolantKind::air && b.fixed_htc_W_m2K <= 0;
  const double emissivity = bare_or_foil(case_.surface.emissivity_air);
  if (is_air || b.plates)
    return air_surround(bath_degC, 0, emissivity);
  conduction::Surround s;
  s.temperature = [bath_degC](double) { return bath_degC; };
  std::shared_ptr<const conduction::UniformTable> table;
  if (b.fixed_htc_W_m2K <= 0) {
    const records::Table htc = surroundings::bath_htc(b.coolant, bath_degC, b.agitation_m_s);
    table = shared_table(0, 1300, 1, [&](double T) { return htc(T); });
  }
  for (auto& face : s.face) {
    face.htc = table;
    face.htc_constant_W_m2K = b.fixed_htc_W_m2K;
  }
  if (b.flank_cooling != 1) {
    auto& flank = s.face[flank_b];
    if (table)
      flank.htc = shared_table(0, 1300, 1, [&](double T) { return b.flank_cooling * table->value(T); });
    flank.htc_constant_W_m2K *= b.flank_cooling;
  }
  if (b.volume_m3 > 0)
    s.bath_capacity_J_mK = surroundings::bath_heat_capacity(b.coolant, b.volume_m3) / case_.blade.length_m;

  const std::vector<double>& x = grid_.x;
  const double width = x.back();
  if (b.immersion_m > 0 && b.immersion_m < width) {
    const auto air = air_surround(case_.transfer.air_degC, case_.transfer.convection_W_m2K, emissivity);
    s.second.face = air.face;
    s.second.temperature = air.temperature;
    const double level = width - b.immersion_m;
    for (int f : {flank_a, flank_b})
      for (std::size_t n = 0; n < op_->face_nodes(f); ++n) {
        const double from = n > 0 ? 0.5 * (x[n - 1] + x[n]) : x[n],
                     to = n + 1 < x.size() ? 0.5 * (x[n] + x[n + 1]) : x[n];
        s.second.share[static_cast<std::size_t>(f)].push_back(
            std::clamp((level - from) / (to - from), 0.0, 1.0));
      }
    s.second.share[spine_face].assign(op_->face_nodes(spine_face), 1.0);
  } else if (b.flank_delay_s != 0) {
    const auto late = static_cast<std::size_t>(b.flank_delay_s > 0 ? flank_b : flank_a);
    const auto air = air_surround(case_.transfer.air_degC, case_.transfer.convection_W_m2K, emissivity);
    s.second.face = air.face;
    s.second.temperature = air.temperature;
    s.second.fade_s = wetting_fade_s;
    s.second.until_s[late].assign(op_->face_nodes(static_cast<int>(late)), time_ + std::abs(b.flank_delay_s));
  } else if (b.wetting_delay_s > 0 || b.wetting_speed_m_s > 0) {
    // under its blanket of vapour the surface loses what the table says of film boiling
    const double film =
        table ? table->value(std::max(b.coolant.blanket_end_degC, vapour_degC)) : b.fixed_htc_W_m2K;
    for (auto& face : s.second.face)
      face.htc_constant_W_m2K = film;
    s.second.fade_s = wetting_fade_s;
    const auto wet_from = [&](double at) {
      return time_ + b.wetting_delay_s + (b.wetting_speed_m_s > 0 ? (width - at) / b.wetting_speed_m_s : 0);
    };
    for (int f : {flank_a, flank_b})
      for (std::size_t n = 0; n < op_->face_nodes(f); ++n)
        s.second.until_s[static_cast<std::size_t>(f)].push_back(wet_from(x[n]));
    s.second.until_s[spine_face].assign(op_->face_nodes(spine_face), wet_from(0));
    s.second.until_s[edge_face].assign(op_->face_nodes(edge_face), wet_from(width));
  }
  return s;
}

double Simulation::before_last_blade(const Bath& b, double seconds) {
  const Snapshot before = save();
  const std::size_t events = events_.size();
  const std::vector<double> landings = std::exchange(landings_, {});
  // the heat of a whole quench hardly minds the steps
  const double tolerance = std::exchange(tolerance_K_, std::max(tolerance_K_, 1.0));
  quench_at(b, b.temperature_degC, seconds, {});
  tolerance_K_ = tolerance;
  landings_ = landings;
  events_.resize(events);
  restore(before);
  return surroundings::bath_before_blade(tank_, b.blades);
}

void Simulation::quench_in(const Bath& b, double seconds, const Observer& observer) {
  const bool row = b.blades > 1 && b.volume_m3 > 0;
  const double start_degC = row ? before_last_blade(b, seconds) : b.temperature_degC;
  const surroundings::Tank of_first = tank_;
  quench_at(b, start_degC, seconds, observer);
  if (row)
    tank_ = of_first;
}

void Simulation::quench_at(const Bath& b, double bath_degC, double seconds, const Observer& observer) {
  const bool foil = case_.wrap.on_in_oil && covers_.foil;
  set_covers({foil, covers_.coat, b.plates ? &b : nullptr});
  enter(Stage::bath, bath_surround(b, bath_degC), foil, steel::TransformMode::cooling);
  bath_start_degC_ = bath_degC;
  dry_heat_J_m_ = 0;
  const bool part = b.immersion_m > 0 && b.immersion_m < grid_.x.back();
  partly_dry_ = b.volume_m3 > 0 && (part || b.flank_delay_s != 0);
  if (partly_dry_)
    dry_rate_W_m_ = op_->second_heat_rate(time_);
  tank_ = {};
  tank_.fresh_degC = b.temperature_degC;
  tank_.room_degC = case_.transfer.air_degC;
  tank_.interval_s = b.interval_s;
  if (b.volume_m3 > 0) {
    tank_.capacity_J_K = surroundings::bath_heat_capacity(b.coolant, b.volume_m3);
    tank_.loss_W_K = surroundings::tank_loss_W_K(b.volume_m3);
  }
  double mass = 0, sum = 0;
  for (std::size_t n = 0; n < temperature_.size(); ++n) {
    mass += op_->mass()[n];
    sum += op_->mass()[n] * temperature_[n];
  }
  tank_.blade_degC = sum / mass;
  std::function<double()> stop;
  if (b.out_at_degC) {
    const double level = *b.out_at_degC;
    const LiftPlace place = b.out_where;
    const auto zone = place == LiftPlace::edge ? zone_edge : zone_spine;
    const auto centre =
        static_cast<std::size_t>(centre_row() * grid_.nx + zone_column_[static_cast<std::size_t>(zone)]);
    stop = [this, level, place, centre] {
      const auto& T = op_->temperature();
      if (place == LiftPlace::surface)
        return op_->outer_surface_max() - level;
      return (place == LiftPlace::inside ? *std::max_element(T.begin(), T.end()) : T[centre]) - level;
    };
  }
  if (seconds > 0)
    advance(time_ + seconds, observer, false, {}, stop);
  tank_.heat_J = (heat_out_ - bath_from_J_m_ - dry_heat_J_m_) * (grid_.half ? 2 : 1) * case_.blade.length_m;
}

void Simulation::first_bath(double seconds, const Observer& observer) {
  quench_in(case_.bath, seconds, observer);
}

void Simulation::second_bath(const Observer& observer) {
  if (!case_.second_bath)
    return;
  const Bath& b = *case_.second_bath;
  if (b.move_s > 0) {
    const bool foil = case_.wrap.on_in_oil && covers_.foil;
    set_covers({foil, covers_.coat, nullptr});
    const auto s = air_surround(case_.transfer.air_degC, case_.transfer.convection_W_m2K,
                                bare_or_foil(case_.surface.emissivity_air));
    enter(Stage::bath, s, foil, steel::TransformMode::cooling);
    advance(time_ + b.move_s, observer, false);
  }
  quench_in(b, b.time_s, observer);
}

void Simulation::bath(double seconds, const Observer& observer) {
  first_bath(seconds, observer);
  second_bath(observer);
}

double Simulation::bath_degC() const {
  return covers_.plates ? op_->cover_mean_degC(covers_.foil ? static_cast<std::size_t>(case_.wrap.layers) : 0)
                        : surroundings_degC();
}

void Simulation::cool_until(Stage stage, double air_degC, double convection, double stop_degC,
                            double longest_s, const Observer& observer) {
  const bool foil = covers_.foil && stage == Stage::cool;
  set_covers({foil, false, nullptr}); // clay comes off with the quench
  auto s = air_surround(air_degC, convection, bare_or_foil(case_.surface.emissivity_air));
  enter(stage, s, foil,
        stage == Stage::temper ? steel::TransformMode::tempering : steel::TransformMode::cooling);
  // located inside the step: in air a step is long enough to pass the level by tens of kelvin
  const auto left = [this, stop_degC] {
    const auto& T = op_->temperature();
    return *std::max_element(T.begin(), T.end()) - stop_degC;
  };
  advance(time_ + longest_s, observer, true, {}, left);
}

void Simulation::cool(const Observer& observer) {
  const Cool& c = case_.cool;
  constexpr double near_K = 0.2, longest_s = 4 * 3600;
  cool_until(Stage::cool, c.air_degC, c.convection_W_m2K, std::max(c.lowest_degC, c.air_degC + near_K),
             longest_s, observer);
  if (c.lowest_degC >= c.air_degC - near_K)
    return;
  if (c.wait_s >
      0) // not the slow tolerance: falling below the air by its error would turn austenite for good
    advance(time_ + c.wait_s, observer, false);
  if (steel_) {
    austenite_before_cold_ = steel_->austenite();
    steel_->stabilise(steel::stabilisation_lag(c.wait_s));
  }
  cool_until(Stage::cool, c.lowest_degC, cold_medium_htc, c.lowest_degC + near_K, longest_s, observer);
}

void Simulation::temper(int, const Observer& observer) {
  const Temper& t = case_.temper;
  set_covers({});
  conduction::Surround s;
  const double start = time_;
  s.temperature = [t, start](double now) {
    return surroundings::oven_temperature(t.oven_degC, t.swing_K, t.swing_period_s, now - start);
  };
  for (auto& face : s.face) {
    face.htc_constant_W_m2K = t.convection_W_m2K;
    face.emissivity = t.emissivity;
  }
  if (t.edge_extra_K != 0) {
    // full at the edge, fading to nothing at 70 % of the width: the part that stands out towards the element
    s.extra_K.resize(static_cast<std::size_t>(grid_.nx));
    const double width = grid_.x.back();
    for (int i = 0; i < grid_.nx; ++i)
      s.extra_K[static_cast<std::size_t>(i)] =
          t.edge_extra_K * std::clamp((grid_.x[static_cast<std::size_t>(i)] / width - 0.7) / 0.3, 0.0, 1.0);
  }
  enter(Stage::temper, s, false, steel::TransformMode::tempering);
  tempering_on_ = true;
  advance(time_ + t.time_s, observer, true);
  if (!ended_early_)
    cool_until(Stage::temper, room_degC, 0, 60, 3600, observer);
  tempering_on_ = false;
}

double Simulation::scheil_pearlite(std::size_t node) const {
  return steel_ && steel_->mode() == steel::TransformMode::cooling
             ? std::max(0.0, x_[static_cast<Eigen::Index>(op_->clock_offset() + node)])
             : 0;
}

double Simulation::scheil_bainite(std::size_t node) const {
  return steel_ && steel_->mode() == steel::TransformMode::cooling
             ? std::max(0.0, x_[static_cast<Eigen::Index>(op_->clock_offset() + op_->body_nodes() + node)])
             : 0;
}

NodeState Simulation::node_state() const {
  NodeState s;
  const std::size_t n = grid_.nodes();
  s.temperature = temperature_;
  s.tempering = tempering_;
  s.time_at_temperature = time_at_temperature_;
  s.scheil_pearlite.resize(n);
  s.scheil_bainite.resize(n);
  if (steel_) {
    s.austenite = steel_->austenite();
    s.pearlite = steel_->pearlite();
    s.bainite = steel_->bainite();
    s.martensite = steel_->martensite();
    s.ferrite = steel_->ferrite();
    s.cementite = steel_->cementite();
    s.carbon = steel_->carbon();
    s.pearlite_HV = steel_->pearlite_hv();
    s.bainite_HV = steel_->bainite_hv();
    s.tempered_austenite = steel_->tempered_austenite();
    s.grain = steel_->grain();
    for (std::size_t i = 0; i < n; ++i) {
      s.scheil_pearlite[i] = scheil_pearlite(i);
      s.scheil_bainite[i] = scheil_bainite(i);
    }
  } else {
    s.austenite = s.pearlite = s.bainite = s.martensite = s.cementite = s.carbon = std::vector<double>(n, 0);
    s.ferrite = std::vector<double>(n, 1);
    s.pearlite_HV = s.bainite_HV = s.tempered_austenite = s.grain = s.carbon;
  }
  return s;
}

std::vector<double> Simulation::hardness() const {
  std::vector<double> hv(grid_.nodes(), std::numeric_limits<double>::quiet_NaN());
  if (!steel_)
    return hv;
  for (std::size_t i = 0; i < hv.size(); ++i) {
    const double tempered = steel_->tempered_austenite()[i];
    const steel::Constituents shares{steel_->martensite()[i],
                                     steel_->austenite()[i],
                                     steel_->bainite()[i] - tempered,
                                     steel_->pearlite()[i],
                                     steel_->ferrite()[i],
                                     steel_->cementite()[i],
                                     tempered,
                                     steel_->bainite_hv()[i],
                                     steel_->pearlite_hv()[i]};
    double martensite = steel::martensite_hv(case_.steel, steel_->carbon()[i]);
    if (tempering_[i] > 0 && response_)
      martensite *= response_->factor(tempering_[i]);
    hv[i] = steel::mixture_hv(shares, martensite, case_.steel.hardness);
  }
  return hv;
}

double Simulation::surroundings_degC() const { return op_->environment(time_, x_); }

double Simulation::hottest() const { return *std::max_element(temperature_.begin(), temperature_.end()); }
double Simulation::coldest() const { return *std::min_element(temperature_.begin(), temperature_.end()); }

PointReader::PointReader(const section::Grid& grid, double x, double y) {
  const auto lagrange = [](const std::vector<double>& at, double value, std::array<std::size_t, 4>& index,
                           std::array<double, 4>& w) {
    const std::size_t n = at.size();
    const double v = std::clamp(value, at.front(), at.back());
    std::size_t i = static_cast<std::size_t>(std::upper_bound(at.begin(), at.end(), v) - at.begin());
    i = std::min(std::max<std::size_t>(i, 1) - 1, n - 2);
    const std::size_t used = std::min<std::size_t>(4, n);
    const std::size_t first = std::min(i > 0 ? i - 1 : 0, n - used);
    for (std::size_t a = 0; a < 4; ++a) {
      index[a] = first + std::min(a, used - 1);
      w[a] = a < used ? 1.0 : 0.0;
      for (std::size_t b = 0; b < used && a < used; ++b)
        if (b != a)
          w[a] *= (v - at[first + b]) / (at[first + a] - at[first + b]);
    }
  };
  std::array<std::size_t, 4> ix{}, iy{};
  std::array<double, 4> wx{}, wy{};
  lagrange(grid.x, x, ix, wx);
  double bottom = 0, top = 0;
  for (std::size_t a = 0; a < 4; ++a) {
    bottom += wx[a] * grid.bottom[ix[a]];
    top += wx[a] * grid.top[ix[a]];
  }
  const double inside = grid.half ? std::abs(y) : y;
  const double eta = std::clamp(top > bottom ? (inside - bottom) / (top - bottom) : 0.0, 0.0, 1.0);
  lagrange(grid.eta, eta, iy, wy);
  for (std::size_t b = 0; b < 4; ++b)
    for (std::size_t a = 0; a < 4; ++a) {
      node[4 * b + a] = iy[b] * static_cast<std::size_t>(grid.nx) + ix[a];
      weight[4 * b + a] = wx[a] * wy[b];
    }
}

double PointReader::operator()(const std::vector<double>& field) const {
  double sum = 0, least = field[node[0]], most = least;
  for (std::size_t i = 0; i < 16; ++i) {
    const double value = field[node[i]];
    sum += weight[i] * value;
    least = std::min(least, value);
    most = std::max(most, value);
  }
  return std::clamp(sum, least, most); // a cubic overshoots where a thin layer meets a coarse grid
}

} // namespace tq::treatment
