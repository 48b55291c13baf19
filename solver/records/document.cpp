#include "records/document.hpp"

#include "records/characters.hpp"
#include "records/plain_toml.hpp"
#include "records/tree.hpp"
#include "units/quantity.hpp"
#include "units/text.hpp"

#include <toml.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <deque>
#include <limits>
#include <mutex>
#include <random>
#include <sstream>
#include <utility>

namespace tq::records {

const Entry* Value::find(std::string_view key) const {
  for (const Entry& e : entries)
    if (e.key == key)
      return &e;
  return nullptr;
}

Entry* Value::find(std::string_view key) {
  return const_cast<Entry*>(static_cast<const Value*>(this)->find(key));
}

namespace {

/// Text fit for one line of a message: no control characters, not too long.
std::string clean(std::string_view text) {
  std::string out;
  for (char c : text)
    out += static_cast<unsigned char>(c) < 0x20 || c == 0x7f ? ' ' : c;
  constexpr std::size_t most = 80;
  if (out.size() > most) {
    std::size_t cut = most;
    while (cut > 0 && (static_cast<unsigned char>(out[cut]) & 0xC0) == 0x80)
      --cut;
    out = out.substr(0, cut) + "...";
  }
  return out;
}

std::string in_quotes(std::string_view text) { return "\"" + clean(text) + "\""; }

InputError refusal(std::string_view file, int line, std::string_view key, std::string_view message) {
  std::string out = std::string(file) + (line > 0 ? ":" + std::to_string(line) : "") + ": ";
  if (!key.empty())
    out += clean(key) + ": ";
  std::string body(message);
  std::replace_if(
      body.begin(), body.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; }, ' ');
  return {out + body, std::string(file), line};
}

[[noreturn]] void raise(std::string_view file, int line, std::string_view key, std::string_view message) {
  throw refusal(file, line, key, message);
}

// --- from toml11 to the tree -----------------------------------------------------------------------------

/// Offset in the text at which a value begins. toml11's own location() counts the lines before it, several
/// times over, which took a third of reading a case.
std::size_t offset_of(const toml::value& v) {
  const auto* region = dynamic_cast<const toml::detail::region*>(toml::detail::get_region(v));
  return region ? static_cast<std::size_t>(region->first() - region->begin()) : 0;
}

/// Lines of a text by offset.
class Lines {
 public:
  explicit Lines(std::string_view text) {
    for (std::size_t at = text.find('\n'); at != std::string_view::npos; at = text.find('\n', at + 1))
      ends_.push_back(at);
  }
  int at(std::size_t offset) const {
    return 1 + static_cast<int>(std::lower_bound(ends_.begin(), ends_.end(), offset) - ends_.begin());
  }

