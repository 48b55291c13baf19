// Progress on standard error: one line redrawn on a terminal, one line per tenth elsewhere. Silent for runs
// that are over at once.
#pragma once

#include <chrono>

namespace tq::program {

class ProgressLine {
 public:
  enum class Style { none, lines, redrawn };
  explicit ProgressLine(Style style);
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;
  ~ProgressLine() { wipe(); }

  /// Takes a redrawn line off the screen, so that something else can be written there.
  void wipe();

  /// `what` is being computed.
  void show(double share, const char* what);

 private:
  using Clock = std::chrono::steady_clock;
  Style style_;
  Clock::time_point start_ = Clock::now();
  Clock::time_point drawn_{};
  int tenth_ = 0;
  bool on_screen_ = false;
};

} // namespace tq::program
