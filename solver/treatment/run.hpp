// Runs the steps of a case in order on one station and records what happened. Time runs from the closing of
// the furnace door (or from the start of the first step). Temperatures in degC, fractions 0..1.
#pragma once

#include "section/grid.hpp"
#include "surroundings/tank.hpp"
#include "treatment/case.hpp"

#include <functional>
#include <memory>
#include <set>
#include <stdexcept>
#include <string>
#include <vector>

namespace tq::treatment {

/// The solver gave up: says step, time and what to try. Maps to exit code 3.
class SolverError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};
/// The caller's progress function asked to stop. Maps to exit code 130.
class Interrupted : public std::runtime_error {
 public:
  Interrupted() : std::runtime_error("interrupted") {}
};

/// Per-node state, arrays of nx*ny (i fastest) of the grid solved (the half section when grid.half).
struct NodeState {
  std::vector<double> temperature;
  std::vector<double> austenite, pearlite, bainite, martensite, ferrite, cementite; ///< mass shares, sum 1
  std::vector<double> pearlite_HV, bainite_HV; ///< mean hardness of each as it formed; 0 where there is none
  std::vector<double> tempered_austenite;      ///< part of `bainite` that a temper made of retained austenite
  std::vector<double> grain;                   ///< mean diameter of the austenite's grain [m]
  std::vector<double> carbon;                  ///< in solution in the austenite (or martensite) [wt%]
  std::vector<double> scheil_pearlite, scheil_bainite; ///< sum of dt/tau of the 1 % start
  std::vector<double> tempering; ///< Hollomon-Jaffe parameter of the martensite from Ms on (0 = none)
  std::vector<double> time_at_temperature; ///< [s] within `within_K` of the furnace's final temperature
};

/// One saved field.
struct Frame {
  double time_s = 0;
  Part part = Part::furnace; ///< of the step it lies in
  NodeState state;
  std::vector<double> hardness_HV; ///< of the constituents as they are, tempering included
};

/// Temperature against time at one point. `zone` points stand on the centre line.
struct Trace {
  std::string name;
  double x_m = 0, y_m = 0;
  std::vector<double> temperature; ///< at Run::time_s
};

/// What became of one step of the case.
struct StepSpan {
  std::size_t step = 0; ///< in Case::steps
  Part part = Part::furnace;
  double from_s = 0, to_s = 0;
  int cycle = 0;         ///< behind one furnace: ovens 1, 2 ..., baths from the second one on 2 ...; else 0
  std::size_t frame = 0; ///< of Run::frames: the state at its end
  // of a bath
  double bath_start_degC = 0; ///< when this blade came
  double bath_end_degC = 0;   ///< of plates their mean
  surroundings::Tank tank;    ///< between blades; see Simulation::tank()
};

/// The four zones that answers speak of.
enum Zone : int { zone_edge = 0, zone_middle = 1, zone_spine = 2, zone_thickest = 3 };
inline constexpr int zone_count = 4;
const char* zone_name(Zone zone);

/// Something that happened at the centre of a zone, located inside a time step on the dense output.
enum class EventKind {
  pearlite_starts,
  bainite_starts,
  martensite_starts
}; ///< 1 % start by Scheil's rule; Ms passed
struct Event {
  EventKind kind = EventKind::pearlite_starts;
  Zone zone = zone_edge;
  double time_s = 0;
  double temperature_degC = 0;
};
inline constexpr double event_resolution_s = 1e-4;

struct Counters {
  long steps = 0, rejected = 0, rhs = 0, factorisations = 0;
};

struct Run {
  std::string station;
  section::Grid grid;
  double area_m2 = 0, mass_kg = 0; ///< section area and mass of a blade of this section and the case's length
  Hardening hardening;             ///< of the case
  std::vector<StepSpan> spans;     ///< one for each step of the case
  std::vector<double> time_s;      ///< every accepted step
  std::vector<double> surroundings_degC;      ///< furnace, air, bath or oven at those times
  std::vector<double> outer_surface_max_degC; ///< hottest point of the outermost surface (foil when on)
  std::vector<double> hottest_degC;           ///< hottest point of the steel
  std::vector<double> heat_out_J_m; ///< heat left the section and its foil so far, per metre of blade
  std::vector<Trace> zones;         ///< in the order of Zone
  std::vector<Trace> probes;        ///< in the order of Case::probes
  std::vector<int> zone_column;     ///< i of each zone
  std::vector<Event> events;        ///< in the order of time
  std::vector<Frame> frames;
  NodeState after_furnace, after_bath, after_cool, final_state; ///< of the last hardening
  std::vector<double> as_quenched_HV, final_HV;                 ///< per node
  std::vector<double> austenite_before_cold; ///< per node; empty when it was not cooled below the air
  Counters counters;
  double energy_residual = 0; ///< |dH + Q| / max |Q| over the run
  double solver_seconds = 0;  ///< processor time of the stepping
  std::vector<std::string> warnings;
};

/// Span of the first step of that part of the last hardening; null: none.
const StepSpan* span_of(const Run& run, Part part);

/// Called now and then with the share done (0..1) and the part that runs; return false to stop (throws
/// Interrupted).
using Progress = std::function<bool(double share, Part part)>;

class Simulation;
/// Called with the simulation at the end of each step, for extra runs that start there (Simulation::save()).
using StepHook = std::function<void(const Simulation&, std::size_t step)>;

/// One station of a case whose run can be taken up again: when another case shares its first steps, only the
/// others are computed, and the run is to the last bit what run_station() gives.
class StationRunner {
 public:
  /// `c` must outlive this; it may be assigned a case that differs in later steps between two runs.
  StationRunner(const Case& c, std::size_t station, const Progress& progress = {});
  /// What has been run and kept so far.
  struct Record;
  /// Takes up what another runner of the same station and section left.
  StationRunner(const Case& c, std::size_t station, const Record& record);
  ~StationRunner();
  StationRunner(StationRunner&&) noexcept;
  StationRunner& operator=(StationRunner&&) = delete;

  /// Remembers how things stand when `steps` steps are done, so that the next run can begin there. To be said
  /// before the run that passes there.
  void keep_after(std::set<std::size_t> steps);
  /// From now on no fields are written down but at the ends of steps, and no step lands on the others' times.
  void leave_out_frames();
  /// From now on only the fields at the ends of steps are kept, without their hardness unless it is asked
  /// for; all else is as with all fields, to the last bit.
  void keep_last_frames(bool with_hardness);
  static constexpr std::size_t all_steps = static_cast<std::size_t>(-1);
  /// Runs the first `until` steps of the case; the first `shared` ones, which must be those of the run
  /// before, are not computed again as far as something was kept. Throws SolverError, Interrupted; then
  /// nothing is shared.
  const Run& run(std::size_t shared = 0, const StepHook& at_step_end = {}, std::size_t until = all_steps);
  /// The run, to be taken away.
  Run& last_run();
  const Run& last_run() const;
  /// A copy that stays as it is while this goes on.
  std::shared_ptr<const Record> record() const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

/// Runs all steps of the case on station `station`. Throws SolverError, Interrupted.
Run run_station(const Case& c, std::size_t station, const Progress& progress = {},
                const StepHook& at_step_end = {});

/// Processor time [s] that run_station() will take over all stations, from nodes and usual steps: to within a
/// factor of three on a machine of 2025.
double foreseen_seconds(const Case& c);

} // namespace tq::treatment
