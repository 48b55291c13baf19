// Figures into text, for all rooms: printf that returns a string.
#pragma once

#include <cstdarg>
#include <string>

namespace tq::units {

/// printf into a string of whatever length; the compiler checks the pattern against the arguments.
[[gnu::format(printf, 1, 2)]] std::string formatted(const char* pattern, ...);
/// The same for a function that has arguments of its own to hand on.
[[gnu::format(printf, 1, 0)]] std::string formatted_list(const char* pattern, std::va_list arguments);

} // namespace tq::units
