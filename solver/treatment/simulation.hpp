// The body of one station taken through stages: holds the state, builds what surrounds it, advances it in
// time and keeps the books (shares, tempering, time at temperature, energy). run.cpp records a whole case
// with it; answers use it for short extra runs from a saved state.
#pragma once

#include "conduction/heat_operator.hpp"
#include "steel/temper.hpp"
#include "steel/transforming_material.hpp"
#include "surroundings/furnace.hpp"
#include "surroundings/tank.hpp"
#include "treatment/fin.hpp"
#include "treatment/run.hpp"
#include "treatment/time_above.hpp"

#include <algorithm>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace tq::treatment {

/// The furnace, the air and the oven change slowly; their steps may err this much more than the quench's.
inline constexpr double slow_tolerance_factor = 1.5;
/// A fin leaves its columns so many tolerances off at most (numerical choice: 0.2 K at the usual 0.1 K).
inline constexpr double usual_fin_tolerances = 2;

class Simulation {
 public:
  /// Called after every accepted time step (and at the start of a step of the treatment); return false to end
  /// that there.
  using Observer = StepObserver;

  Simulation(const Case& c, std::size_t station);

  /// What lies on the faces: foil, coat, plates of the bath at that place in the case's steps.
  struct Covers {
    bool foil = false, coat = false;
    std::optional<std::size_t> plates;
    bool operator==(const Covers&) const = default;
  };

  /// Everything needed to go on from here later, in this or another simulation of the same case and station.
  struct Snapshot {
    double time = 0;
    conduction::State state;
    std::vector<double> temperature, tempering, time_at_temperature;
    std::optional<steel::TransformingMaterial> material;
    Covers covers;
    double foil_emissivity = 0, bare_emissivity = 0;
  };
  Snapshot save() const;
  void restore(const Snapshot& s);

  /// What is counted and noted beside the state: goes back with a snapshot when the record of a run is taken
  /// up again from there.
  struct Books {
    Counters counters;
    std::vector<Event> events;
    std::vector<double> austenite_before_cold;
    double energy_defect = 0, heat_scale = 0;
    surroundings::FurnaceTemperature furnace;
    TimeAbove soak;
  };
  Books books() const;
  void set_books(const Books& b);

  /// Takes the blade through one of the case's steps; in `seconds` where given, else as long as the step
  /// says.
  void run(std::size_t step, const Observer& observer = {}, double seconds = own_time);
  static constexpr double own_time = -1;
  /// Clock times on which steps must land (frames); ascending.
  void set_landings(std::vector<double> times) { landings_ = std::move(times); }
  void set_tolerance(double kelvin) { tolerance_K_ = kelvin; }
  /// But in a quench the section is solved as a fin where its nodes differ from their column's mean by at
  /// most so many tolerances; 0: never.
  void set_fin_tolerances(double tolerances) { fin_tolerances_ = tolerances; }

  double time() const { return time_; }
  std::size_t step_index() const { return step_; }
  const Step& step() const { return case_.steps[step_]; }
  std::size_t station() const { return station_; }
  const section::Grid& grid() const { return grid_; }
  const std::vector<double>& temperature() const { return temperature_; }
  const steel::TransformingMaterial* material() const {
    settle();
    return steel_.get();
  }
  /// Scheil sums of the 1 % start so far.
  double scheil_pearlite(std::size_t node) const;
  double scheil_bainite(std::size_t node) const;
  NodeState node_state() const;
  /// Vickers hardness of the present shares, tempering included.
  std::vector<double> hardness() const;
  double surroundings_degC() const;
  /// Bath now; with plates their mean temperature.
  double bath_degC() const;
  /// The bath last entered when its first blade comes, with the heat one blade gives it; without capacity
  /// when it is endless or no liquid.
  const surroundings::Tank& tank() const { return bath_.tank; }
  /// Temperature of the bath last entered when this blade came: in a row, warmed by those before.
  double bath_start_degC() const { return bath_.start_degC; }
  double outer_surface_max() const { return now().outer_surface_max(); }
  /// Heat out of the whole section so far [J/m].
  double heat_out() const { return heat_out_ * (grid_.half ? 2 : 1); }
  double hottest() const;
  double coldest() const;
  /// More than half of the section's mass is austenite, which no whole quench of these steels leaves.
  bool mostly_austenite() const;
  int centre_row() const { return grid_.half ? 0 : (grid_.ny - 1) / 2; }
  const std::array<int, zone_count>& zone_columns() const { return zone_column_; }
  double furnace_final_degC() const { return furnace_.final_degC(); }
  double display_ready_s() const { return furnace_.display_ready_s(); }
  const std::vector<Event>& events() const { return events_; }
  /// Share of austenite of each node before it was cooled below the air; empty when it was not.
  const std::vector<double>& austenite_before_cold() const { return austenite_before_cold_; }
  const Counters& counters() const { return counters_; }
  double energy_residual() const { return heat_scale_ > 0 ? energy_defect_ / heat_scale_ : 0; }
  double solver_seconds() const { return solver_seconds_; }
  double area_m2() const { return area_; }

