// What the program knows about one wrapping foil.
#pragma once

#include "records/provenance.hpp"

#include <string>
#include <vector>

namespace tq::records {

struct FoilRecord {
  std::string key;
  std::string name;
  std::string description;
  double thickness_m = 0; ///< usual thickness of one layer
  double density_kg_m3 = 0;
  double conductivity_W_mK = 0; ///< along the foil
  double specific_heat_c0 = 0;  ///< c = c0 + c1 T [J/kgK], T in degC
  double specific_heat_c1 = 0;
  double emissivity_outside = 0; ///< towards the furnace
  double emissivity_inside = 0;  ///< towards the blade (and between layers)
  double gap_hand_folded_m = 0;  ///< default mean gap, hand folded
  double gap_pressed_m = 0;      ///< default mean gap, pressed on a flat face
  double gap_factor = 3;         ///< a factor either way
  double contact_fraction = 0;   ///< share of the area in real contact
  double contact_conductance_W_m2K = 0;
  double service_limit_degC = 0; ///< above this the foil is out of its use
  std::vector<Provenance> provenance;
};

} // namespace tq::records