 private:
  std::vector<std::size_t> ends_;
};

Value convert(const toml::value& v, const std::shared_ptr<const std::string>& file, const Lines& lines) {
  Value out;
  out.file = file;
  out.line = lines.at(offset_of(v));
  switch (v.type()) {
  case toml::value_t::string:
    out.kind = Kind::text;
    out.text = v.as_string().str;
    break;
  case toml::value_t::integer:
    out.kind = Kind::integer;
    out.whole = v.as_integer();
    out.number = static_cast<double>(out.whole);
    break;
  case toml::value_t::floating:
    out.kind = Kind::real;
    out.number = v.as_floating();
    break;
  case toml::value_t::boolean:
    out.kind = Kind::boolean;
    out.flag = v.as_boolean();
    break;
  case toml::value_t::array:
    out.kind = Kind::array;
    for (const toml::value& item : v.as_array())
      out.items.push_back(convert(item, file, lines));
    break;
  case toml::value_t::table: {
    out.kind = Kind::table;
    std::vector<std::pair<std::size_t, const std::pair<const std::string, toml::value>*>> order;
    for (const auto& entry : v.as_table())
      order.push_back({offset_of(entry.second), &entry});
    std::sort(order.begin(), order.end(), [](const auto& a, const auto& b) {
      return a.first != b.first ? a.first < b.first : a.second->first < b.second->first;
    });
    for (const auto& [place, entry] : order)
      out.entries.push_back({entry->first, convert(entry->second, file, lines), false});
    break;
  }
  default: {
    out.kind = Kind::date;
    std::ostringstream text;
    text << v;
    out.text = text.str();
    break;
  }
  }
  return out;
}

/// Line `number` (from 1) of the text, trimmed.
std::string source_line(std::string_view text, int number) {
  std::size_t at = 0;
  for (int i = 1; i < number; ++i) {
    at = text.find('\n', at);
    if (at == std::string_view::npos)
      return {};
    ++at;
  }
  std::string_view line = text.substr(at, text.find('\n', at) - at);
  while (!line.empty() && (line.back() == '\r' || line.back() == ' ' || line.back() == '\t'))
    line.remove_suffix(1);
  while (!line.empty() && (line.front() == ' ' || line.front() == '\t'))
    line.remove_prefix(1);
  return std::string(line);
}

/// A value without the remark behind it.
std::string before_remark(const std::string& value) {
  return std::string(units::trimmed(std::string_view(value).substr(0, value.find('#')), " \t"));
}

/// The line numbers in the excerpt of a toml11 message.
std::vector<int> excerpt_lines(const std::string& message) {
  std::vector<int> out;
  std::istringstream in(message);
  std::string line;
  while (std::getline(in, line)) {
    std::size_t i = 0;
    while (i < line.size() && line[i] == ' ')
      ++i;
    const std::size_t from = i;
    while (i < line.size() && line[i] >= '0' && line[i] <= '9')
      ++i;
    if (i > from && i - from < 9 && line.compare(i, 2, " |") == 0)
      out.push_back(std::stoi(line.substr(from, i - from)));
  }
  return out;
}

/// Tells a toml11 syntax error in one line of plain words.
[[noreturn]] void raise_syntax(const std::string& message, std::string_view text, const std::string& file) {
  const std::vector<int> lines = excerpt_lines(message);
  int line = lines.empty() ? 1 : lines.back();
  const auto says = [&](std::string_view what) { return message.find(what) != std::string::npos; };
  if (says("already exists")) {
    const auto from = message.find("(\""), to = message.find("\")");
    const std::string key =
        from != std::string::npos && to != std::string::npos ? message.substr(from + 2, to - from - 2) : "";
    raise(file, line, key,
          "written twice (first in line " + std::to_string(lines.empty() ? 1 : lines.front()) +
              "); keep one of them");
  }
  if (says("parse_array") && !lines.empty())
    line = lines.front();
  const std::string source = source_line(text, line);
  const auto equals = source.find('=');
  const std::string key(
      equals == std::string::npos ? "" : units::trimmed(std::string_view(source).substr(0, equals), " \t"));
  const std::string value(
      equals == std::string::npos ? "" : units::trimmed(std::string_view(source).substr(equals + 1), " \t"));
  std::string what;
  if (says("parse_array"))
    what = "list without its closing ] or without a comma between two values";
  else if (says("missing value"))
    what = "no value after =; write key = value";
  else if (says("missing key-value separator"))
    what = in_quotes(source) + " has no =; write key = value, or [name] for a heading";
  else if (says("_string"))
    what = "text without its closing quote, or with a \\ that means nothing";
  else if (says("invalid line format") && !value.empty() && value.find('=') == std::string::npos &&
           (value.find_first_of("0123456789") == 0 || value.find_first_of("+-.") == 0)) {
    const std::string bare = before_remark(value);
    if (bare.find(',') != std::string::npos)
      what = bare + " has a comma; decimals have a point, values with a unit stand in quotes: " + key +
             " = \"3.2 mm\"";
    else
      what = bare + " is not in quotes; write " + key + " = " + in_quotes(bare);
  } else if (says("invalid line format"))
    what = "something stands behind the value; comments start with #, one key = value per line";
  else if (says("parse_boolean") || says("unknown value") || says("guess_value_type") ||
           says("parse_number") || says("type"))
    what = clean(before_remark(value)) +
           " is no value; texts and values with a unit stand in quotes: " + key + " = " +
           in_quotes(before_remark(value));
  else if (says("parse_key") || says("key"))
    what = in_quotes(source) + " is no key and no heading; write key = value, [name] or [[name]]";
  else {
    const auto end = message.find('\n');
    what = message.substr(0, end);
    if (what.rfind("[error] ", 0) == 0)
      what.erase(0, 8);
    if (what.rfind("toml::", 0) == 0)
      what.erase(0, what.find(": ") == std::string::npos ? 0 : what.find(": ") + 2);
    what = "not valid TOML: " + clean(what);
  }
  raise(file, line, key, what);
}

/// Refuses what is no UTF-8 text, with the line.
void check_text(std::string_view text, const std::string& file) {
  int line = 1;
  const auto refuse = [&](unsigned char byte) {
    static const char* const hex = "0123456789abcdef";
    raise(file, line, "",
          std::string("byte 0x") + hex[byte >> 4] + hex[byte & 15] +
              " is not allowed; this must be a text file in UTF-8");
  };
  for (std::size_t i = 0; i < text.size();) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (byte == '\n')
      ++line;
    if (byte < 0x80) {
      if ((byte < 0x20 && byte != '\n' && byte != '\r' && byte != '\t') || byte == 0x7f)
        refuse(byte);
      ++i;
      continue;
    }
    const int more = byte >= 0xC2 && byte <= 0xDF   ? 1
                     : byte >= 0xE0 && byte <= 0xEF ? 2
                     : byte >= 0xF0 && byte <= 0xF4 ? 3
                                                    : 0;
    if (more == 0 || i + static_cast<std::size_t>(more) >= text.size() + 0u)
      refuse(byte);
    for (int k = 1; k <= more; ++k)
      if ((static_cast<unsigned char>(text[i + static_cast<std::size_t>(k)]) & 0xC0) != 0x80)
        refuse(byte);
    i += static_cast<std::size_t>(more) + 1;
  }
}

/// Refuses lists, tables and dotted keys nested so deep that no case means it (and the parser's stack would
/// not bear it).
void check_depth(std::string_view text, const std::string& file) {
  constexpr int deepest = 50, deepest_anyhow = 500;
  const auto refuse = [&](int line) {
    raise(file, line, "",
          "nested more than " + std::to_string(deepest) + " levels deep; no case needs more than 5");
  };
  // Whatever the quotes mean to the parser, it cannot go deeper than brackets and dots allow.
  int bare_line = 1, open = 0, dotted = 0;
  for (const char c : text) {
    open += c == '[' || c == '{' ? 1 : c == ']' || c == '}' ? -1 : 0;
    open = std::max(open, 0);
    dotted = c == '.' ? dotted + 1 : c == '\n' ? 0 : dotted;
    bare_line += c == '\n';
    if (open > deepest_anyhow || dotted > deepest_anyhow)
      refuse(bare_line);
  }
  int line = 1, depth = 0, dots = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '#') {
      i = std::min(text.find('\n', i), text.size()) - 1;
    } else if (c == '"' || c == '\'') {
      const bool triple = text.substr(i, 3) == std::string(3, c);
      const std::string_view close = text.substr(i, triple ? 3 : 1);
      for (i += close.size(); i < text.size() && text.substr(i, close.size()) != close; ++i) {
        if (text[i] == '\n') {
          ++line;
          if (!triple)
            break;
        }
        if (c == '"' && text[i] == '\\' && i + 1 < text.size() && text[i + 1] != '\n')
          ++i;
      }
      i += close.size() - 1;
      // one or two quotes before the closing three belong to the text
      for (int more = 0; triple && more < 2 && i + 1 < text.size() && text[i + 1] == c; ++more)
        ++i;
    } else if (c == '[' || c == '{') {
      ++depth;
      dots = 0;
    } else if (c == ']' || c == '}' || c == ',' || c == '=') {
      depth = std::max(0, depth - (c == ']' || c == '}'));
      dots = 0;
    } else if (c == '.') {
      ++dots;
    } else if (c == '\n') {
      ++line;
      dots = 0;
    }
    if (depth > deepest || dots > deepest)
      refuse(line);
  }
}

