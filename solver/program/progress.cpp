#include "program/progress.hpp"

#include "output/text.hpp"
#include "program/terminal.hpp"

#include <algorithm>
#include <cstdio>

namespace tq::program {
namespace {
constexpr auto silent_for = std::chrono::milliseconds(300); ///< runs shorter than this show nothing
constexpr auto redraw_every = std::chrono::milliseconds(100);
} // namespace

ProgressLine::ProgressLine(Style style) : style_(style) {}

ProgressLine::~ProgressLine() {
  if (on_screen_)
    std::fputs("\r\033[K", stderr);
  if (!preview_.empty()) { // a window made narrower since has folded it
    const std::size_t width = terminal_columns(Stream::err);
    const std::size_t rows = (output::columns(preview_) + width - 1) / width;
    std::fprintf(stderr, "\033[%zuA\r\033[J", rows);
  }
}

void ProgressLine::preview(std::string text) {
  if (style_ != Style::redrawn)
    return;
  while (!text.empty() && text.back() == '\n')
    text.pop_back();
  const std::size_t width = terminal_columns(Stream::err);
  while (output::columns(text) >=
         width) { // the last column stays free: some terminals fold when it is written
    while (!text.empty() && (static_cast<unsigned char>(text.back()) & 0xC0) == 0x80)
      text.pop_back(); // a letter's later bytes
    if (!text.empty())
      text.pop_back();
  }
  if (text.empty())
    return;
  std::fprintf(stderr, "\r\033[K%s\n", text.c_str());
  std::fflush(stderr);
  preview_ = text;
}

void ProgressLine::show(double share, const char* what) {
  const auto now = Clock::now();
  if (style_ == Style::none || now - start_ < silent_for)
    return;
  const int percent = std::clamp(static_cast<int>(100 * share), 0, 100);
  if (style_ == Style::redrawn && now - drawn_ >= redraw_every) {
    std::fprintf(stderr, "\r\033[K%3d %%  %s", percent, what);
    std::fflush(stderr);
    drawn_ = now;
    on_screen_ = true;
  } else if (style_ == Style::lines && percent / 10 > tenth_) {
    tenth_ = percent / 10;
    std::fprintf(stderr, "thinquench: %d %% (%s)\n", tenth_ * 10, what);
  }
}

} // namespace tq::program
