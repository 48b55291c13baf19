// Reads materials/typical_faults.toml.
#pragma once

#include "records/fault_record.hpp"

#include <string>
#include <string_view>

namespace tq::records {

/// Throws InputError.
FaultRecord read_faults(std::string_view text, std::string file);

} // namespace tq::records
