// Tables in the README.md files of tests, kept true by the test that computes them: after a change of the
// models, TQ_WRITE_TABLE=1 in front of the test writes them afresh.
#pragma once

#include "units/text.hpp"

#include <gtest/gtest.h>

#include <cstdarg>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <string>

namespace tq::test {

/// One line of a table.
[[gnu::format(printf, 1, 2)]] inline std::string line(const char* pattern, ...) {
  std::va_list values;
  va_start(values, pattern);
  const std::string text = units::formatted_list(pattern, values);
  va_end(values);
  return text + "\n";
}

/// Fails when the README in `folder` of the source tree does not hold the table `now`, known by its first
/// line.
inline void expect_in_readme(const std::string& folder, const std::string& now) {
  const std::string path = std::string(TQ_SOURCE_DIR) + "/" + folder + "/README.md";
  std::ifstream in(path);
  const std::string text{std::istreambuf_iterator<char>(in), {}};
  if (text.find(now) != std::string::npos)
    return;
  const std::size_t begin = text.find(now.substr(0, now.find('\n') + 1)), end = text.find("\n\n", begin);
  if (begin == std::string::npos || !std::getenv("TQ_WRITE_TABLE"))
    FAIL() << path << " has another table; TQ_WRITE_TABLE=1 brings it up to date:\n" << now;
  std::ofstream(path) << text.substr(0, begin) << now
                      << (end == std::string::npos ? "" : text.substr(end + 1));
}

} // namespace tq::test
