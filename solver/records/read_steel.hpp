// Reads steel records (materials/steels/*.toml) and the shared constituents (materials/phases.toml).
// materials/README.md describes the files.
#pragma once

#include "records/document.hpp"
#include "records/steel_record.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace tq::records {

/// Reads the constituents of steel. Conductivity and heat capacity may be given at any number of
/// temperatures; the straight line through them (least squares) is kept. `file` is for messages.
/// `provenance`, when given, receives one entry per value. Throws InputError.
Phases read_phases(std::string_view text, std::string file, std::vector<Provenance>* provenance = nullptr);

/// Reads one steel; what it does not say about its constituents comes from `phases`. The key is the stem of
/// `file`. An inert steel (`inert = true`) has only density, conductivity, specific_heat and,
/// where it is to take up latent heat all the same, latent_heat over temperature. Unknown keys and values
/// without a source are errors. Throws InputError.
SteelRecord read_steel(std::string_view text, std::string file, const Phases& phases);

} // namespace tq::records
