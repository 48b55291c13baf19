#include "treatment/simulation.hpp"

#include "section/grid.hpp"
#include "steel/hardness.hpp"
#include "steel/retained_austenite.hpp"
#include "steel/temper_nodes.hpp"
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

constexpr long most_steps = 100000; ///< in one stage; usual ones take some hundred

std::shared_ptr<const conduction::UniformTable> shared_table(double from, double to, double step,
                                                             const std::function<double(double)>& f) {
  return std::make_shared<const conduction::UniformTable>(from, to, step, f);
}

/// Greatest h(T) [W/m2K] of a liquid bath; 0 of plates and air.
double greatest_htc(const Bath& b) {
  if (b.plates || (b.coolant.kind == records::CoolantKind::air && b.fixed_htc_W_m2K <= 0))
    return 0;
  if (b.fixed_htc_W_m2K > 0)
    return b.fixed_htc_W_m2K;
  const records::Table htc = surroundings::bath_htc(b.coolant, b.temperature_degC, b.agitation_m_s);
  double most = 0;
  for (double T = 0; T <= 1300; T += 5)
    most = std::max(most, htc(T));
  return most;
}

/// Distances from the spine at which a coat begins, bends or ends, a bath's level lies, a support ends.
std::vector<double> boundary_changes(const Case& c, double width) {
  std::vector<double> at;
  if (c.coat &&
      std::any_of(c.coat->thickness_m.begin(), c.coat->thickness_m.end(), [](double t) { return t > 0; }))
    at = c.coat->distance_m;
  for (const Step& step : c.steps) {
    if (const auto* bath = step.as<Bath>(); bath && bath->immersion_m > 0)
      at.push_back(width - bath->immersion_m);
    if (const auto* furnace = step.as<Furnace>();
        furnace && furnace->support && furnace->support->depth_m > 0)
      at.push_back(furnace->support->face == spine_face ? furnace->support->depth_m
                                                        : width - furnace->support->depth_m);
  }
  return at;
}

bool same_flanks(const Case& c) {
  const Wrap& w = c.wrap;
  const bool foil = w.layers == 0 || (w.gap_m[flank_a] == w.gap_m[flank_b] &&
                                      w.contact_patches[flank_a] == w.contact_patches[flank_b]);
  return foil && std::all_of(c.steps.begin(), c.steps.end(), [](const Step& step) {
           return std::visit([](const auto& settings) { return same_on_both_flanks(settings); }, step.kind);
         });
}

} // namespace

Simulation::Simulation(const Case& c, std::size_t station)
    : case_(c), station_(station), furnace_(temperature_of(c.furnace())) {
  const Step& first = c.steps.front();
  foil_emissivity_ = first.as<Furnace>() ? c.wrap.emissivity_outside
                                         : c.wrap.emissivity_oxidised.value_or(c.wrap.emissivity_outside);
  bare_emissivity_ = c.surface.emissivity_air;
  const section::Profile& profile = c.blade.stations.at(station).profile;
  section::GridOptions options;
  options.along = c.solver.along;
  options.across = c.solver.across;
  options.use_symmetry = c.solver.use_symmetry && same_flanks(c);
  options.changes = boundary_changes(c, profile.width());
  options.places = {0.5 * profile.width(), profile.thickest_at()};
  grid_ = section::make_grid(profile, options);
  mesh_ = conduction::make_mesh(grid_);
  area_ = profile.area();
  tolerance_K_ = c.solver.tolerance_K;
  const std::size_t n = grid_.nodes();
  temperature_.assign(n, c.start.temperature_degC);
  temperature_older_ = temperature_before_ = temperature_mean_ = temperature_;
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
  set_covers({first.foil && !first.as<Furnace>(), first.coat, {}});
  const auto column = [&](double at) {
    const auto nearest = std::min_element(grid_.x.begin(), grid_.x.end(), [&](double a, double b) {
      return std::abs(a - at) < std::abs(b - at);
    });
    return static_cast<int>(nearest - grid_.x.begin());
  };
  zone_column_ = {grid_.nx - 1, column(0.5 * profile.width()), 0, column(profile.thickest_at())};
}

