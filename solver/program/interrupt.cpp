#include "program/interrupt.hpp"

#include <atomic>
#include <csignal>

namespace tq::program {
namespace {

std::atomic<bool> asked_to_stop{false};
static_assert(std::atomic<bool>::is_always_lock_free, "a signal handler may only touch lock-free atomics");

} // namespace

extern "C" {
static void on_interrupt(int signal) {
  asked_to_stop = true;
  std::signal(signal, SIG_DFL);
}
}

InterruptWatch::InterruptWatch() {
  asked_to_stop = false;
  std::signal(SIGINT, on_interrupt);
}
InterruptWatch::~InterruptWatch() { std::signal(SIGINT, SIG_DFL); }
bool InterruptWatch::interrupted() const { return asked_to_stop; }

} // namespace tq::program
