// What the program knows about one steel. Plain SI numbers (temperatures in degC); the origin of each stands
// in `provenance`. Filled by read_steel() (records/read_steel.hpp) from text in materials/steels/*.toml.
#pragma once

#include "records/provenance.hpp"
#include "records/table.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tq::records {

/// Chemical composition [wt%].
struct Composition {
  double C = 0, Mn = 0, Si = 0, Cr = 0, Ni = 0, Mo = 0, W = 0, V = 0, Cu = 0, P = 0, S = 0;
};

/// Heat capacity and conductivity of one constituent, linear in temperature T [degC]:
/// c = c0 + c1 T [J/kgK], k = k0 + k1 T [W/mK].
struct PhaseProperties {
  double c0 = 0, c1 = 0, k0 = 0, k1 = 0;
};

/// Constituents of steel as the heat balance sees them (materials/phases.toml unless the steel overrides
/// them).
struct Phases {
  PhaseProperties austenite, pearlite, martensite; ///< pearlite also serves ferrite, spheroidite and bainite
  double latent_pearlite_J_kg = 0;                 ///< austenite -> pearlite at `latent_pearlite_at_degC`
  double latent_pearlite_at_degC = 0;
  double latent_bainite_J_kg = 0; ///< austenite -> bainite at `latent_bainite_at_degC`
  double latent_bainite_at_degC = 0;
  double latent_martensite_J_kg = 0; ///< austenite -> martensite at `latent_martensite_at_degC`
  double latent_martensite_at_degC = 0;
  double curie_heat_J_kg = 0;   ///< extra magnetic heat of the ferritic phases, released below Ac1
  double curie_from_degC = 0;   ///< the bell is a triangle of c(T) from here up to `curie_peak_degC`
  double curie_peak_degC = 0;   ///< and falls to zero again symmetrically
  double pearlite_exponent = 3; ///< Avrami exponent of pearlite after its start (steel/decomposition.hpp)
  double bainite_exponent = 3;  ///< the same of bainite
};

/// Start state of the bar, which sets how fast carbide dissolves.
enum class StartState { spheroidised, fine_pearlite };

/// Austenite formation and carbide solution on heating.
struct Austenitising {
  std::optional<double> ac1_degC;     ///< measured Ac1; otherwise Andrews 1965 from the composition
  std::optional<double> ac1_end_degC; ///< measured end of the transformation on slow heating (Ac1e or Ac3)
  double growth_time_s = 0; ///< first-order time constant of austenite formation at Ac1 + growth_above_K
  double growth_above_K = 0;
  double growth_halving_K = 0; ///< temperature step that halves the time constant
  double dissolution_time_spheroidised_s =
      0; ///< time constant of the approach to saturation at `dissolution_at_degC`
  double dissolution_time_fine_s = 0; ///< the same for fine pearlite
  double dissolution_at_degC = 0;
  double dissolution_energy_J_mol = 0;
  double carbon_wanted_wt = 0;                           ///< least carbon in solution for a sound soak
  double hardening_from_degC = 0, hardening_to_degC = 0; ///< usual hardening temperatures
  double soak_from_s = 0, soak_to_s = 0;                 ///< usual soak at temperature
  double asked_soak_s = 0;                               ///< default when the case asks for none
};

/// Decomposition of austenite on cooling (Li 1998 form, see steel/transformation.hpp) and martensite.
struct Transformation {
  double pearlite_factor = 1;     ///< multiplies F_pearlite (times), belongs to `grain_number`
  double bainite_factor = 1;      ///< multiplies F_bainite
  double factor_uncertainty = 2;  ///< a factor either way on the times of pearlite
  double bainite_uncertainty = 2; ///< the same for bainite; as for pearlite when the record does not say
  double grain_number = 9;        ///< ASTM grain number G used in the rate
  Composition matrix;     ///< alloy content of the austenite (carbides hold some); C here is only a reference
  double ms_offset_K = 0; ///< added to the Ms formula
  double km_alpha_per_K = 0.011; ///< Koistinen-Marburger coefficient at the carbon of `matrix`
};

/// Hardness of constituents [HV]; martensite from carbon in solution by formula (steel/hardness.hpp).
struct ConstituentHardness {
  double pearlite_HV = 0, bainite_HV = 0, ferrite_HV = 0, cementite_HV = 0, retained_austenite_HV = 0;
  double martensite_offset_HV = 0; ///< added to the formula for fresh martensite
};

/// Published hardness after tempering.
struct TemperCurve {
  double hj_constant_h = 0;             ///< Hollomon-Jaffe constant with time in hours
  double hold_s = 0;                    ///< hold time of the table
  double as_quenched_HRC = 0;           ///< hardness at which the curve starts
  std::vector<double> temperature_degC; ///< ascending
  std::vector<double> hardness_HRC;
  double uncertainty_HRC = 1;
  /// Beyond the table, ascending from behind its last point: the composition model joined to it
  /// (steel::beyond_table()); empty when nobody asked the model.
  std::vector<double> beyond_degC, beyond_HRC, beyond_uncertainty_HRC;
};

struct SteelRecord {
  std::string key;         ///< file stem, the name used in cases, for example "O1"
  std::string designation; ///< standard designation(s)
  std::string description;
  double density_kg_m3 = 0;
  bool inert = false;        ///< no transformation: only the two tables below are used
  Table conductivity_W_mK;   ///< inert steels: k over T [degC], linear between points
  Table specific_heat_J_kgK; ///< inert steels: c over T [degC], linear between points
  Composition composition;   ///< bulk
  Phases phases;
  Austenitising austenitising;
  Transformation transformation;
  ConstituentHardness hardness;
  TemperCurve temper;
  double brittle_from_degC = 0, brittle_to_degC = 0; ///< tempered-martensite embrittlement range
  std::vector<Provenance> provenance;
};

} // namespace tq::records
