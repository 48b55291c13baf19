#include "program/terminal.hpp"

#include "output/text.hpp"

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <iostream>
#include <unistd.h>

namespace tq::program {

bool is_terminal(Stream stream) {
  const char* kind = std::getenv("TERM");
  return isatty(static_cast<int>(stream)) != 0 && kind != nullptr && std::string_view(kind) != "dumb";
}

bool may_colour(Stream stream, bool no_color) {
  const char* unwanted = std::getenv("NO_COLOR");
  return !no_color && (unwanted == nullptr || *unwanted == '\0') && is_terminal(stream);
}

std::string one_line(std::string_view text) {
  std::string line;
  bool blank = true; // leading blanks are dropped too
  for (const char c : output::clean_utf8(text)) {
    const bool is_blank = c == ' ' || c == '\n' || c == '\t';
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

namespace {
/// Length of one of the program's own colour codes at the start of `text`, or 0.
std::size_t colour_code(std::string_view text) {
  if (text.substr(0, 4) == "\x1b[0m")
    return 4;
  return text.size() >= 7 && text.substr(0, 5) == "\x1b[1;3" && text[5] >= '0' && text[5] <= '7' &&
                 text[6] == 'm'
             ? 7
             : 0;
}
} // namespace

CleanOutput::CleanOutput() : former_(std::cout.rdbuf(this)) {}

CleanOutput::~CleanOutput() {
  send(waiting_.size());
  std::cout.rdbuf(former_);
}

bool CleanOutput::send(std::size_t size) {
  const std::string_view raw = std::string_view(waiting_).substr(0, size);
  std::string clean;
  for (std::size_t at = 0; at < raw.size();) {
    if (const std::size_t code = colours_ ? colour_code(raw.substr(at)) : 0) {
      clean += raw.substr(at, code);
      at += code;
      continue;
    }
    const std::size_t next = std::min(raw.find('\x1b', at + 1), raw.size());
    clean += output::clean_utf8(raw.substr(at, next - at));
    at = next;
  }
  waiting_.erase(0, size);
  for (std::string_view left = clean; !left.empty();) {
    const ssize_t written = ::write(STDOUT_FILENO, left.data(), left.size());
    if (written < 0 && errno == EINTR)
      continue;
    if (written < 0) {
      reader_gone_ = errno == EPIPE;
      return false;
    }
    left.remove_prefix(static_cast<std::size_t>(written));
  }
  return true;
}

CleanOutput::int_type CleanOutput::overflow(int_type c) {
  const char one = traits_type::to_char_type(c);
  return traits_type::eq_int_type(c, traits_type::eof()) || xsputn(&one, 1) == 1 ? traits_type::not_eof(c)
                                                                                 : traits_type::eof();
}

std::streamsize CleanOutput::xsputn(const char* text, std::streamsize size) {
  constexpr std::size_t enough = 1 << 16;
  waiting_.append(text, static_cast<std::size_t>(size));
  // whole lines only, or a character might be cut in two
  const std::size_t line = waiting_.size() < enough ? std::string::npos : waiting_.rfind('\n');
  return line == std::string::npos || send(line + 1) ? size : 0;
}

int CleanOutput::sync() { return send(waiting_.size()) ? 0 : -1; }

} // namespace tq::program
