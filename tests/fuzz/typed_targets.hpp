// What is typed beside a case: plans of sweeps, settings laid on a case, readings of a blade.
#pragma once

#include <string_view>

namespace tq::test {

/// A plan; a table that it names holds what stands behind the first byte 0 of the text.
void read_as_plan(std::string_view text);
/// Lines of `key=value`, as --set takes them, on a shipped case.
void read_as_settings(std::string_view text);
/// Lines in the order of the questions of `note`.
void read_as_readings(std::string_view text);

} // namespace tq::test