void check_whole(std::string_view text, const std::string& file) {
  constexpr std::size_t most = 200'000; // toml11's time grows with the square of the size
  if (text.size() > most)
    raise(file, 1, "", "larger than 200 kB; no case and no record comes near this");
  check_text(text, file);
  check_depth(text, file);
}

} // namespace

Value read_by_toml11(std::string_view text, const std::shared_ptr<const std::string>& file) {
  check_whole(text, *file);
  try {
    std::istringstream in{std::string(text)};
    const toml::value root = toml::parse(in, *file);
    if (!root.is_table())
      raise(*file, 1, "", "no table of keys; write key = value lines");
    Value tree = convert(root, file, Lines(text));
    tree.line = 1;
    return tree;
  } catch (const InputError&) {
    throw;
  } catch (const std::exception& e) {
    raise_syntax(e.what(), text, *file);
  }
}

namespace {

Value parse_anew(std::string_view text, const std::string& file) {
  const auto named = std::make_shared<const std::string>(file);
  check_whole(text, file);
  if (std::optional<Value> tree = read_plain(text, named))
    return std::move(*tree);
  return read_by_toml11(text, named);
}

/// The tree of a text; one that was read before in this process comes from memory, since toml11 takes
/// milliseconds for a record that is not plain, and a process reads the same records again and again.
Value parse_tree(std::string_view text, const std::string& file) {
  constexpr std::size_t most_kept = 64, longest_kept = 256 * 1024;
  struct Kept {
    std::string text, file;
    Value tree;
  };
  static std::mutex guard;
  static std::deque<Kept> kept;
  {
    const std::lock_guard<std::mutex> lock(guard);
    for (const Kept& k : kept)
      if (k.text == text && k.file == file)
        return k.tree;
  }
  Value tree = parse_anew(text, file);
  if (text.size() <= longest_kept) {
    const std::lock_guard<std::mutex> lock(guard);
    if (kept.size() == most_kept)
      kept.pop_front();
    kept.push_back({std::string(text), file, tree});
  }
  return tree;
}

// --- overlay ---------------------------------------------------------------------------------------------

// A control character cannot stand in a TOML text (check_text() refuses it), and the digits behind it are
// drawn anew by every process, so that no file can pass for an overlay.
const std::string& marker() {
  static const std::string text = [] {
    std::random_device draw;
    std::string out = "\x01";
    for (int i = 0; i < 4; ++i)
      out += std::to_string(draw()) + ".";
    return out;
  }();
  return text;
}

constexpr const char* overlaid_source = "given in the case file";

Value text_value(const Value& like, std::string_view text) {
  Value out;
  out.kind = Kind::text;
  out.file = like.file;
  out.line = like.line;
  out.text = text;
  return out;
}

/// A number or a text that starts like one: a value that has a source in a record.
bool is_measure(const Value& v) {
  return v.kind == Kind::integer || v.kind == Kind::real ||
         (v.kind == Kind::text && v.text.find_first_of("+-.0123456789") == 0);
}

void merge(Value& base, const Value& over) {
  for (const Entry& e : over.entries) {
    Value laid = e.value;
    if (is_measure(laid) && e.key != "format" && e.key != "value") {
      // with a source of its own, or the record's source would stand for a value that is not in it
      Value sourced;
      sourced.file = laid.file;
      sourced.line = laid.line;
      sourced.entries.push_back({"value", laid, false});
      sourced.entries.push_back({"source", text_value(laid, overlaid_source), false});
      laid = std::move(sourced);
    }
    Entry* old = base.find(e.key);
    if (!old)
      base.entries.push_back({e.key, std::move(laid), false});
    else if (old->value.kind == Kind::table && e.value.kind == Kind::table)
      merge(old->value, e.value);
    else
      old->value = std::move(laid);
  }
  for (const char* key : {"value", "values"})
    if (const Entry* e = over.find(key); e && !over.find("source")) {
      if (Entry* source = base.find("source"))
        source->value = text_value(e->value, overlaid_source);
      else if (std::string_view(key) == "value")
        base.entries.push_back({"source", text_value(e->value, overlaid_source), false});
    }
}

std::vector<std::string> split(std::string_view text, std::string_view at) {
  std::vector<std::string> out;
  for (;;) {
    const auto end = text.find(at);
    out.emplace_back(text.substr(0, end));
    if (end == std::string_view::npos)
      return out;
    text.remove_prefix(end + at.size());
  }
}

// --- words -----------------------------------------------------------------------------------------------

int distance(std::string_view a, std::string_view b) {
  std::vector<int> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j)
    row[j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    int diagonal = row[0];
    row[0] = static_cast<int>(i);
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const int same = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
      diagonal = row[j];
      row[j] = std::min({row[j] + 1, row[j - 1] + 1, same});
    }
  }
  return row.back();
}

