// Small tools for text, for all rooms: printf that returns a string, blanks and case.
#pragma once

#include <cstdarg>
#include <string>
#include <string_view>

namespace tq::units {

/// printf into a string of whatever length; the compiler checks the pattern against the arguments.
[[gnu::format(printf, 1, 2)]] std::string formatted(const char* pattern, ...);
/// The same for a function that has arguments of its own to hand on.
[[gnu::format(printf, 1, 0)]] std::string formatted_list(const char* pattern, std::va_list arguments);

/// Without the blanks at both ends; a part of `text`.
std::string_view trimmed(std::string_view text, std::string_view blanks = " \t\r\n");

/// Letters of ASCII in the other case, everything else as it is, whatever the language of the machine.
std::string lower_case(std::string_view ascii);
std::string upper_case(std::string_view ascii);

} // namespace tq::units
