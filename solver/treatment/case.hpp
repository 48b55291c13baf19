// One treatment to compute, fully resolved: every default filled in, every record attached. SI, degC.
#pragma once

#include "records/coolant_record.hpp"
#include "records/foil_record.hpp"
#include "records/solid_record.hpp"
#include "records/steel_record.hpp"
#include "records/strain_record.hpp"
#include "records/uncertainty_record.hpp"
#include "section/profile.hpp"
#include "surroundings/furnace.hpp"
#include "surroundings/gas.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace tq::treatment {

/// The stages a case may run, always in this order.
enum class Stage { furnace, transfer, bath, cool, temper };
const char* stage_name(Stage stage);

/// The four faces of a section, used as index.
enum Face : int { flank_a = 0, flank_b = 1, spine_face = 2, edge_face = 3 };
inline constexpr int face_count = 4;

/// One cross-section of the blade.
struct Station {
  std::string name;
  section::Profile profile;
};

/// Which way the scratches of the last grit before hardening run.
enum class Scratches { unknown, lengthwise, across };

struct Blade {
  double length_m = 0;
  double notch_depth_m = 0;  ///< deepest inner corner (tang shoulder, notch, plunge, stamp); 0 = not stated
  double notch_radius_m = 0; ///< at its root
  Scratches scratches = Scratches::unknown;
  std::vector<Station> stations;
  records::StartState start_state = records::StartState::spheroidised;
};

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

struct Wrap {
  int layers = 0; ///< 0 = bare
  records::FoilRecord foil;
  double thickness_m = 0;                 ///< one layer
  std::array<double, face_count> gap_m{}; ///< foil to blade; further layers use the same gap
  double contact_fraction = 0;
  double contact_conductance_W_m2K = 0;
  double fixed_conductance_W_m2K = 0; ///< > 0: plain number for gas + contact
  double emissivity_outside = 0, emissivity_inside = 0;
  std::optional<double> emissivity_oxidised; ///< the outside grows from `emissivity_outside` to this ...
  double oxidises_in_s = 600;                ///< ... with this time constant in the hot furnace
  double heat_capacity_J_m2K = 0; ///< > 0: plain areal heat capacity of one layer instead of the record's
  surroundings::Gas gas = surroundings::Gas::air;   ///< in the gaps
  std::array<double, face_count> contact_patches{}; ///< further share of each face in contact
  bool on_in_oil = false; ///< false: stripped before the transfer ends (see Transfer::in_foil)
};

/// Clay or paste on the blade, from before the furnace to the end of the quench; the same on both flanks.
struct Coat {
  records::SolidRecord solid;
  std::vector<double> distance_m, thickness_m; ///< on the flanks, linear between; none outside the range
  double spine_m = 0, edge_m = 0;              ///< on the end faces
};

struct SurfaceState {
  double emissivity_air = 0.35;    ///< bare steel in air: bright 0.35, scaled 0.8
  double emissivity_furnace = 0.8; ///< bare steel in the furnace
  double emissivity_in_foil = 0.4; ///< steel facing the foil
  bool painted = false;            ///< coated against scale; counts where no foil covers it
};

struct Transfer {
  double time_s = 2;
  bool in_foil = false; ///< false: foil comes off at the furnace door
  double air_degC = 20;
  double convection_W_m2K = 0; ///< > 0: plain number instead of natural convection
};

/// Which temperature decides when to lift the blade: hottest point of the outermost surface or inside, or the
/// centre of a zone.
enum class LiftPlace { surface, inside, edge, spine };

/// Plates pressed on both flanks in place of a liquid; spine and edge stand in the air.
struct Plates {
  records::SolidRecord metal;
  double thickness_m = 0;
  std::array<double, 2> contact_W_m2K{}; ///< flank A, flank B
};

struct Bath {
  std::optional<double> out_at_degC; ///< lift when the place below is down to this; `time_s` at the latest
  LiftPlace out_where = LiftPlace::surface;
  double immersion_m = 0;       ///< > 0: only this much of the width, from the edge up, is in the bath
  double wetting_delay_s = 0;   ///< vapour covers the surface for this long first
  double wetting_speed_m_s = 0; ///< > 0: then the liquid climbs from the edge at this speed
  double flank_delay_s = 0;     ///< flank B meets the liquid this much after the rest; < 0: flank A does
  double flank_cooling = 1;     ///< heat transfer of flank B over that of the rest
  double move_s = 0;            ///< second bath: in the air between the first bath and this one
  std::optional<Plates> plates;
  records::CoolantRecord coolant;
  double temperature_degC = 60;
  double volume_m3 = 0; ///< 0 = so large that it stays at its temperature
  double agitation_m_s = 0;
  int blades = 1;             ///< alike, one after another through this bath; the last one is computed
  double interval_s = 0;      ///< from one blade to the next
  double water = 0;           ///< share of water found in the oil, by volume
  double time_s = 0;          ///< seconds in the bath
  double fixed_htc_W_m2K = 0; ///< > 0: plain constant h
};