std::string list(const std::vector<std::string>& words) {
  std::string out;
  for (const std::string& w : words)
    out += (out.empty() ? "" : ", ") + w;
  return out;
}

const char* kind_words(Kind kind) {
  switch (kind) {
  case Kind::text:
    return "a text";
  case Kind::integer:
  case Kind::real:
    return "a bare number";
  case Kind::boolean:
    return "true or false";
  case Kind::date:
    return "a date";
  case Kind::array:
    return "a list";
  case Kind::table:
    return "a table";
  }
  return "";
}

bool is_bare(std::string_view key) {
  return !key.empty() && key.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
                                               "0123456789_-") == std::string_view::npos;
}

/// The value as TOML on one line.
std::string written_value(const Value& v) {
  switch (v.kind) {
  case Kind::text:
    return toml_string(v.text);
  case Kind::integer:
    return std::to_string(v.whole);
  case Kind::real: {
    if (std::isnan(v.number))
      return "nan";
    if (std::isinf(v.number))
      return v.number > 0 ? "inf" : "-inf";
    std::string text = units::format_number(v.number);
    if (text.find_first_of(".e") == std::string::npos)
      text += ".0";
    return text;
  }
  case Kind::boolean:
    return v.flag ? "true" : "false";
  case Kind::date:
    return v.text;
  case Kind::array: {
    std::string out = "[";
    for (const Value& item : v.items)
      out += (out.size() > 1 ? ", " : "") + written_value(item);
    return out + "]";
  }
  case Kind::table: {
    std::string out = "{";
    for (const Entry& e : v.entries) {
      out += (out.size() > 1 ? ", " : " ") + (is_bare(e.key) ? e.key : toml_string(e.key)) + " = " +
             written_value(e.value);
    }
    return out.size() > 1 ? out + " }" : "{}";
  }
  }
  return {};
}

/// What a value reads like in a message.
std::string shown(const Value& v) {
  return v.kind == Kind::table || v.kind == Kind::array ? kind_words(v.kind) : clean(written_value(v));
}

std::string bound(double value, std::string_view dimension) {
  if (dimension.empty())
    return units::format_number(value);
  std::string_view unit;
  const double size = std::abs(value);
  if (dimension == "length")
    unit = size >= 1 ? "m" : size > 0 && size < 1e-4 ? "um" : "mm";
  else if (dimension == "time")
    unit = size >= 7200 ? "h" : size >= 600 ? "min" : "s";
  else if (dimension == "mass")
    unit = size >= 1 ? "kg" : "g";
  return units::format_quantity(value, dimension, unit);
}

} // namespace

std::string allowed(const Range& range, std::string_view dimension) {
  const bool low = std::isfinite(range.least), high = std::isfinite(range.most);
  if (low && high)
    return (range.least_open ? "more than " : "") + bound(range.least, dimension) +
           (range.least_open ? " up to " : " to ") + bound(range.most, dimension);
  if (low)
    return range.least_open ? "more than " + bound(range.least, dimension)
                            : bound(range.least, dimension) + " or more";
  if (high)
    return "up to " + bound(range.most, dimension);
  return "any number";
}

namespace {

/// A limit as it is written counts as inside: "5 um" times 1e-6 is a little less than 5e-6.
bool inside(double value, const Range& range) {
  constexpr double rounding = 1e-12;
  const double least = range.least - rounding * std::abs(range.least),
               most = range.most + rounding * std::abs(range.most);
  return (range.least_open ? value > range.least : value >= least) && value <= most;
}

} // namespace

std::string toml_string(std::string_view text) {
  static const char* const hex = "0123456789abcdef";
  std::string out = "\"";
  for (std::size_t at = 0; at < text.size();) {
    const Character c = character_at(text, at);
    const std::string_view bytes = text.substr(at, std::max<std::size_t>(c.length, 1));
    at += bytes.size();
    if (c.code == '"' || c.code == '\\')
      (out += '\\') += bytes;
    else if (c.code == '\n')
      out += "\\n";
    else if (c.code == '\t')
      out += "\\t";
    else if (c.code == '\r')
      out += "\\r";
    else if (c.length > 0 && (is_control(c.code) || is_bidi_control(c.code) || is_noncharacter(c.code))) {
      out += c.code > 0xFFFF ? "\\U" : "\\u";
      for (int shift = c.code > 0xFFFF ? 28 : 12; shift >= 0; shift -= 4)
        out += hex[c.code >> shift & 15U];
    } else
      out += bytes;
  }
  return out + "\"";
}

std::string nearest(std::string_view word, const std::vector<std::string>& known) {
  std::string best;
  const auto same =
      [&](const std::string& k) { // letters from the beginning: "1085" is nearer to 1084 than to 1075
        return std::mismatch(word.begin(), word.end(), k.begin(), k.end()).first - word.begin();
      };
  int least = word.size() < 3 ? 0 : std::max<int>(1, static_cast<int>(word.size()) / 3);
  for (const std::string& k : known) {
    const int d = distance(units::lower_case(word), units::lower_case(k));
    if (d < least || (d == least && (best.empty() || same(k) > same(best)))) {
      least = d;
      best = k;
    }
  }
  if (best.empty() && word.size() > 2) { // "fast" of "fast-oil", where only one begins so
    for (const std::string& k : known)
      if (units::lower_case(k).rfind(units::lower_case(word), 0) == 0)
        best = best.empty() ? k : "-";
    if (best == "-")
      best.clear();
  }
  return best;
}

