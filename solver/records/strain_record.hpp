// What a quench does to the length of steel: expansion, growth on transforming, stiffness, yielding.
#pragma once

#include "records/provenance.hpp"
#include "records/table.hpp"

#include <vector>

namespace tq::records {

/// Half of the 90 % band of an input of the bow, as a share of the input.
struct StrainSpread {
  double expansion = 0, volume = 0, yield_austenite = 0, yield_product = 0, plasticity = 0;
  double flank_cooling = 0; ///< heat transfer of one flank against the other
};

/// "Product": everything that is no austenite.
struct StrainRecord {
  double expansion_austenite_per_K = 0;
  Table expansion_product_per_K; ///< mean coefficient from 20 degC over temperature [degC]
  /// Growth of the volume on transforming at 20 degC, 0..1: at_no_carbon + per_carbon C, C in wt%.
  double volume_at_no_carbon = 0;
  double volume_martensite_per_carbon = 0, volume_bainite_per_carbon = 0, volume_pearlite_per_carbon = 0;
  Table modulus_austenite_Pa, modulus_product_Pa; ///< over temperature [degC]
  Table yield_austenite_Pa, yield_martensite_Pa, yield_bainite_Pa, yield_pearlite_Pa;
  double plasticity_per_Pa = 0; ///< strain per stress left by a complete transformation
  StrainSpread spread;
  std::vector<Provenance> provenance;
};

} // namespace tq::records