struct Cool {
  double air_degC = 20;
  double convection_W_m2K = 0; ///< > 0: plain number instead of natural convection
  double lowest_degC = 20;     ///< lowest temperature reached before tempering (hand-warm, room, freezer ...)
  double wait_s = 0;           ///< left at the temperature of the air before it is cooled below it
};

enum class OvenKind { still, fan };

struct Temper {
  double oven_degC = 0;
  double time_s = 0;             ///< in the oven, from blade in
  int count = 0;                 ///< 0 = no temper
  std::optional<double> delay_s; ///< from cold to the oven; nothing: not stated
  OvenKind kind = OvenKind::still;
  double swing_K = 0; ///< amplitude of the oven's swing
  double swing_period_s = 600;
  double edge_extra_K =
      0; ///< how much hotter than the oven air the thin edge is held (radiation from the element)
  double convection_W_m2K = 0; ///< convection of the oven kind, or the plain number given
  double emissivity = 0.35;
};

/// What the quench is to leave in a zone.
enum class Wanted { hard, soft, either };

struct Wishes {
  double soak_s = 0;               ///< asked time at temperature
  double within_K = 6;             ///< "at temperature" means within this of the set point after offset
  double hrc_from = 0, hrc_to = 0; ///< wanted hardness after temper; both 0 = none stated
  std::array<Wanted, 4> zones{};   ///< edge, middle, spine, thickest (the order of run.hpp's Zone)
};

/// Thresholds of the verdicts; the one place where they stand.
struct Thresholds {
  double transformed_pass = 0.02;     ///< pearlite + bainite up to here: pass
  double transformed_marginal = 0.10; ///< up to here: marginal, above: fail
  double austenite_least = 0.99;      ///< share of austenite below which the soak fails
  double soft_least = 0.50;           ///< a zone wished soft passes from this share of pearlite and bainite
  double bow_pass_m = 0.5e-3;         ///< bow of the blade up to here: pass; common practice, no source
  double bow_marginal_m = 1.5e-3;     ///< up to here: marginal; common practice, no source
  double flash_margin_K = 28;         ///< oil must stay this far below its flash point (29 CFR 1910.126)
};

struct Probe {
  std::string name;
  double x_m = 0; ///< from the spine
  double y_m = 0; ///< from the centre plane
};

struct SolverSettings {
  double tolerance_K = 0.1;   ///< error per step [K]
  int along = 90, across = 6; ///< grid intervals
  double max_step_s = 0;      ///< 0 = free
  bool use_symmetry = true;
};

struct Start {
  double temperature_degC = 20; ///< uniform
  bool austenitised = false;    ///< true when the first stage is a cooling stage of a transforming steel
};

/// What the case says about how well one of its figures is known.
struct Doubt {
  std::string input; ///< key in materials/typical_uncertainty.toml
  records::Knowledge knowledge = records::Knowledge::typical;
  std::optional<double> width; ///< stated as a figure; 0 = exact. Nothing: the width of that knowledge
};

/// How far the figures of the case may be off; the bands of the answers come from it.
struct Uncertainty {
  records::UncertaintyRecord usual; ///< of every input that the case does not speak of
  std::vector<Doubt> stated;
};

struct Case {
  std::string title;
  std::string source_text;           ///< the case file as read
  std::string resolved_text;         ///< the case with every default filled in, TOML
  std::vector<std::string> defaults; ///< what was assumed, one line each, for the answer
  records::SteelRecord steel;
  records::StrainRecord strains;
  Blade blade;
  std::vector<Stage> stages;
  Start start;
  Furnace furnace;
  Wrap wrap;
  std::optional<Coat> coat;
  SurfaceState surface;
  Transfer transfer;
  Bath bath;
  std::optional<Bath> second_bath;
  Cool cool;
  Temper temper;
  Wishes wishes;
  Thresholds thresholds;
  std::vector<Probe> probes;
  Uncertainty uncertainty;
  std::vector<double> output_times_s; ///< clock times for field frames; empty = a default set per stage
  SolverSettings solver;

  bool has(Stage stage) const;
};

} // namespace tq::treatment