namespace {

void accept_all(const Value& v) {
  for (const Entry& e : v.entries) {
    e.known = true;
    accept_all(e.value);
  }
  for (const Value& item : v.items)
    accept_all(item);
}

} // namespace

// --- Node ------------------------------------------------------------------------------------------------

struct Node::Impl {
  std::shared_ptr<const Value> root; ///< keeps the tree alive
  const Value* value = nullptr;      ///< a table of it
  std::string path;

  std::string name(std::string_view key) const {
    if (key.empty())
      return path;
    return path.empty() ? std::string(key) : path + "." + std::string(key);
  }
  [[noreturn]] void fail_at(const Value& at, std::string_view full_name, std::string_view message) const {
    raise(*at.file, at.line, full_name, message);
  }
  void ask(std::string_view key) const {
    auto& asked = value->asked;
    if (std::find(asked.begin(), asked.end(), key) == asked.end())
      asked.emplace_back(key);
  }
  const Value* get(std::string_view key) const {
    ask(key);
    const Entry* e = value->find(key);
    if (!e)
      return nullptr;
    e->known = true;
    return &e->value;
  }
  [[noreturn]] void missing(std::string_view key, std::string_view wanted) const {
    std::vector<std::string> unknown;
    for (const Entry& e : value->entries)
      if (!e.known)
        unknown.push_back(e.key);
    const std::string near = nearest(key, unknown);
    if (!near.empty()) {
      const Entry* e = value->find(near);
      e->known = true; // told once
      accept_all(e->value);
      fail_at(e->value, name(near), "unknown key; did you mean " + in_quotes(key) + "?");
    }
    fail_at(*value, name(key), "missing; " + std::string(wanted));
  }
  Node child(const Value& v, std::string child_path) const {
    return Node(std::make_shared<Impl>(Impl{root, &v, std::move(child_path)}));
  }
  /// The other scale of temperature, when the number would be in range on that one.
  static std::string other_scale(const Value& at, double degC, const Range& range,
                                 std::string_view dimension) {
    const char last = dimension != "temperature" || at.text.empty() ? ' ' : at.text.back();
    if (last == 'C' && inside((degC - 32) / 1.8, range))
      return "; did you mean degF?";
    return last == 'F' && inside(degC * 1.8 + 32, range) ? "; did you mean degC?" : "";
  }
  /// Millimetres for inches and the other way round, when the number would be in range then.
  static std::string other_length(const Value& at, double m, const Range& range, std::string_view dimension) {
    constexpr double mm_of_inch = 25.4;
    if (dimension != "length")
      return "";
    if (at.text.ends_with("mm") && inside(m * mm_of_inch, range))
      return "; did you mean in?";
    return at.text.ends_with("in") && inside(m / mm_of_inch, range) ? "; did you mean mm?" : "";
  }
  double checked(const Value& at, const std::string& full_name, double v, const Range& range,
                 std::string_view dimension) const {
    if (!std::isfinite(v))
      fail_at(at, full_name, shown(at) + " is no finite number; allowed: " + allowed(range, dimension));
    if (!inside(v, range))
      fail_at(at, full_name,
              shown(at) + " is out of range; allowed: " + allowed(range, dimension) +
                  other_scale(at, v, range, dimension) + other_length(at, v, range, dimension));
    return v;
  }
  double number_of(const Value& v, const std::string& full_name, const Range& range) const {
    if (v.kind != Kind::integer && v.kind != Kind::real)
      fail_at(v, full_name, shown(v) + " is no bare number; allowed: " + allowed(range, ""));
    return checked(v, full_name, v.number, range, "");
  }
  double quantity_of(const Value& v, const std::string& full_name, std::string_view dimension,
                     const Range& range, std::string_view like = {}) const {
    const bool plain = dimension == "fraction" || dimension == "percent";
    if (v.kind == Kind::integer || v.kind == Kind::real) {
      if (plain)
        return checked(v, full_name, v.number, range, dimension);
      const std::string sample = like.find(' ') < like.size() ? std::string(like) : units::example(dimension);
      fail_at(v, full_name,
              shown(v) + " has no unit; write " + units::name(dimension) + " in quotes, like " +
                  in_quotes(written_value(v) + sample.substr(sample.find(' '))));
    }
    if (v.kind != Kind::text)
      fail_at(v, full_name,
              shown(v) + " is no " + units::name(dimension).substr(2) + "; write it like " +
                  in_quotes(units::example(dimension)));
    double si = 0;
    try {
      si = units::parse_quantity(v.text, dimension);
    } catch (const units::QuantityError& e) {
      fail_at(v, full_name, e.what());
    }
    return checked(v, full_name, si, range, dimension);
  }
  const Value& list_of(std::string_view key, std::string_view wanted) const {
    const Value* v = get(key);
    if (!v)
      missing(key, wanted);
    if (v->kind != Kind::array)
      fail_at(*v, name(key), shown(*v) + " is no list; " + std::string(wanted));
    return *v;
  }
  static std::string index(const std::string& full_name, std::size_t i) {
    return full_name + "[" + std::to_string(i + 1) + "]";
  }
};

