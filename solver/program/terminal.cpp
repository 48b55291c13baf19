#include "program/terminal.hpp"

#include <cstdlib>
#include <sys/ioctl.h>
#include <unistd.h>

namespace tq::program {

bool is_terminal(Stream stream) {
  const char* kind = std::getenv("TERM");
  return isatty(static_cast<int>(stream)) != 0 && kind != nullptr && std::string_view(kind) != "dumb";
}

std::size_t terminal_columns(Stream stream) {
  constexpr std::size_t usual = 80;
  winsize size{};
  return ioctl(static_cast<int>(stream), TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : usual;
}

bool may_colour(Stream stream, bool no_color) {
  const char* unwanted = std::getenv("NO_COLOR");
  return !no_color && (unwanted == nullptr || *unwanted == '\0') && is_terminal(stream);
}

std::string one_line(std::string_view text) {
  std::string line;
  bool blank = true; // leading blanks are dropped too
  for (const char c : text) {
    const bool is_blank = c == ' ' || static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
    if (!is_blank)
      line += c;
    else if (!blank)
      line += ' ';
    blank = is_blank;
  }
  while (!line.empty() && line.back() == ' ')
    line.pop_back();
  return line;
}

} // namespace tq::program
