// Reads a solid put on a blade from TOML (materials/solids/*.toml or a user's own file).
#pragma once

#include "records/solid_record.hpp"

#include <string>
#include <string_view>

namespace tq::records {

/// The record in `text`; `file` is named in messages and its stem becomes the key. All values but those of
/// `contact` are wanted, each carries its source. Throws InputError.
SolidRecord read_solid(std::string_view text, std::string file);

} // namespace tq::records
