// What the maker wanted to know, from the runs of a case. Times in s, temperatures in degC, hardness in HRC
// (NaN where the figure does not exist).
#pragma once

#include "answers/reason.hpp"
#include "steel/diagram.hpp"
#include "treatment/case.hpp"
#include "treatment/run.hpp"

#include <array>
#include <functional>
#include <limits>
#include <string>
#include <vector>

namespace tq::answers {

enum class Verdict { pass, marginal, fail, not_asked };
const char* verdict_name(Verdict verdict);

/// One verdict with its margin and its reason in plain words.
struct Judgement {
  Verdict verdict = Verdict::not_asked;
  Reason reason;
  double passing = std::numeric_limits<double>::quiet_NaN(); ///< share of the draws; NaN: judged as stated
  Verdict before_draws = Verdict::not_asked;                 ///< what it was then
  double failing = std::numeric_limits<double>::quiet_NaN(); ///< share of the draws that fail, not marginal
  std::string cure{}; ///< what to change, for a verdict that is no pass; empty when nothing is known

  Verdict stated() const { return passing >= 0 ? before_draws : verdict; }
};

/// Figures of one zone (edge, middle, spine, thickest).
struct ZoneAnswer {
  static constexpr double none = std::numeric_limits<double>::quiet_NaN();
  std::string name;
  treatment::Wanted wanted = treatment::Wanted::hard;
  double x_m = 0, thickness_m = 0;
  // soak, worst within the zone's reach (zone_reach.hpp, soak_reaches)
  double reaches_temperature_s = 0; ///< from closing the door; NaN when never
  double soak_s = 0;                ///< time above that before the blade comes out
  double soak_x_m = 0;              ///< distance of the place that soaks least from the spine
  double timer_from_door_s = 0;     ///< timer that gives the asked soak
  double timer_from_recovery_s = 0; ///< the same counted from the display's recovery
  double austenite = 0;             ///< share at the end of the soak
  double carbon_in_solution = 0;    ///< wt%
  double undissolved_carbide = 0;   ///< mass share
  // transfer
  std::array<double, 4> in_air_degC{}; ///< after 2, 3, 5, 8 s out of the furnace
  double into_bath_degC = 0;
  double at_lift_degC = none;     ///< centre, at the end of the (first) bath
  double transfer_to_spare_s = 0; ///< extra seconds of transfer before the zone no longer passes
  // quench
  double transformed = 0; ///< pearlite + bainite, worst within the zone's reach (zone_reach.hpp)
  double worst_x_m = 0;   ///< distance of that place from the spine
  double pearlite = 0, bainite = 0;
  double rate_margin = 0; ///< 1 / Scheil sum of the 1 % start over transfer and quench
  double t700_500_s = 0, t800_500_s = 0;
  double straighten_s =
      0; ///< from lifting out of the last bath until martensite starts; NaN when it has begun
  double ms_degC = 0;
  Judgement hardens;
  // hardness
  double martensite = 0, retained_austenite = 0;                                 ///< before tempering
  double retained_austenite_tempered = std::numeric_limits<double>::quiet_NaN(); ///< after all tempers
  double as_quenched_HRC = 0, tempered_HRC = 0;
};

/// What air, file, tester and eye make of one station. NaN or empty where the figure does not exist.
struct SurfaceAnswer {
  static constexpr double none = std::numeric_limits<double>::quiet_NaN();
  double soft_depth_m = none;     ///< down to half of the carbon, below the scaled surface of the edge
  double affected_depth_m = none; ///< down to 90 % of the carbon
  double scale_m = none;          ///< thickness of the scale
  double scale_loss_m = none;     ///< steel that went into it, per side
  double grind_per_side_m = none; ///< to be ground off after hardening
  double least_edge_m = none;     ///< edge to leave before hardening
  std::string edge_governed_by;   ///< what decides that edge: "skin" or "floor"
  double grain_number = none;     ///< ASTM, coarsest zone at the end of the soak
  double soak_earliest_s = none;  ///< sensible soak at the furnace's true temperature, from ...
  double soak_latest_s = none;    ///< ... to; infinite when nothing is overdone
  std::string soak_too_short, soak_too_long; ///< what happens outside
  std::string file_as_quenched;              ///< what a file will do at the edge
  double rockwell_thickness_m = none;        ///< least for a Rockwell reading of the hardness reached
  double rockwell_from_m = none, rockwell_to_m = none; ///< distances from the spine between which it holds
  std::string temper_colour;                           ///< of the thickest zone; a hint, not a control
  std::string temper_colour_edge;                      ///< of the edge
  std::string temper_colour_srgb;                      ///< of the thickest zone, "#RRGGBB"
  std::string temper_colour_doubt;                     ///< what 20 K either way would show
  double flash_limit_degC = none; ///< a second of grinding heat at this temperature takes off 1 HRC
};

/// Transformation diagram of the austenite of the thickest zone, with its doubt as a factor either way.
struct DiagramAnswer {
  static constexpr double none = std::numeric_limits<double>::quiet_NaN();
  double carbon_wt = none; ///< in solution
  double ae1_degC = none, bs_degC = none, ms_degC = none;
  double pearlite_band = none, bainite_band = none; ///< factor either way on the times
  steel::Nose pearlite_nose{none, none}, bainite_nose{none, none};
  steel::CriticalRate critical{none, none, none};
  std::vector<steel::DiagramRow> isothermal; ///< from hot to cold, each reaction as if alone
  std::vector<steel::CoolingResult> cooling; ///< from fast to slow
};

/// What a colder medium than room temperature would leave, put in after the case's wait.
struct ColdAnswer {
  std::string medium;
  double temperature_degC = 0, retained_austenite = 0, as_quenched_HRC = 0;
};

/// After one temper cycle; least and most over the zones.
struct CycleAnswer {
  int cycle = 0;
  double hrc_least = 0, hrc_most = 0, retained_austenite_most = 0;
};

/// What another oven would leave: change of the hardness against the oven of the case.
struct OvenChange {
  double oven_degC = 0, change_HRC = 0;
};

struct StationAnswer {
  std::string name;
  treatment::HardnessWish wish; ///< Case::hardness_wish()
  std::array<ZoneAnswer, treatment::zone_count> zones;
  Judgement soak, quench, hardness;
  double timer_from_door_s = 0, timer_from_recovery_s = 0; ///< rounded up to whole minutes, worst zone
  double timer_used_s = 0; ///< when the blade came out in this run, from the door
  /// Recommendations by the cautious end, for nine draws in ten; NaN until draws were made (judged_by).
  double timer_careful_s = std::numeric_limits<double>::quiet_NaN();    ///< whole minutes, from the door
  double transfer_careful_s = std::numeric_limits<double>::quiet_NaN(); ///< further seconds of transfer
  double lift_careful_s = std::numeric_limits<double>::quiet_NaN();    ///< in the bath, below the flash point
  double volume_careful_m3 = std::numeric_limits<double>::quiet_NaN(); ///< of the bath, least
  double display_ready_s = 0;
  double lift_below_smoke_s = 0,
         lift_below_flash_s = 0; ///< seconds in the bath until the surface is below; NaN if none
  double surface_at_lift_degC = 0, centre_at_lift_degC = 0;
  double hottest_at_lift_x_m = 0; ///< distance of the hottest place inside from the spine
  double in_bath_s = 0;           ///< in the first bath
  double flash_margin_K =
      0; ///< flash point minus the bath at the end of the quench; NaN without a flash point
  double bath_start_degC = 0; ///< when this blade comes; in a row warmed by those before
  double bath_rise_K = 0, bath_end_degC = 0;
  double bath_limit_degC = 0;  ///< row_limit(): no further blade above it
  double blades_in_a_row = 0;  ///< that the bath takes at the case's interval before it passes the limit
  double least_interval_s = 0; ///< between blades, so that any number stays below it; NaN when no wait helps
  double least_volume_m3 = 0;  ///< of the bath, so that the case's row (or one blade) stays below it
  double mass_kg = 0;
  double hrc_as_quenched_least = 0, hrc_as_quenched_most = 0;
  double hrc_tempered_least = 0, hrc_tempered_most = 0;
  double hrc_band = 0;             ///< plus or minus after tempering: the table's, more beyond it
  double hrc_as_quenched_band = 0; ///< plus or minus as quenched (steel::as_quenched_band_HRC)
  SurfaceAnswer surface;
  DiagramAnswer diagram;
  std::vector<ColdAnswer> cold;                                ///< thickest zone
  double cold_gain = std::numeric_limits<double>::quiet_NaN(); ///< austenite the case's own cold turned there
  std::vector<CycleAnswer> cycles;
  std::vector<OvenChange> ovens; ///< from cold to hot, in steps of 5 degC; empty without a temper
};

/// A caution and the name of the number it stands beside ("oil", "foil", "transfer", "as quenched", "temper",
/// "cold").
struct Caution {
  std::string beside;
  std::string text;
  bool of_limit = false; ///< tells a limit that stands as a figure of its own too
};

struct Answers {
  std::string title;
  int draws = 0;                    ///< that the verdicts are judged by; 0: as stated
  Judgement soak, quench, hardness; ///< worst over the stations
  std::vector<StationAnswer> stations;
  std::vector<std::string> warnings;    ///< outside a validity range, oil near its flash point ...
  std::vector<std::string> assumptions; ///< what the figures assume
  std::vector<Caution> cautions;
};

/// Verdicts of the whole from those of its stations: the worst.
void take_worst(Answers& a);

class Executor;
using Stated = std::function<void(const Answers&)>;

/// The full answer: runs every station (filling a missing timer first) and the short extra runs that the
/// margins need, by the executor where one is given. `runs` receives one run per station. `progress` and
/// `stated` are called on the caller's thread; `stated` once, as soon as the runs are done, with verdicts,
/// times, temperatures and hardness. What the short runs find is still missing from it: in_air_degC,
/// transfer_to_spare_s and whether a transfer is to blame; so are surface, metallurgy and all remarks.
Answers answer(const treatment::Case& c, std::vector<treatment::Run>& runs,
               const treatment::Progress& progress = {}, Executor* executor = nullptr,
               const Stated& stated = {});

} // namespace tq::answers
