// Reads a quenching medium from TOML (materials/coolants/*.toml or a user's own file).
#pragma once

#include "records/coolant_record.hpp"

#include <string>
#include <string_view>

namespace tq::records {

/// The record in `text`; `file` is named in messages and its stem becomes the key. Throws InputError.
///
/// Wanted of an oil or water: `kind`, and [heat_transfer] with `kind`, `interpolation`, `bath` and the
/// points; of air: `kind` only. Every value carries its source, its own or that of the head above it. Left
/// out, density and specific heat are those of the kind (said so in the provenance), the corrections are
/// none, flash and smoke point are not known, and the recommended window is 0 to 0 degC, which stands for
/// "none stated". Corrections must be none at the table's own bath temperature and at 0 m/s, and need
/// `convection_start` and `blanket_end`.
CoolantRecord read_coolant(std::string_view text, std::string file);

} // namespace tq::records