namespace {

/// What people call a key, by its name here.
std::string other_name(std::string_view word, const std::vector<std::string>& known) {
  struct Name {
    std::string_view here, said; ///< parted and surrounded by blanks
  };
  constexpr std::array<Name, 14> names = {{
      {"furnace", " kiln forge heat heating austenitize austenitise hardening soak "},
      {"bath", " quench oil tank quenchant "},
      {"temper", " oven tempering "},
      {"wrap", " foil packet envelope "},
      {"transfer", " air walk way move "},
      {"wish", " want wanted target wishes "},
      {"setpoint", " temperature temp degrees set target "},
      {"oven", " temperature temp degrees setpoint set "},
      {"coolant", " oil quenchant medium type name kind "},
      {"spine", " thickness thick stock "},
      {"width", " height depth "},
      {"count", " cycles times number tempers "},
      {"timer", " time soak hold minutes "},
      {"hardness", " hrc rockwell rc "},
  }};
  const std::string wanted = " " + units::lower_case(word) + " ";
  for (const Name& name : names)
    if (name.said.find(wanted) != std::string_view::npos &&
        std::find(known.begin(), known.end(), name.here) != known.end())
      return std::string(name.here);
  return "";
}

void find_unknown(const Value& v, const std::string& path, std::vector<InputError>& out) {
  for (const Entry& e : v.entries) {
    const std::string full = path.empty() ? e.key : path + "." + e.key;
    if (!e.known) {
      std::string message = "unknown key";
      std::vector<std::string> free;
      for (const std::string& a : v.asked)
        if (!v.find(a))
          free.push_back(a);
      std::string near = nearest(e.key, free);
      if (near.empty())
        near = nearest(e.key, v.asked);
      if (near.empty())
        near = other_name(e.key, v.asked);
      if (!near.empty())
        message += "; did you mean " + in_quotes(near) + "?";
      std::vector<std::string> known = v.asked;
      std::sort(known.begin(), known.end());
      if (known.empty())
        message += "; no key is allowed here";
      else
        message += std::string(near.empty() ? ";" : "") + " allowed here: " + list(known);
      out.push_back(refusal(*e.value.file, e.value.line, full, message));
      continue;
    }
    if (e.value.kind == Kind::table)
      find_unknown(e.value, full, out);
    for (std::size_t i = 0; i < e.value.items.size(); ++i)
      if (e.value.items[i].kind == Kind::table)
        find_unknown(e.value.items[i], full + "[" + std::to_string(i + 1) + "]", out);
  }
}

} // namespace

Node::Node(std::shared_ptr<Impl> impl) : impl_(std::move(impl)) {}

bool Node::has(std::string_view key) const {
  impl_->ask(key);
  return impl_->value->find(key) != nullptr;
}

bool Node::is_text(std::string_view key) const {
  const Entry* e = impl_->value->find(key);
  return e && e->value.kind == Kind::text;
}

Node Node::table(std::string_view key) const {
  auto found = optional_table(key);
  if (!found)
    impl_->missing(key, "write a table [" + impl_->name(key) + "]");
  return *found;
}

std::optional<Node> Node::optional_table(std::string_view key) const {
  const Value* v = impl_->get(key);
  if (!v)
    return std::nullopt;
  if (v->kind != Kind::table)
    impl_->fail_at(*v, impl_->name(key), shown(*v) + " is no table; write [" + impl_->name(key) + "]");
  return impl_->child(*v, impl_->name(key));
}

std::vector<Node> Node::tables(std::string_view key) const {
  std::vector<Node> out;
  const Value* v = impl_->get(key);
  if (!v)
    return out;
  const std::string full = impl_->name(key);
  if (v->kind != Kind::array)
    impl_->fail_at(*v, full, shown(*v) + " is no list of tables; write [[" + full + "]]");
  for (std::size_t i = 0; i < v->items.size(); ++i) {
    if (v->items[i].kind != Kind::table)
      impl_->fail_at(v->items[i], Impl::index(full, i),
                     shown(v->items[i]) + " is no table; write [[" + full + "]]");
    out.push_back(impl_->child(v->items[i], Impl::index(full, i)));
  }
  return out;
}

std::vector<std::string> Node::keys() const {
  std::vector<std::string> out;
  for (const Entry& e : impl_->value->entries)
    out.push_back(e.key);
  return out;
}

std::string Node::text(std::string_view key) const {
  const Value* v = impl_->get(key);
  if (!v)
    impl_->missing(key, "write a text in quotes");
  if (v->kind != Kind::text && !(v->line == 0 && !v->text.empty())) // a setting needs no quotes
    impl_->fail_at(*v, impl_->name(key),
                   shown(*v) + " is no text; " +
                       (v->kind == Kind::integer || v->kind == Kind::real
                            ? "write it in quotes, like " + in_quotes(written_value(*v))
                            : "write a text in quotes"));
  return v->text;
}

std::string Node::text(std::string_view key, std::string_view otherwise) const {
  return has(key) ? text(key) : std::string(otherwise);
}

std::string Node::choice(std::string_view key, const std::vector<std::string>& words) const {
  const Value* v = impl_->get(key);
  if (!v)
    impl_->missing(key, "allowed: " + list(words));
  if (v->kind != Kind::text && !(v->line == 0 && !v->text.empty()))
    impl_->fail_at(*v, impl_->name(key), shown(*v) + " is no text in quotes; allowed: " + list(words));
  if (std::find(words.begin(), words.end(), v->text) == words.end()) {
    const std::string near = nearest(v->text, words);
    impl_->fail_at(*v, impl_->name(key),
                   in_quotes(v->text) + " is not known; " +
                       (near.empty() ? "" : "did you mean " + in_quotes(near) + "? ") +
                       "allowed: " + list(words));
  }
  return v->text;
}

std::string Node::choice(std::string_view key, const std::vector<std::string>& words,
                         std::string_view otherwise) const {
  return has(key) ? choice(key, words) : std::string(otherwise);
}

bool Node::flag(std::string_view key, bool otherwise) const {
  const Value* v = impl_->get(key);
  if (!v)
    return otherwise;
  if (v->kind != Kind::boolean)
    impl_->fail_at(*v, impl_->name(key), shown(*v) + " is not allowed; write true or false");
  return v->flag;
}

