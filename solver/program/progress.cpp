#include "program/progress.hpp"

#include <algorithm>
#include <cstdio>

namespace tq::program {
namespace {
constexpr auto silent_for = std::chrono::milliseconds(300); ///< runs shorter than this show nothing
constexpr auto redraw_every = std::chrono::milliseconds(100);
} // namespace

ProgressLine::ProgressLine(Style style) : style_(style) {}

void ProgressLine::wipe() {
  if (!on_screen_)
    return;
  std::fputs("\r\033[K", stderr);
  std::fflush(stderr);
  on_screen_ = false;
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
