// One treatment to compute, fully resolved: every default filled in, every record attached. SI, degC.
#pragma once

#include "records/foil_record.hpp"
#include "records/solid_record.hpp"
#include "records/steel_record.hpp"
#include "records/strain_record.hpp"
#include "records/uncertainty_record.hpp"
#include "section/profile.hpp"
#include "surroundings/gas.hpp"
#include "treatment/step.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace tq::treatment {

/// What the quench is to leave in a zone.
enum class Wanted { hard, soft, either };
/// By zone: edge, middle, spine, thickest (the order of run.hpp's Zone).
using WantedZones = std::array<Wanted, 4>;

/// Hardness wanted after the temper [HRC]; both 0: none stated.
struct HardnessWish {
  double from = 0, to = 0;

  bool stated() const { return to > 0; }
  /// How far [HRC] what lies between `least` and `most` is outside; 0 inside.
  double miss(double least, double most) const { return std::max({0.0, from - least, most - to}); }
  bool operator==(const HardnessWish&) const = default;
};

/// One cross-section of the blade.
struct Station {
  std::string name;
  section::Profile profile;
  HardnessWish hardness{};            ///< where it is to be other than the case's wish
  std::optional<WantedZones> zones{}; ///< likewise
  bool by_widths = false;             ///< given by width, spine, edge and grind, not by points
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
  double emissivity_air = 0.35;    ///< bare steel in air: bright 0.35, scaled 0.8 ...
  double emissivity_scaled = 0.35; ///< ... grows to this, hot in the air, as it scales; no more: stays
  double emissivity_furnace = 0.8; ///< bare steel in the furnace
  double emissivity_in_foil = 0.4; ///< steel facing the foil
  bool painted = false;            ///< coated against scale; counts where no foil covers it
};

struct Wishes {
  double soak_s = 0;               ///< asked time at temperature
  double within_K = 6;             ///< "at temperature" means within this of the set point after offset
  double hrc_from = 0, hrc_to = 0; ///< wanted hardness after temper; both 0 = none stated
  WantedZones zones{};
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
  double tolerance_K = 0.1;    ///< error per step [K]
  int along = 110, across = 6; ///< grid intervals
  double max_step_s = 0;       ///< 0 = free
  bool use_symmetry = true;
};

/// Grid intervals through a section of this greatest thickness [m] when the case gives none: two, and one for
/// each 0.4 mm, at least 8. At h 3000 W/m2K a plate up to 6.4 mm errs by 0.3 K at most, from a fiftieth of a
/// second on (tests/verification); the error grows with the square of thickness over intervals. What meets no
/// liquid but oil (`gently`), which shields hot steel by vapour at first, does with one for each 0.8 mm, at
/// least 6: in the shipped oils plates of 1.6 to 9.6 mm then err by 0.6 K in the middle (tests/verification).
inline int usual_across(double thickest_m, bool gently) {
  const double interval_m = gently ? 0.8e-3 : 0.4e-3;
  const int least = gently ? 6 : 8;
  constexpr int most = 40;
  return std::clamp(2 + 2 * static_cast<int>(std::ceil(0.5 * thickest_m / interval_m - 1e-6)), least, most);
}

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

/// What the readings of a shop say of some of its inputs together. Each input has a score, which is standard
/// normal as long as nothing was read: its distribution is taken at the quantile of that score.
struct Learnt {
  std::vector<std::string> inputs; ///< keys in materials/typical_uncertainty.toml
  std::vector<double> middle;      ///< of the scores; what it makes of an input is in the case already
  std::vector<double> covariance;  ///< of the scores, [i * inputs.size() + j]
  int blades = 0;
  std::string from; ///< "from 5 blades of this shop"
};

/// How far the figures of the case may be off; the bands of the answers come from it.
struct Uncertainty {
  records::UncertaintyRecord usual; ///< of every input that the case does not speak of
  std::vector<Doubt> stated;
  std::optional<Learnt> learnt;
};

/// Where the steps of the last hardening stand among those of the case; nothing where there is no such step.
struct Hardening {
  std::optional<std::size_t> furnace; ///< the last one above Ac1
  std::optional<std::size_t> carry;   ///< through the air to the bath
  std::optional<std::size_t> bath;    ///< first bath or plates behind it
  std::optional<std::size_t> second;  ///< the bath after that
  std::optional<std::size_t> cool;    ///< first step behind the last bath, air or cold
  std::optional<std::size_t> temper;  ///< first oven
  /// Number of steps done at the end of each part; earlier treatments count to the first.
  std::array<std::size_t, part_count> done{};

