// What stands above everything said here; beside the first verdict of every output.
#pragma once

namespace tq::answers {

inline constexpr const char* local_codes =
    "Local fire and workplace codes and licensed practice come before anything said here.";

} // namespace tq::answers
