#include "answers/trial.hpp"

#include "answers/careful_timer.hpp"
#include "answers/margins.hpp"
#include "answers/timer.hpp"
#include "answers/wanted.hpp"
#include "answers/zone_reach.hpp"
#include "steel/hardness.hpp"
#include "steel/transformation.hpp"
#include "treatment/trace.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers {

using treatment::Case;
using treatment::Part;
using treatment::Simulation;

namespace {

constexpr double nan = ZoneOutcome::none;

/// Greatest or least of one figure over all zones; NaN when any of them is.
template <class Better>
double over_zones(const Outcome& o, double ZoneOutcome::*figure, Better better, bool hard_only = false) {
  double out = nan;
  bool first = true;
  for (const StationOutcome& s : o.stations)
    for (const ZoneOutcome& z : s.zones) {
      if (hard_only && z.wanted != treatment::Wanted::hard)
        continue;
      const double value = z.*figure;
      if (std::isnan(value))
        return nan;
      if (first || better(value, out))
        out = value;
      first = false;
    }
  return out;
}

double least(const Outcome& o, double ZoneOutcome::*figure, bool hard_only = false) {
  return over_zones(
      o, figure, [](double a, double b) { return a < b; }, hard_only);
}
double greatest(const Outcome& o, double ZoneOutcome::*figure, bool hard_only = false) {
  return over_zones(
      o, figure, [](double a, double b) { return a > b; }, hard_only);
}

std::size_t centre_node(const Simulation& sim, std::size_t zone) {
  return static_cast<std::size_t>(sim.centre_row() * sim.grid().nx + sim.zone_columns()[zone]);
}

bool worse_quenched(const ZoneOutcome& a, const ZoneOutcome& b) {
  return a.transformed != b.transformed ? a.transformed > b.transformed : a.rate_margin < b.rate_margin;
}

} // namespace

const ZoneOutcome& Outcome::limiting() const {
  const ZoneOutcome* worst = nullptr;
  for (const StationOutcome& s : stations)
    for (const ZoneOutcome& z : s.zones)
      if (z.wanted == treatment::Wanted::hard && (!worst || worse_quenched(z, *worst)))
        worst = &z;
  return *worst;
}

std::string Outcome::limiting_name(const Case& c) const {
  const ZoneOutcome& worst = limiting();
  for (std::size_t i = 0; i < stations.size(); ++i)
    for (std::size_t z = 0; z < stations[i].zones.size(); ++z)
      if (&stations[i].zones[z] == &worst)
        return (stations.size() > 1 ? c.blade.stations[i].name + ", " : "") +
               treatment::zone_name(static_cast<treatment::Zone>(z));
  return "";
}

double Outcome::transformed() const { return greatest(*this, &ZoneOutcome::transformed, true); }
double Outcome::rate_margin() const { return least(*this, &ZoneOutcome::rate_margin, true); }
double Outcome::austenite() const { return least(*this, &ZoneOutcome::austenite); }
double Outcome::carbon_wt() const { return least(*this, &ZoneOutcome::carbon_wt); }
double Outcome::soak_s() const { return least(*this, &ZoneOutcome::soak_s); }
double Outcome::reaches_temperature_s() const { return greatest(*this, &ZoneOutcome::reaches_temperature_s); }
double Outcome::retained_austenite() const { return greatest(*this, &ZoneOutcome::retained_austenite); }
double Outcome::martensite() const { return least(*this, &ZoneOutcome::martensite); }
double Outcome::as_quenched_least_HRC() const { return least(*this, &ZoneOutcome::as_quenched_HRC, true); }
double Outcome::as_quenched_most_HRC() const { return greatest(*this, &ZoneOutcome::as_quenched_HRC, true); }
double Outcome::tempered_least_HRC() const { return least(*this, &ZoneOutcome::tempered_HRC, true); }
double Outcome::tempered_most_HRC() const { return greatest(*this, &ZoneOutcome::tempered_HRC, true); }

double Outcome::bath_end_degC() const {
  double most = nan;
  for (const StationOutcome& s : stations)
    most = std::isnan(most) ? s.bath_end_degC : std::max(most, s.bath_end_degC);
  return most;
}

Verdict quench_verdict(const Case& c, const Outcome& o) {
  Verdict out = Verdict::not_asked;
  for (const StationOutcome& s : o.stations)
    for (const ZoneOutcome& z : s.zones) {
      const Verdict one = zone_verdict(c, z.wanted, z.transformed);
      if (one != Verdict::not_asked && (out == Verdict::not_asked || one > out))
        out = one;
    }
  return out;
}

Verdict soak_verdict(const Case& c, const Outcome& o) {
  const auto& wanted = c.steel.austenitising;
  if (std::isnan(o.austenite()))
    return Verdict::not_asked;
  if (o.austenite() < c.thresholds.austenite_least || o.carbon_wt() < wanted.carbon_wanted_wt)
    return Verdict::fail;
  const double true_degC = c.furnace().setpoint_degC + c.furnace().reading_offset_K;
  const bool unusual = true_degC > wanted.hardening_to_degC + overheated_K ||
                       true_degC < wanted.hardening_from_degC - overheated_K;
  return unusual || o.soak_s() < 0.9 * c.wishes.soak_s ? Verdict::marginal : Verdict::pass;
}