  std::optional<std::size_t> first(Part part) const {
    return std::array{furnace, carry, bath, cool, temper}[static_cast<std::size_t>(part)];
  }
  /// Steps that a change of the part leaves as they are; one of the first part may be of blade or steel.
  std::size_t before(Part part) const {
    return part == Part::furnace ? 0 : done[static_cast<std::size_t>(part) - 1];
  }
  std::size_t after(Part part) const { return done[static_cast<std::size_t>(part)]; }
};

struct Case {
  std::string title;
  std::string source_text;           ///< the case file as read
  std::string resolved_text;         ///< the case with every default filled in, TOML
  std::vector<std::string> defaults; ///< what was assumed, one line each, for the answer
  std::vector<std::string> odd;      ///< figures that look as if another unit was meant, a line each
  records::SteelRecord steel;
  records::StrainRecord strains;
  Blade blade;
  std::vector<Step> steps; ///< what happens to the blade, in order
  Start start;
  Wrap wrap;
  std::optional<Coat> coat;
  SurfaceState surface;
  Wishes wishes;
  Thresholds thresholds;
  std::vector<Probe> probes;
  Uncertainty uncertainty;
  std::vector<double> output_times_s; ///< clock times for field frames; empty = a default set per stage
  SolverSettings solver;

  /// Where the steps of the last hardening stand in `steps`: what answers speak of.
  Hardening hardening() const;
  /// What is wished of a station: its own wish, else that of the case.
  HardnessWish hardness_wish(std::size_t station) const;
  const WantedZones& wanted_zones(std::size_t station) const;
  /// The wish of all stations, where they have the same; else none.
  HardnessWish common_wish() const;
  /// Whether any station has a hardness to land in.
  bool hardness_wished() const;
  /// One wish for all, whatever was wished of single stations.
  void wish_hardness(HardnessWish wish);
  /// The number of the station of this name.
  std::size_t station_called(const std::string& name) const;
  bool has(Part part) const { return hardening().first(part).has_value(); }
  bool heated() const { return has(Part::furnace); }
  bool carried() const { return has(Part::transfer); }
  bool quenched() const { return has(Part::bath); }
  bool cooled() const { return has(Part::cool); }
  bool tempered() const { return has(Part::temper); }
  // Settings of the last hardening; where it has no such step defaults, and what is written to them is lost.
  const Furnace& furnace() const;
  const Air& transfer() const;
  const Bath& bath() const;
  const Bath* second_bath() const; ///< null: none
  const Air& cool() const;         ///< the air in which it cools
  const Oven& oven() const;        ///< of its hottest temper
  Furnace& furnace();
  Air& transfer();
  Bath& bath();
  Bath* second_bath();
  Air& cool();
  bool carried_in_foil() const;
  /// Lowest temperature [degC] after the quench and before the first temper.
  double lowest_degC() const;
  /// Time [s] in the air before it is cooled below it.
  double wait_s() const;
  int tempers() const;
  /// All baths, all ovens of the case.
  void for_each_bath(const std::function<void(Bath&)>& f);
  void for_each_oven(const std::function<void(Oven&)>& f);
  /// The ovens of the last hardening that are as hot as the hottest; a snap temper is none.
  void for_each_temper(const std::function<void(Oven&)>& f);
  /// Cools the last hardening to `lowest_degC`, in the air or below it; a cold step comes and goes as needed.
  void cool_to(double lowest_degC);
  /// Foil stays on to the end of its quench.
  void keep_foil_on();
  /// Makes its tempers so many, all like the hottest; other ovens stay.
  void temper_times(int count);
};

struct Transfer {
  double time_s = 2;
  bool in_foil = false; ///< false: foil comes off at the furnace door
  double air_degC = 20;
  double convection_W_m2K = 0; ///< > 0: plain number instead of natural convection
};

struct Cool {
  double air_degC = 20;
  double convection_W_m2K = 0; ///< > 0: plain number instead of natural convection
  double lowest_degC = 20;     ///< lowest temperature reached before tempering (hand-warm, room, freezer ...)
  double wait_s = 0;           ///< left at the temperature of the air before it is cooled below it
};

struct Temper : Oven {
  int count = 0; ///< 0 = no temper
};

/// A case in its short form: the usual list of steps told by one table for each part.
struct ShortCase : Case {
  std::vector<Part> stages; ///< in the order of Part
  Furnace furnace;
  Transfer transfer;
  Bath bath;
  std::optional<Bath> second_bath;
  Cool cool;
  Temper temper;
};

/// The list that the short form stands for: a second bath has the way to it before it, a blade cooled below
/// the air lies in the air first, and each temper is a step.
std::vector<Step> usual_steps(const ShortCase& c);

} // namespace tq::treatment
