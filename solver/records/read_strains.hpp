// Reads materials/strains.toml.
#pragma once

#include "records/strain_record.hpp"

#include <string>
#include <string_view>

namespace tq::records {

/// The record in `text`; `file` is named in messages. All values are wanted. Throws InputError.
StrainRecord read_strains(std::string_view text, std::string file);

} // namespace tq::records