int Node::integer(std::string_view key, Range range, std::optional<int> otherwise) const {
  const Value* v = impl_->get(key);
  if (!v) {
    if (otherwise)
      return *otherwise;
    impl_->missing(key, "write a whole number, " + allowed(range, ""));
  }
  if (v->kind != Kind::integer)
    impl_->fail_at(*v, impl_->name(key),
                   shown(*v) + " is no whole number; allowed: " + allowed(range, "") +
                       (v->kind == Kind::text ? ", written without quotes" : ""));
  range.most = std::min(range.most, static_cast<double>(std::numeric_limits<int>::max()));
  range.least = std::max(range.least, static_cast<double>(std::numeric_limits<int>::min()));
  return static_cast<int>(impl_->checked(*v, impl_->name(key), v->number, range, ""));
}

double Node::number(std::string_view key, Range range, std::optional<double> otherwise) const {
  const Value* v = impl_->get(key);
  if (!v) {
    if (otherwise)
      return *otherwise;
    impl_->missing(key, "write a number, " + allowed(range, ""));
  }
  return impl_->number_of(*v, impl_->name(key), range);
}

double Node::quantity(std::string_view key, std::string_view dimension, Range range,
                      std::optional<double> otherwise, std::string_view like) const {
  const Value* v = impl_->get(key);
  if (!v) {
    if (otherwise)
      return *otherwise;
    impl_->missing(key, "write " + units::name(dimension) + " like " +
                            in_quotes(like.empty() ? units::example(dimension) : std::string(like)));
  }
  return impl_->quantity_of(*v, impl_->name(key), dimension, range, like);
}

std::optional<double> Node::optional_quantity(std::string_view key, std::string_view dimension,
                                              Range range) const {
  if (!has(key))
    return std::nullopt;
  return quantity(key, dimension, range);
}

std::vector<double> Node::numbers(std::string_view key, Range range) const {
  const Value& v = impl_->list_of(key, "write numbers like [1.5, 2]");
  const std::string full = impl_->name(key);
  std::vector<double> out;
  for (std::size_t i = 0; i < v.items.size(); ++i)
    out.push_back(impl_->number_of(v.items[i], Impl::index(full, i), range));
  return out;
}

std::vector<double> Node::quantities(std::string_view key, std::string_view dimension, Range range) const {
  const std::string sample = in_quotes(units::example(dimension));
  const Value& v = impl_->list_of(key, "write values like [" + sample + "]");
  const std::string full = impl_->name(key);
  std::optional<std::string> unit;
  if (const Entry* e = impl_->value->find("unit"); e && e->value.kind == Kind::text) {
    e->known = true;
    unit = e->value.text;
  }
  std::vector<double> out;
  for (std::size_t i = 0; i < v.items.size(); ++i) {
    const Value& item = v.items[i];
    if (unit && (item.kind == Kind::integer || item.kind == Kind::real)) {
      double si = 0;
      try {
        si = units::from_unit(item.number, *unit, dimension);
      } catch (const units::QuantityError& e) {
        impl_->fail_at(item, Impl::index(full, i), e.what());
      }
      out.push_back(impl_->checked(item, Impl::index(full, i), si, range, dimension));
    } else {
      out.push_back(impl_->quantity_of(item, Impl::index(full, i), dimension, range));
    }
  }
  return out;
}

std::vector<std::string> Node::texts(std::string_view key) const {
  const Value& v = impl_->list_of(key, "write texts like [\"one\", \"two\"]");
  const std::string full = impl_->name(key);
  std::vector<std::string> out;
  for (std::size_t i = 0; i < v.items.size(); ++i) {
    if (v.items[i].kind != Kind::text)
      impl_->fail_at(v.items[i], Impl::index(full, i), shown(v.items[i]) + " is no text; write it in quotes");
    out.push_back(v.items[i].text);
  }
  return out;
}

void Node::fail(std::string_view key, std::string_view message) const {
  const Entry* e = key.empty() ? nullptr : impl_->value->find(key);
  impl_->fail_at(e ? e->value : *impl_->value, impl_->name(key), message);
}

void Node::expect(std::string_view key) const { (void)impl_->get(key); }

void Node::accept(std::string_view key) const {
  if (const Value* v = impl_->get(key))
    accept_all(*v);
}

std::string Node::written(std::string_view key) const {
  const Entry* e = impl_->value->find(key);
  return e ? written_value(e->value) : std::string();
}

int Node::line(std::string_view key) const {
  const Entry* e = key.empty() ? nullptr : impl_->value->find(key);
  return e ? e->value.line : impl_->value->line;
}

std::string Node::path() const { return impl_->path; }

std::vector<InputError> Node::unknown_keys() const {
  std::vector<InputError> out;
  find_unknown(*impl_->value, impl_->path, out);
  return out;
}

void Node::finish() const {
  const std::vector<InputError> unknown = unknown_keys();
  if (!unknown.empty())
    throw unknown.front();
}

// --- texts -----------------------------------------------------------------------------------------------

