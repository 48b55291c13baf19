// Tables of README.md beside this file, kept true: after a change of the models, TQ_WRITE_TABLE=1 test_steel
// writes them afresh.
#pragma once

#include "shipped.hpp"

#include <gtest/gtest.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>

namespace tq::steel {

/// One line of a table.
template <class... Values>
std::string line(const char* pattern, Values... values) {
  char text[400];
  std::snprintf(text, sizeof text, pattern, values...);
  return std::string(text) + "\n";
}

/// Fails when the README does not hold the table `now`, known by its first line.
inline void expect_in_readme(const std::string& now) {
  const std::string path = TQ_SOURCE_DIR "/tests/unit/steel/README.md";
  const std::string text = shipped::text_of(path);
  std::printf("%s", now.c_str());
  if (text.find(now) != std::string::npos)
    return;
  const std::string heading = now.substr(0, now.find('\n') + 1);
  const std::size_t begin = text.find(heading), end = text.find("\n\n", begin);
  if (begin == std::string::npos || end == std::string::npos || !std::getenv("TQ_WRITE_TABLE"))
    FAIL() << path << " has another table; bring it up to date: TQ_WRITE_TABLE=1";
  std::ofstream(path) << text.substr(0, begin) << now << text.substr(end + 1);
}

} // namespace tq::steel
