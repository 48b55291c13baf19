// Reads a wrapping foil from TOML (materials/foils/*.toml or a user's own file).
#pragma once

#include "records/foil_record.hpp"

#include <string>
#include <string_view>

namespace tq::records {

/// The record in `text`; `file` is named in messages and its stem becomes the key. Every value is wanted and
/// carries its source. Throws InputError.
FoilRecord read_foil(std::string_view text, std::string file);

} // namespace tq::records