double wish_missed_by(const Case& c, const Outcome& o, std::size_t station) {
  const treatment::HardnessWish wish = c.hardness_wish(station);
  double miss = 0;
  for (const ZoneOutcome& z : o.stations[station].zones)
    if (z.wanted == treatment::Wanted::hard)
      miss = std::isnan(z.tempered_HRC) ? nan : std::max(miss, wish.miss(z.tempered_HRC, z.tempered_HRC));
  return wish.stated() ? miss : 0;
}

Verdict hardness_verdict(const Case& c, const Outcome& o) {
  if (!c.hardness_wished())
    return Verdict::not_asked;
  double miss = 0;
  for (std::size_t i = 0; i < o.stations.size(); ++i) {
    const double here = wish_missed_by(c, o, i);
    if (std::isnan(here))
      return Verdict::not_asked;
    miss = std::max(miss, here);
  }
  return miss <= 0                                ? Verdict::pass
         : miss <= c.steel.temper.uncertainty_HRC ? Verdict::marginal
                                                  : Verdict::fail;
}

double timer_for_soak(const Case& c) {
  double timer = 0;
  for (std::size_t i = 0; i < c.blade.stations.size(); ++i)
    for (const ZoneMargins& z : soak_margins(c, i).zones) {
      const double needed = z.reaches_temperature_s + c.wishes.soak_s;
      if (std::isnan(needed))
        return nan;
      timer = std::max(timer, needed);
    }
  return whole_minutes_up(timer);
}

Trial::Trial(Case c) : case_(std::move(c)) {
  if (case_.heated() && !case_.furnace().timer_s && case_.wishes.soak_s > 0) {
    const double timer = careful_timer(case_).careful_s;
    set_timer_from_door(case_, std::isnan(timer) ? treatment::no_timer_s : timer);
  }
}

std::unique_ptr<Trial> Trial::twin() const {
  std::unique_ptr<Trial> other(new Trial);
  other->case_ = case_;
  other->done_ = done_;
  return other;
}

void Trial::prepare() {
  if (!simulations_.empty())
    return;
  done_.resize(case_.blade.stations.size());
  start_.stations.clear();
  for (std::size_t i = 0; i < case_.blade.stations.size(); ++i) {
    simulations_.push_back(std::make_unique<Simulation>(case_, i));
    const Simulation& sim = *simulations_.back();
    StationOutcome s;
    for (std::size_t z = 0; z < s.zones.size(); ++z) {
      const auto column = static_cast<std::size_t>(sim.zone_columns()[z]);
      s.zones[z].wanted = wanted_of(case_, i, z);
      s.zones[z].x_m = sim.grid().x[column];
      s.zones[z].thickness_m =
          (sim.grid().top[column] - sim.grid().bottom[column]) * (sim.grid().half ? 2 : 1);
    }
    start_.stations.push_back(s);
  }
}

void Trial::change(Part from, const std::function<void(Case&)>& edit) {
  edit(case_);
  for (auto at = static_cast<std::size_t>(from); at < treatment::part_count; ++at) {
    for (Parts& of_station : done_)
      of_station[at].reset();
    gathered_[at].reset();
  }
  if (case_.hardening().before(from) == 0)
    simulations_.clear();
}

void Trial::run_furnace(std::size_t station, StationOutcome& out) {
  Simulation& sim = *simulations_[station];
  const std::size_t furnace = *case_.hardening().furnace;
  for (std::size_t k = 0; k < furnace; ++k)
    sim.run(k);
  const double start = sim.time(), until = treatment::blade_out_s(case_.furnace());
  std::vector<double> time;
  std::array<std::vector<double>, treatment::zone_count> T;
  sim.run(furnace, [&](const Simulation& s) {
    time.push_back(s.time() - start);
    for (std::size_t z = 0; z < T.size(); ++z)
      T[z].push_back(s.temperature()[centre_node(s, z)]);
    return true;
  });
  out.furnace_s = until;
  out.edge_heating.clear();
  for (std::size_t k = 0; k < time.size(); ++k)
    out.edge_heating.push_back({time[k], T[treatment::zone_edge][k]});
  const treatment::NodeState state = sim.node_state();
  const auto reaches = soak_reaches(sim.grid(), sim.zone_columns());
  for (std::size_t z = 0; z < T.size(); ++z) {
    ZoneOutcome& zone = out.zones[z];
    const LeastSoak least = least_soak(sim.grid(), reaches[z], state.time_at_temperature);
    zone.reaches_temperature_s =
        treatment::first_rise(time, T[z], sim.furnace_final_degC() - case_.wishes.within_K, 0, until) +
        (least.seconds > 0 ? least.later_s : nan);
    zone.soak_s = least.seconds;
    if (case_.steel.inert)
      continue;
    zone.austenite = 1;
    zone.carbon_wt = 1e9;
    reaches[z].each_node(sim.grid(), [&](std::size_t n, int) {
      zone.austenite = std::min(zone.austenite, 1 - state.ferrite[n]);
      zone.carbon_wt = std::min(zone.carbon_wt, state.carbon[n]);
    });
  }
}

