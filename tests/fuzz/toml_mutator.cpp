#include "toml_mutator.hpp"

#include <array>
#include <random>
#include <vector>

namespace tq::test {
namespace {

std::vector<std::string> lines_of(std::string_view text) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    lines.emplace_back(text.substr(0, end));
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
  }
  return lines;
}

constexpr std::array values = {
    "0",
    "-1",
    "1e308",
    "-1e-308",
    "nan",
    "inf",
    "9223372036854775807",
    "true",
    "\"\"",
    "[]",
    "{}",
    "[[]]",
    "1979-05-27",
    "\"0 mm\"",
    "\"-3 mm\"",
    "\"1e9 mm\"",
    "\"3.2 mm\"",
    "\"1/8 in\"",
    "\"1/0 in\"",
    "\"0 s\"",
    "\"2 h\"",
    "\"1e12 h\"",
    "\"25 min\"",
    "\"800 degC\"",
    "\"-300 degC\"",
    "\"1475 degF\"",
    "\"1e5 K\"",
    "\"5 K\"",
    "\"60 HRC\"",
    "\"8 L\"",
    "\"O1\"",
    "\"water\"",
    "\"none\"",
    "\"flat\"",
    "\"hollow\"",
    "\"cold\"",
    "[0, 1, 2]",
    "[2, 1, 0]",
    "[\"1 mm\", \"2 mm\"]",
    "[nan]",
    "\"\\u0000\"",
    "\"\"\"x\"\"\"\"",
};
constexpr std::array units = {"mm",   "m", "in",  "um", "s",   "min", "h", "degC",
                              "degF", "K", "K/s", "L",  "HRC", "%",   ""};

} // namespace

std::string mutated_toml(std::string_view text, std::uint64_t seed) {
  std::mt19937_64 bits(seed);
  const auto below = [&](std::size_t n) { return static_cast<std::size_t>(bits() % (n ? n : 1)); };
  std::vector<std::string> lines = lines_of(text);
  if (lines.empty())
    lines.emplace_back("format = 1");
  const std::size_t at = below(lines.size()), other = below(lines.size());
  const std::size_t equals = lines[at].find('=');
  switch (below(11)) {
  case 0: // a line is lost
    lines.erase(lines.begin() + static_cast<std::ptrdiff_t>(at));
    break;
  case 1: // or stands twice
    lines.insert(lines.begin() + static_cast<std::ptrdiff_t>(at), lines[at]);
    break;
  case 2: // or elsewhere
    lines.insert(lines.begin() + static_cast<std::ptrdiff_t>(other), std::string(lines[at]));
    break;
  case 3: // two change places
    std::swap(lines[at], lines[other]);
    break;
  case 4: // another value
  case 5:
    if (equals != std::string::npos)
      lines[at] = lines[at].substr(0, equals + 1) + " " + values[below(values.size())];
    break;
  case 6: // the value of another key
    if (const std::size_t theirs = lines[other].find('=');
        equals != std::string::npos && theirs != std::string::npos)
      lines[at] = lines[at].substr(0, equals) + lines[other].substr(theirs);
    break;
  case 7: { // a digit
    std::vector<std::size_t> digits;
    for (std::size_t i = 0; i < lines[at].size(); ++i)
      if (lines[at][i] >= '0' && lines[at][i] <= '9')
        digits.push_back(i);
    if (!digits.empty())
      lines[at][digits[below(digits.size())]] = static_cast<char>('0' + below(10));
    break;
  }
  case 8: // another unit
    if (const std::size_t blank = lines[at].rfind(' '), quote = lines[at].rfind('"');
        equals != std::string::npos && blank > equals + 1 && quote != std::string::npos && quote > blank)
      lines[at] = lines[at].substr(0, blank + 1) + units[below(units.size())] + lines[at].substr(quote);
    break;
  case 9: // a heading becomes one of several, or the other way round
    if (lines[at].rfind("[[", 0) == 0)
      lines[at] = lines[at].substr(1, lines[at].size() - 2);
    else if (lines[at].rfind('[', 0) == 0)
      lines[at] = "[" + lines[at] + "]";
    break;
  default: // cut off
    if (!lines[at].empty())
      lines[at].resize(below(lines[at].size()));
    break;
  }
  std::string out;
  for (const std::string& line : lines)
    out += line + "\n";
  return out;
}

} // namespace tq::test
