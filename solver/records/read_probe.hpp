// Reads the record of a quenching probe or of a material for coupons (TOML, materials/probes).
#pragma once

#include "records/probe_record.hpp"

#include <string>
#include <string_view>

namespace tq::records {

/// `file` gives the key (its stem) and stands in messages. Throws InputError.
ProbeRecord read_probe(std::string_view text, std::string file);

} // namespace tq::records
