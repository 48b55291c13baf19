// What the program knows about one quenching medium (oil, water, still air).
#pragma once

#include "records/provenance.hpp"
#include "records/table.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tq::records {

/// What an h(T) table is. `local`: h of the surface against the local surface temperature (inverse solution).
/// `lumped`: effective value from the centre of a probe. The two differ by a factor of about two at the peak.
enum class HtcKind { local, lumped };
enum class CoolantKind { oil, water, air };

/// One row of the corrections for bath temperature or agitation, each relative to the table as given:
/// multipliers of the film-boiling, peak and convection stages and a shift of the end of the vapour blanket.
struct StageCorrection {
  double at = 0; ///< bath temperature [degC] or agitation velocity [m/s]
  double film = 1, peak = 1, convection = 1;
  double blanket_shift_K = 0; ///< added to the temperature at which the vapour blanket ends
};

struct CoolantRecord {
  std::string key;
  std::string name;
  std::string description;
  CoolantKind kind = CoolantKind::oil;
  HtcKind htc_kind = HtcKind::local;
  Table htc_W_m2K;                     ///< h over surface temperature [degC]; empty for still air (computed)
  Table htc_low_W_m2K, htc_high_W_m2K; ///< its pointwise 90 % band on the same points; empty when not stated
  double table_bath_degC = 0;          ///< bath temperature the table belongs to
  double blanket_end_degC = 0;         ///< end of the vapour blanket (surface) in the table
  double convection_start_degC = 0; ///< below this surface temperature the table is in its convection stage
  std::vector<StageCorrection> by_bath_temperature; ///< ascending in `at`
  std::vector<StageCorrection> by_agitation;        ///< ascending in `at`; first row at 0 m/s
  /// How far each change by these rows may be off, as a share of it.
  double by_bath_uncertainty = 0.5, by_agitation_uncertainty = 0.5;
  double h_uncertainty = 0.4;       ///< relative
  double blanket_uncertainty_K = 0; ///< of the end of the vapour blanket
  double density_kg_m3 = 0;
  double specific_heat_J_kgK = 0;
  std::optional<double> flash_degC; ///< closed/open cup as the source says; none for water and air
  std::optional<double> smoke_degC;
  double recommended_from_degC = 0, recommended_to_degC = 0; ///< bath temperature window
  std::vector<Provenance> provenance;
};

} // namespace tq::records