void Trial::note_quench(std::size_t station, StationOutcome& out) const {
  if (case_.steel.inert)
    return;
  const Simulation& sim = *simulations_[station];
  const std::vector<double> hv = sim.hardness();
  const auto& m = *sim.material();
  const auto reaches = zone_reaches(case_.wanted_zones(sim.station()), sim.grid(), sim.zone_columns());
  for (std::size_t z = 0; z < out.zones.size(); ++z) {
    ZoneOutcome& zone = out.zones[z];
    zone.transformed = 0;
    double scheil = 0, softest = 1e9;
    std::size_t worst = 0;
    reaches[z].each_node(sim.grid(), [&](std::size_t n, int) {
      const double turned = m.pearlite()[n] + m.bainite()[n];
      if (turned >= zone.transformed) {
        zone.transformed = turned;
        worst = n;
      }
      scheil = std::max({scheil, sim.scheil_pearlite(n), sim.scheil_bainite(n)});
      softest = std::min(softest, hv[n]);
    });
    zone.rate_margin = scheil > 0 ? 1 / scheil : std::numeric_limits<double>::infinity();
    if (zone.austenite < least_austenite_to_quench) {
      zone.transformed = 1;
      zone.rate_margin = nan;
    }
    zone.martensite = m.martensite()[worst];
    zone.retained_austenite = m.austenite()[worst];
    zone.as_quenched_HRC = steel::hrc_from_hv(softest);
  }
}

void Trial::run_steps(Part part, std::size_t i, const Simulation::Observer& observer) {
  const treatment::Hardening h = case_.hardening();
  for (std::size_t k = h.before(part); k < h.after(part); ++k)
    simulations_[i]->run(k, observer);
}

Trial::Done Trial::run_part(Part part, std::size_t i, const Done* before) {
  Simulation& sim = *simulations_[i];
  Done now;
  now.outcome = before ? before->outcome : start_.stations[i];
  StationOutcome& out = now.outcome;
  if (before)
    sim.restore(before->state);
  switch (part) {
  case Part::furnace:
    run_furnace(i, out);
    break;
  case Part::transfer:
    run_steps(part, i);
    note_quench(i, out);
    break;
  case Part::bath:
    for (std::size_t z = 0; z < out.zones.size(); ++z)
      out.zones[z].into_bath_degC = sim.temperature()[centre_node(sim, z)];
    for (std::size_t k = case_.hardening().before(part); k < case_.hardening().after(part); ++k) {
      sim.run(k);
      if (k != case_.hardening().bath)
        continue;
      out.bath_end_degC = sim.bath_degC();
      out.tank = sim.tank();
    }
    out.surface_at_lift_degC = sim.outer_surface_max();
    out.coldest_at_lift_degC = sim.coldest();
    for (std::size_t z = 0; z < out.zones.size(); ++z)
      out.zones[z].at_lift_degC = sim.temperature()[centre_node(sim, z)];
    note_quench(i, out);
    break;
  case Part::cool: {
    const double from = sim.time();
    out.thickest_cooling.clear();
    run_steps(part, i, [&](const Simulation& s) {
      out.thickest_cooling.push_back(
          {s.time() - from, s.temperature()[centre_node(s, treatment::zone_thickest)]});
      return true;
    });
    out.cooled_s = sim.time() - from;
    note_quench(i, out);
    break;
  }
  case Part::temper: {
    run_steps(part, i);
    if (case_.steel.inert)
      break;
    const std::vector<double> hv = sim.hardness();
    const auto reaches = zone_reaches(case_.wanted_zones(sim.station()), sim.grid(), sim.zone_columns());
    for (std::size_t z = 0; z < out.zones.size(); ++z) {
      double softest = 1e9;
      reaches[z].each_node(sim.grid(), [&](std::size_t n, int) { softest = std::min(softest, hv[n]); });
      out.zones[z].tempered_HRC = steel::hrc_from_hv(softest);
    }
    break;
  }
  }
  now.state = sim.save();
  return now;
}

void Trial::compute(Part until, std::size_t station) {
  Parts& done = done_[station];
  const Done* before = nullptr;
  for (std::size_t at = 0; at <= static_cast<std::size_t>(until); ++at) {
    const auto part = static_cast<Part>(at);
    if (!case_.has(part))
      continue;
    if (!done[at])
      done[at] = run_part(part, station, before);
    before = &*done[at];
  }
}

const Outcome& Trial::outcome(Part until) {
  prepare();
  auto last = static_cast<std::size_t>(until) + 1;
  while (last > 0 && !case_.has(static_cast<Part>(last - 1)))
    --last;
  if (last-- == 0)
    return start_;
  auto& gathered = gathered_[last];
  if (!gathered) {
    Outcome all;
    for (std::size_t i = 0; i < simulations_.size(); ++i) {
      compute(static_cast<Part>(last), i);
      all.stations.push_back(done_[i][last]->outcome);
    }
    gathered = std::move(all);
  }
  return *gathered;
}

} // namespace tq::answers
