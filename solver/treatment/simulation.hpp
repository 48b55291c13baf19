// The body of one station taken through stages: holds the state, builds what surrounds it, advances it in
// time and keeps the books (shares, tempering, time at temperature, energy). run.cpp records a whole case
// with it; answers use it for short extra runs from a saved state.
#pragma once

#include "conduction/heat_operator.hpp"
#include "steel/temper.hpp"
#include "steel/transforming_material.hpp"
#include "surroundings/tank.hpp"
#include "treatment/run.hpp"
#include "treatment/time_above.hpp"

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace tq::treatment {

/// True temperature of the case's furnace.
surroundings::FurnaceTemperature furnace_of(const Case& c);

class Simulation {
 public:
  /// Called after every accepted step (and at the start of a stage); return false to end the stage there.
  using Observer = std::function<bool(const Simulation&, Stage)>;

  Simulation(const Case& c, std::size_t station);

  /// What lies on the faces: foil, coat, plates of a bath.
  struct Covers {
    bool foil = false, coat = false;
    const Bath* plates = nullptr;
    bool operator==(const Covers& other) const {
      return foil == other.foil && coat == other.coat && plates == other.plates;
    }
  };

  /// Everything needed to go on from here later, in this or another simulation of the same case and station.
  struct Snapshot {
    double time = 0;
    conduction::State state;
    std::vector<double> temperature, tempering, time_at_temperature;
    std::optional<steel::TransformingMaterial> material;
    Covers covers;
    double foil_emissivity = 0;
  };
  Snapshot save() const;
  void restore(const Snapshot& s);

  /// Furnace from door closing until `until_s`.
  void furnace(double until_s, const Observer& observer = {});
  void transfer(double seconds, const Observer& observer = {});
  /// The whole quench: the first bath for at most `seconds` (less when it says at what temperature to lift),
  /// then the second one if the case has it.
  void bath(double seconds, const Observer& observer = {});
  /// The first bath alone.
  void first_bath(double seconds, const Observer& observer = {});
  /// The way through the air and the second bath; nothing when the case has none.
  void second_bath(const Observer& observer = {});
  void cool(const Observer& observer = {});
  /// One temper cycle followed by cooling to near room temperature.
  void temper(int cycle, const Observer& observer = {});
  /// Clock times on which steps must land (frames); ascending.
  void set_landings(std::vector<double> times) { landings_ = std::move(times); }
  void set_tolerance(double kelvin) { tolerance_K_ = kelvin; }

  double time() const { return time_; }
  const section::Grid& grid() const { return grid_; }
  const std::vector<double>& temperature() const { return temperature_; }
  const steel::TransformingMaterial* material() const { return steel_ ? &*steel_ : nullptr; }
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
  const surroundings::Tank& tank() const { return tank_; }
  /// Temperature of the bath last entered when this blade came: in a row, warmed by those before.
  double bath_start_degC() const { return bath_start_degC_; }
  double outer_surface_max() const { return op_->outer_surface_max(); }
  /// Heat out of the whole section so far [J/m].
  double heat_out() const { return heat_out_ * (grid_.half ? 2 : 1); }
  double hottest() const;
  double coldest() const;
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

 private:
  void enter(Stage stage, const conduction::Surround& surround, bool foil_on, steel::TransformMode mode);
  /// Steps until `until`, or until `stop`, looked at after the operator's refresh(), falls to zero.
  void advance(double until, const Observer& observer, bool slow, const std::vector<double>& breaks = {},
               const std::function<double()>& stop = {});
  /// Advice when the stepper gave up in a stage of this length.
  std::string what_to_try(double stage_s) const;
  void after_step(double dt);
  void temper_while_cooling(double dt);
  void find_events(conduction::DenseRosenbrockW& stepper);
  void set_covers(const Covers& covers);
  void add_foil(conduction::Cover& cover) const;
  void add_coat(conduction::Cover& cover) const;
  void add_plates(conduction::Cover& cover, const Plates& plates, double start_degC) const;
  conduction::Surround bath_surround(const Bath& b, double bath_degC) const;
  void quench_in(const Bath& b, double seconds, const Observer& observer);
  /// The quench of one blade in the bath at `bath_degC`; notes its heat in tank_.
  void quench_at(const Bath& b, double bath_degC, double seconds, const Observer& observer);
  /// Temperature [degC] that the last blade of the row meets, from a rough run of the first.
  double before_last_blade(const Bath& b, double seconds);
  void heat_support(conduction::Surround& s) const;
  conduction::Surround air_surround(double air_degC, double convection, double emissivity) const;
  double bare_or_foil(double bare_emissivity) const;
  void cool_until(Stage stage, double air_degC, double convection, double stop_degC, double longest_s,
                  const Observer& observer);

  const Case& case_;
  section::Grid grid_;
  conduction::Mesh mesh_;
  double area_ = 0;
  std::unique_ptr<conduction::InertMaterial> inert_;
  std::unique_ptr<steel::TransformingMaterial> steel_;
  std::unique_ptr<conduction::HeatOperator> op_;
  std::optional<steel::TemperResponse> response_;
  surroundings::FurnaceTemperature furnace_;
  std::array<int, zone_count> zone_column_{};

  conduction::State x_;
  std::vector<double> temperature_, temperature_before_, temperature_mean_;
  std::vector<double> tempering_, time_at_temperature_;
  std::vector<double> landings_, austenite_before_cold_;
  TimeAbove soak_; ///< counts in the furnace only
  double time_ = 0, heat_out_ = 0, tolerance_K_ = 0.1;
  Covers covers_;
  double foil_emissivity_ = 0; ///< of its outside, now
  surroundings::Tank tank_;
  double bath_start_degC_ = 0;
  // part of the blade stands out of the bath: heat that the air took, not the bath
  bool partly_dry_ = false;
  double dry_rate_W_m_ = 0, dry_heat_J_m_ = 0, bath_from_J_m_ = 0;
  bool ended_early_ = false, tempering_on_ = false;
  Stage stage_ = Stage::furnace;
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
