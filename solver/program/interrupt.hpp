// Ctrl-C while a case is computed: asks the solver to stop instead of killing the process. A second Ctrl-C
// kills.
#pragma once

namespace tq::program {

/// Watches for SIGINT while it lives.
class InterruptWatch {
 public:
  InterruptWatch();
  InterruptWatch(const InterruptWatch&) = delete;
  InterruptWatch& operator=(const InterruptWatch&) = delete;
  ~InterruptWatch();

  bool interrupted() const;
};

} // namespace tq::program
