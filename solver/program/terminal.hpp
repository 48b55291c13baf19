// What the standard streams can show.
#pragma once

#include <cstddef>
#include <streambuf>
#include <string>
#include <string_view>

namespace tq::program {

enum class Stream : int { out = 1, err = 2 };

/// True when the stream is a terminal that understands control codes.
bool is_terminal(Stream stream);
/// True when the stream may be coloured: a terminal, NO_COLOR unset or empty, no --no-color.
bool may_colour(Stream stream, bool no_color);

/// One line for standard error: `text` with line ends and control characters replaced by blanks, and without
/// what turns the direction of writing.
std::string one_line(std::string_view text);

/// While it lives, all that goes to std::cout passes output::clean_utf8() on its way to standard output, so
/// that no text of a case, a record or a file name reaches the terminal's controls, whichever command prints
/// it. The program's own colours pass when `colours`.
class CleanOutput : public std::streambuf {
 public:
  CleanOutput();
  ~CleanOutput() override;
  CleanOutput(const CleanOutput&) = delete;
  CleanOutput& operator=(const CleanOutput&) = delete;

  void let_colours_pass() { colours_ = true; }
  /// The reader of the pipe has gone (as `| head` does): not an error, there is nobody to tell.
  bool reader_gone() const { return reader_gone_; }

 protected:
  int_type overflow(int_type c) override;
  std::streamsize xsputn(const char* text, std::streamsize size) override;
  int sync() override;

 private:
  bool send(std::size_t size);

  std::streambuf* former_;
  std::string waiting_;
  bool colours_ = false, reader_gone_ = false;
};

} // namespace tq::program
