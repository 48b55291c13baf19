#include "output/text.hpp"

#include "records/characters.hpp"

#include <algorithm>
#include <cmath>

namespace tq::output {
namespace {

bool starts_code_point(char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }

} // namespace

std::size_t columns(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), starts_code_point));
}

std::string padded(std::string_view text, std::size_t width, bool right_aligned) {
  const std::size_t have = columns(text);
  const std::string blanks(width > have ? width - have : 0, ' ');
  return right_aligned ? blanks + std::string(text) : std::string(text) + blanks;
}

std::vector<std::string> folded(std::string_view text, std::size_t width) {
  std::vector<std::string> lines;
  std::string line;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t from = text.find_first_not_of(" \n\t\r", at);
    if (from == std::string_view::npos)
      break;
    const std::size_t to = std::min(text.find_first_of(" \n\t\r", from), text.size());
    std::string word(text.substr(from, to - from));
    at = to;
    if (!line.empty() && columns(line) + 1 + columns(word) > width) {
      lines.push_back(line);
      line.clear();
    }
    while (columns(word) > width) {
      std::size_t cut = 0;
      for (std::size_t count = 0; cut < word.size(); ++cut)
        if (starts_code_point(word[cut]) && count++ == width)
          break;
      lines.push_back(word.substr(0, cut));
      word.erase(0, cut);
    }
    line += (line.empty() ? "" : " ") + word;
  }
  if (!line.empty() || lines.empty())
    lines.push_back(line);
  return lines;
}

std::string clean_utf8(std::string_view text, bool keep_controls) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t at = 0; at < text.size();) {
    const records::Character c = records::character_at(text, at);
    if (c.length == 0 || (records::is_noncharacter(c.code) && !keep_controls))
      out += "\xEF\xBF\xBD";
    else if (c.code == 0 || (records::is_control(c.code) && !keep_controls))
      out += ' ';
    else if (keep_controls || !records::is_bidi_control(c.code))
      out += text.substr(at, c.length);
    at += std::max<std::size_t>(c.length, 1);
  }
  return out;
}

std::string xml_escaped(std::string_view text) {
  std::string out;
  for (const char c : clean_utf8(text))
    switch (c) {
    case '&':
      out += "&amp;";
      break;
    case '<':
      out += "&lt;";
      break;
    case '>':
      out += "&gt;";
      break;
    case '"':
      out += "&quot;";
      break;
    case '\'':
      out += "&#39;";
      break;
    default:
      out += c;
    }
  return out;
}

} // namespace tq::output
