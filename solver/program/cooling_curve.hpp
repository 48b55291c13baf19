// A cooling curve as a logger wrote it.
#pragma once

#include "surroundings/probe_inverse.hpp"

#include <string>
#include <string_view>

namespace tq::program {

/// Readings from `immersed_s` on, times counted from there: CSV with a column `time` (s, min or ms in its
/// heading, or in each cell) and one `temperature`. `path` is for messages. Throws records::InputError when a
/// cell cannot be read, times do not ascend, a temperature lies outside -50 to 1300 degC or fewer than 20
/// readings are left.
surroundings::TraceReadings read_trace(std::string_view text, const std::string& path, double immersed_s);

} // namespace tq::program
