// compare --steels: the same blade, foil and bath in several steels side by side.
#pragma once

#include "program/interrupt.hpp"
#include "program/material_library.hpp"
#include "program/open_case.hpp"
#include "program/options.hpp"
#include "program/thread_pool.hpp"

#include <string>
#include <vector>

namespace tq::program {

/// Prints the table, or its JSON. Each steel is hardened from the middle of its usual range with the timer
/// that gives it the soak (its usual one where the case states none), and tempered at the oven that leaves
/// the middle of the wished hardness; the rest is as in the case. Throws UsageError, records::InputError,
/// treatment::Interrupted.
void compare_steels(const Options& options, const OpenedCase& opened, const MaterialLibrary& library,
                    const std::vector<std::string>& steels, const InterruptWatch& watch,
                    ThreadPool& executor);

} // namespace tq::program
