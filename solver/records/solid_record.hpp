// What the program knows about a solid that is put on a blade: clay, or the metal of plates.
#pragma once

#include "records/provenance.hpp"

#include <string>
#include <vector>

namespace tq::records {

struct SolidRecord {
  std::string key;
  std::string name;
  std::string description;
  double density_kg_m3 = 0;
  double specific_heat_J_kgK = 0;
  double conductivity_W_mK = 0;
  /// Conductance between the blade's face and this solid [W/m2K]; 0 = sticks to it without resistance.
  double contact_W_m2K = 0;
  double contact_factor = 1; ///< that conductance may be this factor off, either way
  std::vector<Provenance> provenance;
};

} // namespace tq::records
