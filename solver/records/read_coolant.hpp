// Reads a quenching medium from TOML (materials/coolants/*.toml or a user's own file).
#pragma once

#include "records/coolant_record.hpp"

#include <string>
#include <string_view>

namespace tq::records {

/// How long an oil has served; what that does to it stands in its record under [used] and [old].
enum class OilState { fresh, used, old };
/// "fresh", "used", "old"
const char* oil_state_name(OilState state);

/// The record in `text`; `file` is named in messages and its stem becomes the key. Throws InputError.
///
/// Wanted of an oil or water: `kind`, and [heat_transfer] with `kind`, `interpolation`, `bath` and the
/// points; of air: `kind` only. Every value carries its source, its own or that of the head above it. Left
/// out, density and specific heat are those of the kind (said so in the provenance), the corrections are
/// none, flash and smoke point are not known, and the recommended window is 0 to 0 degC, which stands for
/// "none stated". Corrections must be none at the table's own bath temperature and at 0 m/s, and need
/// `convection_start` and `blanket_end`.
/// [used] and [old] of an oil hold multipliers of its stages, how far flash and smoke point fall and its
/// wider h_uncertainty; the record comes with those of `state` in it, and throws when it has none.
CoolantRecord read_coolant(std::string_view text, std::string file, OilState state = OilState::fresh);

} // namespace tq::records