Simulation::Snapshot Simulation::save() const {
  settle();
  Snapshot s{time_, x_,      temperature_,     tempering_,      time_at_temperature_,
             {},    covers_, foil_emissivity_, bare_emissivity_};
  if (steel_)
    s.material.emplace(*steel_);
  return s;
}

void Simulation::restore(const Snapshot& s) {
  as_fin_ = false; // an interrupted stage may have left it
  time_ = s.time;
  foil_emissivity_ = s.foil_emissivity;
  bare_emissivity_ = s.bare_emissivity;
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

Simulation::Books Simulation::books() const {
  return {counters_, events_, austenite_before_cold_, energy_defect_, heat_scale_, furnace_, soak_};
}

void Simulation::set_books(const Books& b) {
  counters_ = b.counters;
  events_ = b.events;
  austenite_before_cold_ = b.austenite_before_cold;
  energy_defect_ = b.energy_defect;
  heat_scale_ = b.heat_scale;
  furnace_ = b.furnace;
  soak_ = b.soak;
}

void Simulation::set_covers(const Covers& covers) {
  if (covers == covers_)
    return;
  const std::vector<double> enthalpy(x_.data(), x_.data() + op_->body_nodes());
  const std::vector<double> clocks(x_.data() + op_->clock_offset(),
                                   x_.data() + op_->clock_offset() + op_->clock_count());
  conduction::Cover cover;
  if (covers.coat)
    add_coat(cover);
  if (covers.foil)
    add_foil(cover);
  if (covers.plates) {
    const Bath& bath = *case_.steps[*covers.plates].as<Bath>();
    add_plates(cover, *bath.plates, bath.temperature_degC, grid_, *op_);
  }
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
  double greatest = cold_medium_W_m2K;
  for (const Step& step : case_.steps)
    if (const auto* bath = step.as<Bath>())
      greatest = std::max(greatest, greatest_htc(*bath));
  for (const conduction::CoverLayer& layer : surroundings::coat(coat.solid, thickness, greatest))
    cover.push_back(layer);
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

void Simulation::run(std::size_t step, const Observer& observer, double seconds) {
  step_ = step;
  std::visit([&](const auto& settings) { take(settings, *this, seconds, observer); }, this->step().kind);
}

void Simulation::cover(bool with_plates) {
  const bool anew = step().as<Furnace>() != nullptr;
  set_covers({step().foil && (anew || covers_.foil), step().coat && (anew || covers_.coat),
              with_plates ? std::optional(step_) : std::nullopt});
}

std::function<double()> Simulation::down_to(double level_degC) const {
  return [this, level_degC] {
    const auto& T = now().temperature();
    return *std::max_element(T.begin(), T.end()) - level_degC;
  };
}

std::function<double()> Simulation::up_to(double level_degC) const {
  return [this, level_degC] {
    const auto& T = now().temperature();
    return level_degC - *std::max_element(T.begin(), T.end());
  };
}

void Simulation::stabilise_austenite(double wait_s) {
  if (!steel_)
    return;
  austenite_before_cold_ = steel_->austenite();
  steel_->stabilise(steel::stabilisation_lag(wait_s));
}

void Simulation::try_out(const std::function<void()>& rough) {
  const Snapshot before = save();
  const std::size_t events = events_.size();
  const std::vector<double> landings = std::exchange(landings_, {});
  const double tolerance = std::exchange(tolerance_K_, std::max(tolerance_K_, 1.0));
  rough();
  tolerance_K_ = tolerance;
  landings_ = landings;
  events_.resize(events);
  restore(before);
}

void Simulation::enter(const conduction::Surround& surround, steel::TransformMode mode) {
  if (steel_) {
    std::vector<double> clocks(x_.data() + op_->clock_offset(),
                               x_.data() + op_->clock_offset() + op_->clock_count());
    const bool anew = steel_->begin(mode, clocks.data());
    std::copy(clocks.begin(), clocks.end(), x_.data() + op_->clock_offset());
    if (anew) { // the heat that hardened steel gives while it tempers is left out: temperatures stay
      for (std::size_t i = 0; i < temperature_.size(); ++i)
        x_[static_cast<Eigen::Index>(i)] = steel_->enthalpy(i, temperature_[i]);
      std::fill(tempering_.begin(), tempering_.end(), 0);
      austenite_before_cold_.clear();
    }
  }
  op_->set_surround(surround);
  op_->start_bath(heat_out_);
  op_->refresh(x_);
  temperature_ = op_->temperature();
  bath_.from_J_m = heat_out_;
  bath_.partly_dry = false;
}

bool Simulation::hardened() const {
  if (!steel_)
    return false;
  for (const auto* share : {&steel_->martensite(), &steel_->bainite(), &steel_->pearlite()})
    if (std::any_of(share->begin(), share->end(), [](double x) { return x > 0; }))
      return true;
  return false;
}

bool Simulation::take_what_will_do() {
  if (!steel_ || fin_tolerances_ <= 0 ||
      (steel_->mode() == steel::TransformMode::cooling && !steel_->clocks_rest()))
    return false;
  constexpr double stays = 1.5; // so that it does not go to and fro
  // in a soak what counts is how far the mean is ahead (see Fin), not how far a flank is off
  constexpr double flank_over_lead = 4;
  const double allowed_K = fin_tolerances_ * tolerance_K_ *
                           (steel_->mode() == steel::TransformMode::heating ? flank_over_lead : 1.0);
  if (!fin_)
    fin_ = std::make_unique<Fin>(*op_, case_.steel.density_kg_m3, *steel_);
  const std::optional<double> across = fin_->across_K(now(), *steel_, x_, time_);
  const bool does = across && *across <= allowed_K * (as_fin_ ? stays : 1.0);
  if (does == as_fin_)
    return false;
  set_as_fin(does);
  return true;
}

void Simulation::set_as_fin(bool as_fin) {
  if (as_fin == as_fin_)
    return;
  if (as_fin) {
    x_ = fin_->gather(*op_, x_, *steel_, tempering_);
  } else {
    settle();
    x_ = fin_->spread(*op_, x_, *steel_);
    op_->refresh(x_);
    temperature_ = op_->temperature();
  }
  as_fin_ = as_fin;
}

void Simulation::after_step(double dt) {
  if (as_fin_) {
    fin_->commit(x_, dt);
    fin_->temperatures(temperature_);
    if (tempering_on_)
      fin_->temper(dt, case_.steel.temper.hj_constant_h);
  } else {
    const std::vector<double>& now = op_->temperature();
    for (std::size_t i = 0; i < now.size(); ++i)
      temperature_mean_[i] = 0.5 * (temperature_before_[i] + now[i]);
    if (steel_)
      steel_->commit(x_.data() + op_->clock_offset(), now.data(), temperature_mean_.data(), now.size(), dt);
    // in a furnace carbon has gone into solution meanwhile, and the same enthalpy is another temperature
    if (!steel_ || steel_->mode() != steel::TransformMode::heating)
      op_->keep_evaluation(x_);
    temperature_ = op_->temperature();
  }
  heat_out_ = x_[static_cast<Eigen::Index>(now().heat_out_index())];
  if (bath_.partly_dry) {
    const double rate = op_->second_heat_rate(time_);
    bath_.dry_J_m += 0.5 * (bath_.dry_W_m + rate) * dt;
    bath_.dry_W_m = rate;
    op_->start_bath(bath_.from_J_m + bath_.dry_J_m);
  }
  soak_.step(time_ - dt, time_, temperature_before_, temperature_, time_at_temperature_);
  if (steel_ && steel_->mode() == steel::TransformMode::cooling && !as_fin_)
    temper_while_cooling(dt);
  if (tempering_on_ && !as_fin_)
    steel::temper_nodes(temperature_.size(), temperature_before_.data(), temperature_.data(), dt,
                        case_.steel.temper.hj_constant_h, tempering_.data());
}

void Simulation::temper_while_cooling(double dt) {
  // martensite tempers itself on the way down from Ms
  steel::temper_fresh_nodes(tempering_.size(), temperature_mean_.data(), dt, case_.steel.temper.hj_constant_h,
                            steel_->martensite().data(), steel_->fresh_martensite().data(),
                            tempering_.data());
}

void Simulation::let_clocks_rest(double dt) {
  if (!steel_ || as_fin_ || steel_->mode() != steel::TransformMode::cooling)
    return;
  if (steel_->let_clocks_rest(x_.data() + op_->clock_offset(), op_->temperature().data(), op_->body_nodes(),
                              dt))
    op_->forget_evaluation();
}

void Simulation::move_clocks(conduction::State& x, double dt) {
  if (!steel_ || as_fin_ || !steel_->clocks_rest())
    return;
  const std::vector<double>& T = op_->temperature();
  // in the middle of the step: on the parabola through the last three temperatures, the chord after a jump
  const double bend = dt_before_ > 0 ? 0.25 * dt * dt / (dt + dt_before_) : 0.0;
  const double now = bend / dt, before = bend > 0 ? bend / dt_before_ : 0.0;
  for (std::size_t i = 0; i < T.size(); ++i)
    temperature_mean_[i] = 0.5 * (temperature_before_[i] + T[i]) - now * (T[i] - temperature_before_[i]) +
                           before * (temperature_before_[i] - temperature_older_[i]);
  steel_->move_clocks(x.data() + op_->clock_offset(), temperature_mean_.data(), T.data(), T.size(), dt);
}

void Simulation::wake_clocks() {
  if (!steel_ || !steel_->clocks_rest())
    return;
  steel_->wake_clocks();
  op_->refresh(x_);
  temperature_ = op_->temperature();
  steel_->commit(x_.data() + op_->clock_offset(), temperature_.data(), temperature_.data(),
                 temperature_.size(), 0);
}

void Simulation::find_events(conduction::DenseRosenbrockW& stepper) {
  if (!steel_ || as_fin_ || steel_->mode() != steel::TransformMode::cooling)
    return;
  const conduction::State& old_state = stepper.previous_state();
  const conduction::State& new_state = stepper.current_state();
  const auto nodes = static_cast<Eigen::Index>(op_->body_nodes());
  const auto clocks = static_cast<Eigen::Index>(op_->clock_offset());
  const auto centre = [&](int z) {
    return static_cast<std::size_t>(centre_row() * grid_.nx + zone_column_[static_cast<std::size_t>(z)]);
  };
  std::array<double, zone_count> T_new{};
  for (int z = 0; z < zone_count; ++z)
    T_new[static_cast<std::size_t>(z)] = op_->temperature()[centre(z)];
  const auto note = [&](EventKind kind, int zone, std::size_t node, double time) {
    conduction::State there;
    stepper.calc_state(time, there);
    op_->refresh(there);
    events_.push_back({kind, static_cast<Zone>(zone), time, op_->temperature()[node]});
  };
  const std::size_t before = events_.size();
  for (int z = 0; z < zone_count; ++z) {
    const std::size_t node = centre(z);
    for (const auto& [kind, row] :
         {std::pair{EventKind::pearlite_starts, 0}, {EventKind::bainite_starts, 1}}) {
      const Eigen::Index at = clocks + row * nodes + static_cast<Eigen::Index>(node);
      const double from = old_state[at] - 1, to = new_state[at] - 1;
      if (from < 0 && to >= 0)
        note(kind, z, node,
             stepper.locate([&](const conduction::State& x) { return x[at] - 1; }, from, event_resolution_s));
    }
    const double ms = steel_->ms()[node];
    if (temperature_[node] > ms && T_new[static_cast<std::size_t>(z)] <= ms)
      note(EventKind::martensite_starts, z, node,
           stepper.locate(
               [&](const conduction::State& x) {
                 op_->refresh(x);
                 return op_->temperature()[node] - ms;
               },
               temperature_[node] - ms, event_resolution_s));
  }
  if (events_.size() == before)
    return;
  op_->refresh(x_);
  std::stable_sort(events_.begin() + static_cast<std::ptrdiff_t>(before), events_.end(),
                   [](const Event& a, const Event& b) { return a.time_s < b.time_s; });
}

namespace {

/// Times between `from` and `until` on which a step is to end, that one included.
std::vector<double> stops_between(double from, double until, const std::vector<double>& breaks,
                                  const std::vector<double>& landings) {
  std::vector<double> stops;
  for (const std::vector<double>* list : {&breaks, &landings})
    for (double t : *list)
      if (t > from + 1e-9 && t < until - 1e-9)
        stops.push_back(t);
  stops.push_back(until);
  std::sort(stops.begin(), stops.end());
  return stops;
}

bool holds(const std::vector<double>& times, double t) {
  return std::any_of(times.begin(), times.end(), [t](double b) { return std::abs(b - t) < 1e-9; });
}

} // namespace

bool Simulation::advance(double until, const Observer& observer, bool slow, const std::vector<double>& breaks,
                         const std::function<double()>& stop) {
  const auto begin = std::chrono::steady_clock::now();
  bool ended_early = false;
  const double began = time_;
  const double scale = op_->energy(x_);
  const double heat_before = heat_out_;
  const double tolerance_K = tolerance_K_ * (slow ? slow_tolerance_factor : 1);
  op_->set_tolerance(tolerance_K);
  op_->begin_stage(slow);
  conduction::StepRule rule;
  rule.max_step_s = case_.solver.max_step_s;
  if (const auto* oven = step().as<Oven>(); oven && oven->swing_K != 0)
    rule.safety = 0.75; // the error comes and goes with the swing: one step in five would be tried in vain
  conduction::DenseRosenbrockW stepper(rule);
  stepper.initialize(x_, time_, slow ? 0.05 : 1e-3);
  dt_before_ = 0;
  const std::vector<double> stops = stops_between(time_, until, breaks, landings_);
  std::size_t next = 0;
  try {
    if (observer && !observer(*this)) {
      ended_early = true;
      next = stops.size();
    }
    if (stop && stop() <= 0)
      next = stops.size();
    while (next < stops.size()) {
      if (stepper.steps() > most_steps)
        throw std::runtime_error("more than " + std::to_string(most_steps) + " time steps");
      temperature_older_.swap(temperature_before_);
      temperature_before_ = temperature_;
      if (take_what_will_do()) {
        now().set_tolerance(tolerance_K);
        now().begin_stage(slow);
        stepper.initialize(x_, time_, stepper.current_time_step());
      }
      let_clocks_rest(stepper.current_time_step());
      const std::pair<double, double> step = stepper.do_step_until(std::ref(now()), stops[next]);
      const double from = step.first;
      double to = step.second;
      const std::size_t events_before = events_.size();
      now().refresh(stepper.current_state());
      move_clocks(stepper.current_state(), to - from);
      x_ = stepper.current_state();
      find_events(stepper);
      bool stopped = false;
      if (stop) {
        const auto left = [&](const conduction::State& x) {
          now().refresh(x);
          return stop();
        };
        if (stop() <= 0) {
          to = stepper.locate(left, 1.0, event_resolution_s);
          stepper.calc_state(to, x_);
          now().refresh(x_);
          stopped = true;
          while (events_.size() > events_before && events_.back().time_s > to)
            events_.pop_back();
        }
      }
      time_ = to;
      dt_before_ = to - from;
      after_step(dt_before_);
      if (observer && !observer(*this)) {
        ended_early = true;
        break;
      }
      if (stopped)
        break;
      if (to >= stops[next]) {
        if (holds(breaks, to)) {
          stepper.reset();
          dt_before_ = 0;
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
    message << "the solver gave up in the " << step().name << " stage at " << time_ << " s: " << e.what()
            << "; " << what_to_try(until - began);
    throw SolverError(message.str());
  }
  set_as_fin(false);
  wake_clocks();
  counters_.steps += stepper.steps();
  counters_.rejected += stepper.rejected();
  counters_.rhs += stepper.rhs_evaluations();
  counters_.factorisations += stepper.factorisations();
  energy_defect_ += std::abs(op_->energy(x_) - scale);
  heat_scale_ = std::max(heat_scale_, std::abs(heat_out_ - heat_before));
  solver_seconds_ += std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  return !ended_early;
}

std::string Simulation::what_to_try(double stage_s) const {
  constexpr double steps_per_swing = 20, least_foil_J_m2K = 1;
  const auto steps = static_cast<double>(most_steps);
  if (case_.solver.max_step_s > 0 && stage_s / case_.solver.max_step_s > 0.5 * steps)
    return "leave out solver.max_step, or make it longer";
  if (const auto* oven = step().as<Oven>();
      oven && oven->swing_K > 0 && stage_s / oven->swing_period_s * steps_per_swing > 0.5 * steps)
    return "give temper.swing_period as it is, some minutes, or leave out temper.swing";
  if (covers_.foil && case_.wrap.heat_capacity_J_m2K > 0 && case_.wrap.heat_capacity_J_m2K < least_foil_J_m2K)
    return "a foil holds some 200 J/m2K for 50 um: correct wrap.heat_capacity or leave it out";
  return "try a larger solver.tolerance or fewer grid intervals";
}

double Simulation::bath_degC() const {
  return covers_.plates ? op_->cover_mean_degC(covers_.foil ? static_cast<std::size_t>(case_.wrap.layers) : 0)
                        : surroundings_degC();
}

double Simulation::clock_of_cooling(std::size_t n) const {
  if (!steel_ || steel_->mode() != steel::TransformMode::cooling)
    return 0;
  return std::max(0.0, as_fin_ ? fin_->clocks()[n] : x_[static_cast<Eigen::Index>(op_->clock_offset() + n)]);
}

double Simulation::scheil_pearlite(std::size_t node) const { return clock_of_cooling(node); }

double Simulation::scheil_bainite(std::size_t node) const {
  return clock_of_cooling(op_->body_nodes() + node);
}

NodeState Simulation::node_state() const {
  settle();
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
  settle();
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

double Simulation::surroundings_degC() const { return now().environment(time_, x_); }

double Simulation::hottest() const {
  const std::vector<double>& T = as_fin_ ? fin_->op().temperature() : temperature_;
  return *std::max_element(T.begin(), T.end());
}
double Simulation::coldest() const { return *std::min_element(temperature_.begin(), temperature_.end()); }

bool Simulation::mostly_austenite() const {
  if (!steel_)
    return false;
  settle();
  double more = 0; // kg/m above one half
  for (std::size_t n = 0; n < op_->mass().size(); ++n)
    more += op_->mass()[n] * (steel_->austenite()[n] - 0.5);
  return more > 0;
}

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
  // between two lines the grid's flanks are straight: a cubic would bend them near a corner of the outline
  const double at = std::clamp(x, grid.x.front(), grid.x.back());
  const auto next = static_cast<std::size_t>(
      std::clamp<std::ptrdiff_t>(std::upper_bound(grid.x.begin(), grid.x.end(), at) - grid.x.begin(), 1,
                                 static_cast<std::ptrdiff_t>(grid.x.size()) - 1));
  const double share = (at - grid.x[next - 1]) / (grid.x[next] - grid.x[next - 1]);
  const double bottom = grid.bottom[next - 1] + share * (grid.bottom[next] - grid.bottom[next - 1]);
  const double top = grid.top[next - 1] + share * (grid.top[next] - grid.top[next - 1]);
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
