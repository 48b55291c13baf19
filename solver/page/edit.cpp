#include "page/edit.hpp"

#include "records/document.hpp"
#include "units/text.hpp"

#include <map>
#include <optional>
#include <vector>

namespace tq::page {
namespace {

std::string bare(std::string_view text) { return std::string(units::trimmed(text, " \t\r")); }

/// Goes through a value from `at` on: behind its last character. Quotes of all kinds, brackets over lines.
std::size_t end_of_value(std::string_view text, std::size_t at) {
  int depth = 0;
  std::size_t last = at;
  while (at < text.size()) {
    const char c = text[at];
    if (c == '"' || c == '\'') {
      const bool triple = text.substr(at, 3) == std::string(3, c);
      const std::string close(triple ? 3 : 1, c);
      at += close.size();
      while (at < text.size() && text.substr(at, close.size()) != close) {
        if (!triple && text[at] == '\n')
          return last; // no closing quote: the line is all there is
        at += c == '"' && text[at] == '\\' ? 2 : 1;
      }
      at = std::min(at + close.size(), text.size());
      last = at;
      continue;
    }
    if (c == '#') {
      if (depth == 0)
        return last;
      at = std::min(text.find('\n', at), text.size());
      continue;
    }
    if (c == '\n' && depth == 0)
      return last;
    depth += c == '[' || c == '{' ? 1 : c == ']' || c == '}' ? -1 : 0;
    ++at;
    if (c != ' ' && c != '\t' && c != '\r' && c != '\n')
      last = at;
  }
  return last;
}

struct KeyLine {
  std::string path;
  std::size_t line_from, value_from, value_to, line_to; ///< line_to: behind its newline
};
struct Heading {
  std::string path;
  std::size_t from, keys_to; ///< keys_to: behind the last key of its own
  int keys = 0;
};
struct Map {
  std::vector<KeyLine> entries;
  std::vector<Heading> headings; ///< the root first
};

std::size_t behind_newline(std::string_view text, std::size_t at) {
  const auto end = text.find('\n', at);
  return end == std::string_view::npos ? text.size() : end + 1;
}

Map map_of(std::string_view text) {
  Map map;
  map.headings.push_back({"", 0, 0});
  std::map<std::string, int> elements; // of arrays of tables so far
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t from = at, next = behind_newline(text, at);
    const std::string line = bare(text.substr(from, next - from));
    if (line.empty() || line[0] == '#' || line == "\n") {
      at = next;
      continue;
    }
    if (line[0] == '[') {
      const bool array = line.compare(0, 2, "[[") == 0;
      const auto close = line.find(']');
      std::string name = bare(std::string_view(line).substr(array ? 2 : 1, close - (array ? 2 : 1)));
      // the elements that this table is in
      std::string path;
      for (std::size_t begin = 0; begin <= name.size();) {
        const std::size_t dot = std::min(name.find('.', begin), name.size());
        path += (path.empty() ? "" : ".") + bare(std::string_view(name).substr(begin, dot - begin));
        begin = dot + 1;
        const bool whole = begin > name.size();
        if (whole && array)
          path += "[" + std::to_string(++elements[path]) + "]";
        else if (const auto in = elements.find(path); in != elements.end())
          path += "[" + std::to_string(in->second) + "]";
      }
      map.headings.push_back({path, from, next});
      at = next;
      continue;
    }
    const auto equals = text.find('=', from);
    if (equals == std::string_view::npos || equals >= next) {
      at = next; // no key: the reader will say so
      continue;
    }
    std::size_t value = equals + 1;
    while (value < text.size() && (text[value] == ' ' || text[value] == '\t'))
      ++value;
    const std::size_t to = std::max(value, end_of_value(text, value)), line_to = behind_newline(text, to);
    Heading& in = map.headings.back();
    map.entries.push_back({(in.path.empty() ? "" : in.path + ".") + bare(text.substr(from, equals - from)),
                           from, value, to, line_to});
    in.keys_to = line_to;
    ++in.keys;
    at = line_to;
  }
  return map;
}

/// "blade.station" of "blade.station[2]".
std::string without_number(const std::string& path) {
  const auto bracket = path.rfind('[');
  return !path.empty() && path.back() == ']' ? path.substr(0, bracket) : path;
}

} // namespace

std::string edited(std::string_view given, const std::string& path, const std::string& value) {
  std::string text(given);
  const Map map = map_of(text);
  const auto dot = path.rfind('.');
  const std::string table = dot == std::string::npos ? "" : path.substr(0, dot),
                    key = dot == std::string::npos ? path : path.substr(dot + 1);
  const KeyLine* there = nullptr;
  for (const KeyLine& entry : map.entries) {
    if (entry.path == path)
      there = &entry;
    else if (entry.path == without_number(table) ||
             (!table.empty() && table.compare(0, entry.path.size() + 1, entry.path + ".") == 0))
      throw records::InputError("case: " + path + ": the table " + entry.path +
                                " stands on one line; change it in the text of the case");
  }
  if (there != nullptr && !value.empty())
    return text.replace(there->value_from, there->value_to - there->value_from, value);
  if (there != nullptr) {
    text.erase(there->line_from, there->line_to - there->line_from);
    return text;
  }
  if (value.empty())
    return text;
  const std::string line = key + " = " + value + "\n";
  for (const Heading& heading : map.headings)
    if (heading.path == table) {
      std::size_t at = heading.keys_to;
      if (at > 0 && text[at - 1] != '\n')
        text.insert(at++, "\n");
      return text.insert(at, line);
    }
  if (!text.empty() && text.back() != '\n')
    text += '\n';
  const std::string name = without_number(table);
  std::string plain;
  for (std::size_t i = 0; i < name.size(); ++i) { // numbers within the name go by the order of the headings
    if (name[i] == '[')
      i = std::min(name.find(']', i), name.size() - 1);
    else
      plain += name[i];
  }
  const bool array = name != table;
  return text + "\n" + (array ? "[[" : "[") + plain + (array ? "]]" : "]") + "\n" + line;
}

std::string without_table(std::string_view given, const std::string& path) {
  std::string text(given);
  const std::vector<Heading> headings = map_of(text).headings;
  // from the last one, so that places before it stay
  for (std::size_t k = headings.size(); k-- > 1;)
    if (headings[k].path == path || headings[k].path.compare(0, path.size() + 1, path + ".") == 0)
      text.erase(headings[k].from,
                 (k + 1 < headings.size() ? headings[k + 1].from : text.size()) - headings[k].from);
  return text;
}

std::map<std::string, std::string> values_of(std::string_view text) {
  std::map<std::string, std::string> out;
  for (const KeyLine& entry : map_of(text).entries)
    out[entry.path] = std::string(text.substr(entry.value_from, entry.value_to - entry.value_from));
  return out;
}

} // namespace tq::page
