// The furnace: heats the blade until it is taken out, or as its programme says, down again too.
#pragma once

#include "records/log_record.hpp"
#include "surroundings/furnace.hpp"
#include "treatment/steps/kind.hpp"

#include <optional>
#include <vector>

namespace tq::treatment {

/// The four faces of a section, used as index.
enum Face : int { flank_a = 0, flank_b = 1, spine_face = 2, edge_face = 3 };
inline constexpr int face_count = 4;

enum class Loading { hot, cold };
enum class TimerStart { door, recovery };

/// Slotted refractory on which the blade stands in the furnace.
struct Support {
  Face face = spine_face;       ///< the end that stands in the slot: spine_face or edge_face
  double depth_m = 0;           ///< of both flanks that are in the slot, besides that face
  double conductance_W_m2K = 0; ///< between brick and blade (or its foil); radiation does not reach in
  double cooler_K = 0;          ///< how far the brick is below the furnace
};

struct Furnace {
  Loading loading = Loading::hot;
  double setpoint_degC = 0;                           ///< display set point of the hardening hold
  std::vector<surroundings::ProgrammeStep> programme; ///< cold load: the lines of the programme
  /// Measured, in place of loading, programme, droop and overshoot. The set point is its level; another one
  /// shifts all of it.
  std::optional<records::LogRecord> log;
  std::optional<double> timer_s; ///< blade out after this; absent: the program sets it from the asked soak
  TimerStart timer_start = TimerStart::door;
  double droop_K = 0; ///< sag of the reading on loading
  double recovery_s = 0;
  double reading_offset_K = 0;   ///< true minus display
  double wall_emissivity = 0.75; ///< cavity seen by the blade or foil; 1 for a large cavity
  double convection_W_m2K = 0;   ///< natural convection inside the muffle
  double start_degC = 20;        ///< blade (and cold furnace) at the start
  double overshoot_K = 0;        ///< of the controller, once the display first reads its set point
  double overshoot_peak_s = 300; ///< from then to the highest
  int blades = 1;                ///< alike, side by side with their flanks facing; the middle one is computed
  double spacing_m = 0;          ///< between facing flanks
  std::optional<Support> support;
};

const char* word(const Furnace& furnace);
Part counts_as(const Furnace& furnace);
const keys::Table& key_table(const Furnace& furnace);
void take(const Furnace& furnace, Simulation& sim, double seconds, const StepObserver& observer);
double expected_s(const Furnace& furnace);
std::vector<double> usual_frames(const Furnace& furnace);
double weight(const Furnace& furnace);
bool same_on_both_flanks(const Furnace& furnace);

/// Time [s] in a furnace of which neither timer nor soak nor end is known.
inline constexpr double no_timer_s = 3600;
/// True temperature over the time from its beginning.
surroundings::FurnaceTemperature temperature_of(const Furnace& furnace);
/// When the blade comes out [s], from closing the door.
double blade_out_s(const Furnace& furnace);
/// When a log or a programme that goes down again ends [s]; nothing for others.
std::optional<double> own_end_s(const Furnace& furnace);

} // namespace tq::treatment
