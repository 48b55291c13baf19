// What a target promises of all that it reads, and of the messages that refuse it.
#pragma once

#include "records/document.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <string>

namespace tq::test {

/// A promise that was broken ends the program, as the fuzzer expects it.
inline void hold(bool promise, const char* what) {
  if (!promise) {
    std::fprintf(stderr, "broken promise: %s\n", what);
    std::abort();
  }
}

/// A message is printable text, one line for each thing that is wrong.
inline void check_message(const std::string& message, bool several_lines = false) {
  hold(!message.empty(), "a message says something");
  hold(several_lines || message.find('\n') == std::string::npos, "a message is one line");
  for (std::size_t from = 0, to = 0; from <= message.size(); from = to + 1) {
    to = std::min(message.find('\n', from), message.size());
    hold(to > from && to - from < 4000, "a line of a message is of sane length");
  }
}

/// Being refused with a message is no finding.
template <class Read>
void refused_or_read(const Read& read) {
  try {
    read();
  } catch (const records::InputError& error) {
    check_message(error.what(), true);
  } catch (const units::QuantityError& error) {
    check_message(error.what());
  }
}

} // namespace tq::test