namespace {

// --- settings --------------------------------------------------------------------------------------------

[[noreturn]] void refuse_setting(std::string_view path, std::string_view message) {
  raise(setting_file, 0, path, message);
}

void mark_as_setting(Value& v, const std::shared_ptr<const std::string>& file) {
  v.file = file;
  v.line = 0;
  for (Entry& e : v.entries)
    mark_as_setting(e.value, file);
  for (Value& item : v.items)
    mark_as_setting(item, file);
}

/// TOML where it is some, else a text.
Value setting_value(const Setting& setting) {
  const auto file = std::make_shared<const std::string>(setting_file);
  Value out;
  try {
    out = parse_tree("v = " + setting.value + "\n", setting_file).entries.at(0).value;
  } catch (const std::exception&) {
    out.kind = Kind::text;
  }
  if (out.kind != Kind::table && out.kind != Kind::array && (out.kind != Kind::text || out.text.empty()))
    out.text = setting.value;
  mark_as_setting(out, file);
  return out;
}

/// "blade.station[2].spine", "blade.station.2.spine", "probe.'on the edge'.x" in parts.
std::vector<std::string> parts_of(const std::string& path) {
  std::vector<std::string> out(1);
  char quote = 0;
  for (char ch : path) {
    if (quote ? ch == quote : ch == '"' || ch == '\'')
      quote = quote ? 0 : ch;
    else if (quote || (ch != '.' && ch != '[' && ch != ']'))
      out.back() += ch;
    else if (ch != ']')
      out.emplace_back();
  }
  if (quote || std::find(out.begin(), out.end(), std::string()) != out.end())
    refuse_setting(path, "is no path of a key; write --set furnace.setpoint='800 degC'");
  return out;
}

/// The element of [[name]] with this number or name.
Value& element_of(Value& items, const std::string& which, const std::string& path, const std::string& name) {
  std::vector<std::string> names;
  for (std::size_t i = 0; i < items.items.size(); ++i) {
    const Entry* called = items.items[i].find("name");
    names.push_back(called ? called->value.text : std::to_string(i + 1));
    if (which == names.back() || which == std::to_string(i + 1))
      return items.items[i];
  }
  const std::string near = nearest(which, names);
  refuse_setting(path, in_quotes(which) + " is none of the " + std::to_string(names.size()) + " [[" + name +
                           "]]; " + (near.empty() ? "" : "did you mean " + in_quotes(near) + "? ") +
                           "write its number or its name: " + list(names));
}

void apply(Value& tree, const Setting& setting) {
  const std::vector<std::string> parts = parts_of(setting.path);
  Value value = setting_value(setting);
  Value* at = &tree;
  std::string done;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const bool last = i + 1 == parts.size();
    done += (done.empty() ? "" : ".") + parts[i];
    if (at->kind != Kind::table)
      refuse_setting(setting.path, "there is no table to hold " + in_quotes(parts[i]));
    if (!at->find(parts[i])) {
      at->entries.push_back({parts[i], Value(), false});
      mark_as_setting(at->entries.back().value, value.file);
    }
    Value& next = at->find(parts[i])->value;
    if (last)
      next = std::move(value);
    else if (next.kind == Kind::array)
      at = &element_of(next, parts[++i], setting.path, done);
    else
      at = &next;
    if (last)
      return;
  }
  refuse_setting(setting.path, "names a whole table; name one of its keys as well");
}

} // namespace

Node parse_document(std::string_view text, std::string file, const std::vector<Setting>& settings) {
  // layers: base, then per overlay the file, the path of the table and the text it stands in
  std::vector<std::string> layers;
  if (text.find(marker()) != std::string_view::npos)
    layers = split(text, marker());
  else
    layers.emplace_back(text);
  Value tree = parse_tree(layers[0], file);
  if (tree.entries.empty())
    raise(file, 1, "", "nothing in it; key = value lines are wanted");
  for (std::size_t i = 1; i + 2 < layers.size(); i += 3) {
    const Value over = parse_tree(layers[i + 2], layers[i]);
    const Value* at = &over;
    for (const std::string& key : split(layers[i + 1], ".")) {
      const Entry* e = at->find(key);
      if (!e || e->value.kind != Kind::table)
        raise(layers[i], at->line, layers[i + 1], "is no table");
      at = &e->value;
    }
    merge(tree, *at);
  }
  for (const Setting& setting : settings)
    apply(tree, setting);
  auto root = std::make_shared<const Value>(std::move(tree));
  const Value* top = root.get();
  return Node(std::make_shared<Node::Impl>(Node::Impl{std::move(root), top, std::string()}));
}

std::string overlay(std::string_view base, std::string_view over, std::string_view over_file,
                    std::string_view over_path) {
  std::string out(base);
  for (std::string_view part : {over_file, over_path, over}) {
    out += marker();
    out += part;
  }
  return out;
}

namespace {

struct Leaf {
  std::string path;
  const Value* value;
};

void find_leaves(const Value& table, const std::string& path, std::vector<Leaf>& out) {
  for (const Entry& e : table.entries) {
    const std::string full = path + "." + (is_bare(e.key) ? e.key : toml_string(e.key));
    if (e.value.kind == Kind::table)
      find_leaves(e.value, full, out);
    else
      out.push_back({full, &e.value});
  }
}

} // namespace

std::string overlay(std::string_view base, const Node& over, std::string_view key) {
  const Entry* table = over.impl_->value->find(key);
  std::string out(base);
  if (!table)
    return out;
  std::vector<Leaf> leaves;
  find_leaves(table->value, "over", leaves);
  std::stable_sort(leaves.begin(), leaves.end(),
                   [](const Leaf& a, const Leaf& b) { return a.value->line < b.value->line; });
  // one layer for the file, each value on its line, and one for what was set beside it
  for (const bool set : {false, true}) {
    std::string text, file;
    int line = 1;
    for (const Leaf& leaf : leaves)
      if ((leaf.value->line == 0) == set) {
        for (; line < leaf.value->line; ++line)
          text += '\n';
        text += leaf.path + " = " + written_value(*leaf.value) + "\n";
        ++line;
        file = *leaf.value->file;
      }
    if (!text.empty())
      out = overlay(out, text, file, "over");
  }
  return out;
}

} // namespace tq::records
