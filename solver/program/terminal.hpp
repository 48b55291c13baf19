// What the standard streams can show.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace tq::program {

enum class Stream : int { out = 1, err = 2 };

/// True when the stream is a terminal that understands control codes.
bool is_terminal(Stream stream);
/// Columns of the terminal that the stream is; 80 when it does not say.
std::size_t terminal_columns(Stream stream);
/// True when the stream may be coloured: a terminal, NO_COLOR unset or empty, no --no-color.
bool may_colour(Stream stream, bool no_color);

/// One line for standard error: `text` with line ends and control characters replaced by blanks.
std::string one_line(std::string_view text);

} // namespace tq::program