  // What the kinds of step (treatment/steps) are made of.
  const Case& settings() const { return case_; }
  const conduction::HeatOperator& section() const { return *op_; }
  const Covers& covers() const { return covers_; }
  /// Lays on what the present step has on the blade: foil and coat that are off come on again only for a
  /// furnace.
  void cover(bool with_plates = false);
  double foil_emissivity() const { return foil_emissivity_; }
  void set_foil_emissivity(double outside) { foil_emissivity_ = outside; }
  /// Of bare steel in the air, more once it has scaled there.
  double bare_emissivity() const { return bare_emissivity_; }
  void set_bare_emissivity(double steel) { bare_emissivity_ = steel; }
  /// Of the outermost surface: that of the foil when it is on.
  double bare_or_foil(double bare_emissivity) const {
    return covers_.foil ? foil_emissivity_ : bare_emissivity;
  }
  conduction::Surround air_surround(double air_degC, double convection, double emissivity) const;
  /// From here on the blade sees `surround`, and steel may do what `mode` says.
  void enter(const conduction::Surround& surround, steel::TransformMode mode);
  /// Steps until `until`, or until `stop`, looked at after the operator's refresh(), falls to zero; slow ones
  /// may err more. False when the observer ended it.
  bool advance(double until, const Observer& observer, bool slow, const std::vector<double>& breaks = {},
               const std::function<double()>& stop = {});
  /// For `stop`: hottest place above `level_degC` [K].
  std::function<double()> down_to(double level_degC) const;
  /// For `stop`: `level_degC` above the hottest place [K].
  std::function<double()> up_to(double level_degC) const;
  /// Whether pearlite, bainite or martensite of an earlier cooling are there.
  bool hardened() const;
  void set_furnace(surroundings::FurnaceTemperature furnace) { furnace_ = std::move(furnace); }
  const surroundings::FurnaceTemperature& furnace_temperature() const { return furnace_; }
  TimeAbove& soak() { return soak_; }
  void forget_soak() { std::fill(time_at_temperature_.begin(), time_at_temperature_.end(), 0.0); }
  void set_tempering(bool on) { tempering_on_ = on; }
  void stabilise_austenite(double wait_s);
  /// The books of a bath.
  struct BathBooks {
    surroundings::Tank tank;
    double start_degC = 0;
    // part of the blade stands out of the bath: heat that the air took, not the bath
    bool partly_dry = false;
    double dry_W_m = 0, dry_J_m = 0, from_J_m = 0;
  };
  BathBooks& bath_books() { return bath_; }
  /// Does `rough` with coarse steps, then stands again where it stood.
  void try_out(const std::function<void()>& rough);

 private:
  /// Advice when the stepper gave up in a stage of this length.
  std::string what_to_try(double stage_s) const;
  /// After a step of dt to the state x_, which the operator has evaluated last.
  void after_step(double dt);
  void temper_while_cooling(double dt);
  /// What solves the section now.
  const conduction::HeatOperator& now() const { return as_fin_ ? fin_->op() : *op_; }
  conduction::HeatOperator& now() { return as_fin_ ? fin_->op() : *op_; }
  /// Goes over to the fin, or back to the section, where the one or the other will do; true when it has
  /// changed.
  bool take_what_will_do();
  void set_as_fin(bool as_fin);
  /// Brings the nodes up to where the fin is.
  void settle() const {
    if (as_fin_)
      fin_->settle(*steel_, tempering_);
  }
  /// In a cooling stage: pearlite and bainite are left out of the next step, of about dt [s], while they do
  /// next to nothing; after it their clocks are moved; at the end what has turned is taken over.
  void let_clocks_rest(double dt);
  void move_clocks(conduction::State& x, double dt);
  void wake_clocks();
  double clock_of_cooling(std::size_t n) const; ///< [pearlite, bainite][node]
  void find_events(conduction::DenseRosenbrockW& stepper);
  void set_covers(const Covers& covers);
  void add_foil(conduction::Cover& cover) const;
  void add_coat(conduction::Cover& cover) const;

  const Case& case_;
  std::size_t station_ = 0;
  section::Grid grid_;
  conduction::Mesh mesh_;
  double area_ = 0;
  std::unique_ptr<conduction::InertMaterial> inert_;
  std::unique_ptr<steel::TransformingMaterial> steel_;
  std::unique_ptr<conduction::HeatOperator> op_;
  std::unique_ptr<Fin> fin_; ///< made when first needed
  bool as_fin_ = false;      ///< x_ is the fin's; never outside advance()
  double fin_tolerances_ = usual_fin_tolerances;
  std::optional<steel::TemperResponse> response_;
  surroundings::FurnaceTemperature furnace_;
  std::array<int, zone_count> zone_column_{};

  conduction::State x_;
  std::vector<double> temperature_, temperature_before_, temperature_mean_;
  std::vector<double> temperature_older_; ///< at the start of the step before, of dt_before_ (0: none)
  double dt_before_ = 0;
  mutable std::vector<double> tempering_; ///< behind while a fin is solved, until settle()
  std::vector<double> time_at_temperature_;
  std::vector<double> landings_, austenite_before_cold_;
  TimeAbove soak_; ///< counts in the furnace only
  double time_ = 0, heat_out_ = 0, tolerance_K_ = SolverSettings{}.tolerance_K;
  Covers covers_;
  double foil_emissivity_ = 0; ///< of its outside, now
  double bare_emissivity_ = 0; ///< of the steel in air, now
  BathBooks bath_;
  bool tempering_on_ = false;
  std::size_t step_ = 0;
  Counters counters_;
  std::vector<Event> events_;
  double energy_defect_ = 0, heat_scale_ = 0, solver_seconds_ = 0;
};

/// Weights of the four-by-four nodes round a point of the section, for reading a field between nodes.
struct PointReader {
  std::array<std::size_t, 16> node{};
  std::array<double, 16> weight{};
  /// The point (x from the spine, y from the centre plane) is moved to the nearest one inside the section.
  PointReader(const section::Grid& grid, double x, double y);
  double operator()(const std::vector<double>& field) const;
};

} // namespace tq::treatment
