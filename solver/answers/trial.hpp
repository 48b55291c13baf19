// One case tried with other settings again and again, for questions that ask for a setting. What lies before
// the first changed stage is computed once: a question about the temper does not heat the blade anew.
#pragma once

#include "answers/answers.hpp"
#include "answers/coarse_case.hpp"
#include "steel/temper.hpp"
#include "treatment/case.hpp"
#include "treatment/simulation.hpp"

#include <array>
#include <functional>
#include <memory>
#include <optional>
#include <vector>

namespace tq::answers {

/// What the stages left in one zone, worst within its reach (zone_reach.hpp). NaN where its stage was not
/// run.
struct ZoneOutcome {
  static constexpr double none = std::numeric_limits<double>::quiet_NaN();
  treatment::Wanted wanted = treatment::Wanted::hard;
  double x_m = none, thickness_m = none;
  double reaches_temperature_s = none; ///< from closing the door; NaN when it never does
  double soak_s = none, austenite = none, carbon_wt = none;
  double into_bath_degC = none;
  double at_lift_degC = none; ///< centre, end of the bath
  double transformed = none;  ///< pearlite and bainite
  double rate_margin = none;  ///< 1 / Scheil sum of the 1 % start
  double martensite = none, retained_austenite = none;
  double as_quenched_HRC = none, tempered_HRC = none;
};

struct StationOutcome {
  std::array<ZoneOutcome, treatment::zone_count> zones;
  double furnace_s = ZoneOutcome::none;            ///< door closing to blade out
  double bath_end_degC = ZoneOutcome::none;        ///< of the bath's liquid
  surroundings::Tank tank;                         ///< the first bath between blades
  double surface_at_lift_degC = ZoneOutcome::none; ///< hottest point of the outermost surface
  double coldest_at_lift_degC = ZoneOutcome::none;
  double cooled_s = ZoneOutcome::none;               ///< from lifting out until cooled
  std::vector<steel::HistoryPoint> edge_heating;     ///< centre of the edge in the furnace
  std::vector<steel::HistoryPoint> thickest_cooling; ///< centre of the thickest place, from lifting out on
};

/// What a set of settings leads to, all stations.
struct Outcome {
  std::vector<StationOutcome> stations;

  /// Of the zones that are to harden the one that turned most to pearlite and bainite, the least rate margin
  /// deciding between equals.
  const ZoneOutcome& limiting() const;
  /// "edge", or "heel, edge" when there are several stations.
  std::string limiting_name(const treatment::Case& c) const;
  double transformed() const;           ///< greatest of the zones that are to harden
  double rate_margin() const;           ///< least of those
  double austenite() const;             ///< least after the soak
  double carbon_wt() const;             ///< least after the soak
  double soak_s() const;                ///< least
  double reaches_temperature_s() const; ///< latest; NaN when a zone never does
  double retained_austenite() const;    ///< greatest
  double martensite() const;            ///< least
  // hardness of the zones that are to harden
  double as_quenched_least_HRC() const, as_quenched_most_HRC() const;
  double tempered_least_HRC() const, tempered_most_HRC() const;
  double bath_end_degC() const; ///< hottest
};

/// The verdicts that answers.cpp gives, without their reasons (the soak's without its advice about a usual
/// range).
Verdict quench_verdict(const treatment::Case& c, const Outcome& o);
/// Fail: not wholly austenite or too little carbon in solution; marginal: less than 0.9 of the asked soak.
Verdict soak_verdict(const treatment::Case& c, const Outcome& o);
Verdict hardness_verdict(const treatment::Case& c, const Outcome& o);
/// How far [HRC] the worst zone that is to harden lies outside of what is wished of its station; NaN without
/// a temper, 0 without a wish.
double wish_missed_by(const treatment::Case& c, const Outcome& o, std::size_t station);

/// Timer [s] that gives every zone of every station of the case as stated the asked soak, a whole minute; NaN
/// when some zone never gets there.
double timer_for_soak(const treatment::Case& c);

class Trial {
 public:
  /// The case as given. A case without timer gets that of careful_timer(), as in answer().
  explicit Trial(treatment::Case c);
  Trial(const Trial&) = delete;
  Trial& operator=(const Trial&) = delete;

  const treatment::Case& settings() const { return case_; }
  /// Another one at the same settings; it knows what this one has computed.
  std::unique_ptr<Trial> twin() const;
  /// Changes settings that matter from the part `from` of the hardening on. Blade, steel, furnace and foil
  /// gaps matter from the furnace on; a temper's number of cycles from the temper on.
  void change(treatment::Part from, const std::function<void(treatment::Case&)>& edit);
  /// Outcome after the last part of the hardening that is not later than `until`. Throws
  /// treatment::SolverError.
  const Outcome& outcome(treatment::Part until = treatment::Part::temper);
  /// Computes one station up to the last part of the hardening that is not later than `until`. Different
  /// stations may be computed at the same time; outcome() gathers them.
  void compute(treatment::Part until, std::size_t station);
  /// Makes ready for compute(); what cannot be set up throws here.
  void prepare();
  /// The simulation of a station, standing where the last outcome() that had to compute left it.
  const treatment::Simulation& simulation(std::size_t station) const { return *simulations_[station]; }

 private:
  Trial() = default;
  /// What a stage left at one station.
  struct Done {
    treatment::Simulation::Snapshot state;
    StationOutcome outcome;
  };
  using Parts = std::array<std::optional<Done>, treatment::part_count>; ///< by Part
  Done run_part(treatment::Part part, std::size_t station, const Done* before);
  void run_steps(treatment::Part part, std::size_t station,
                 const treatment::Simulation::Observer& observer = {});
  void run_furnace(std::size_t station, StationOutcome& out);
  void note_quench(std::size_t station, StationOutcome& out) const;

  treatment::Case case_;
  std::vector<std::unique_ptr<treatment::Simulation>> simulations_;
  std::vector<Parts> done_;                                            ///< by station
  std::array<std::optional<Outcome>, treatment::part_count> gathered_; ///< of all stations, by Part
  Outcome start_;
};

} // namespace tq::answers
