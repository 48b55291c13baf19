// A body with a thermocouple at its centre that is quenched to measure a bath: its shape and its material.
#pragma once

#include "records/provenance.hpp"
#include "records/table.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tq::records {

/// Heat flows in one direction: across a plate, or along the radius of a cylinder or sphere.
enum class BodyShape { plate, cylinder, sphere };

/// Size and start of a standard probe.
struct ProbeBody {
  BodyShape shape = BodyShape::cylinder;
  double thickness_m = 0; ///< of the plate, or the diameter
  double start_degC = 0;  ///< at which it is quenched
};

struct ProbeRecord {
  std::string key;
  std::string name;
  std::string description;
  std::optional<ProbeBody> body; ///< none: a material for coupons of any size
  double sensor_lag_s = 0;       ///< time constant of the thermocouple
  double density_kg_m3 = 0;
  Table conductivity_W_mK;   ///< over temperature [degC]
  Table specific_heat_J_kgK; ///< over temperature [degC]
  // Standard deviations: of the lag, and relative ones of the two tables as a whole.
  double sensor_lag_spread_s = 0, conductivity_spread = 0, specific_heat_spread = 0;
  std::vector<Provenance> provenance;
};

} // namespace tq::records
