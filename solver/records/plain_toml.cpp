#include "records/plain_toml.hpp"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <map>
#include <utility>

namespace tq::records {

namespace {

/// Powers of ten that a double holds exactly.
constexpr std::array<double, 23> power_of_ten{1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                              1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                              1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
constexpr int most_digits = 15; ///< any number of so many is a double
constexpr int deepest = 50;     ///< check_depth() has refused more

bool digit(char c) { return c >= '0' && c <= '9'; }
bool of_bare_key(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || digit(c) || c == '_' || c == '-';
}

/// Reads on from `at_`; every function is false when it meets what is not plain.
class PlainReader {
 public:
  PlainReader(std::string_view text, std::shared_ptr<const std::string> file)
      : text_(text), file_(std::move(file)) {}

  bool read(Value& root) {
    root.file = file_;
    Value* table = &root;
    while (at_ < text_.size()) {
      skip_blank();
      if (at_end_of_line()) {
        if (!end_line())
          return false;
      } else if (text_[at_] == '[') {
        table = heading(root);
        if (table == nullptr || !end_line())
          return false;
      } else if (!key_and_value(*table) || !end_line()) {
        return false;
      }
    }
    return true;
  }

 private:
  /// What a path of headings stands for.
  enum class Heading { implied, defined, list };

  char now() const { return at_ < text_.size() ? text_[at_] : '\n'; }
  bool take(char c) {
    if (at_ >= text_.size() || text_[at_] != c)
      return false;
    ++at_;
    return true;
  }
  void skip_blank() {
    while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\t'))
      ++at_;
  }
  bool at_end_of_line() const { return at_ >= text_.size() || text_[at_] == '\n' || text_[at_] == '#'; }
  /// Blanks and a comment up to the next line.
  bool end_line() {
    skip_blank();
    if (!at_end_of_line())
      return false;
    at_ = std::min(text_.find('\n', at_), text_.size());
    if (take('\n'))
      ++line_;
    return true;
  }
  void skip_lines() {
    while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\t' || at_end_of_line()))
      if (text_[at_] == ' ' || text_[at_] == '\t')
        ++at_;
      else
        end_line();
  }
  std::string_view bare_key() {
    const std::size_t from = at_;
    while (at_ < text_.size() && of_bare_key(text_[at_]))
      ++at_;
    return text_.substr(from, at_ - from);
  }
  Value here() const {
    Value v;
    v.file = file_;
    v.line = line_;
    return v;
  }
  static Value& add(Value& table, std::string_view key, Value&& value) {
    table.entries.push_back({std::string(key), std::move(value), false});
    return table.entries.back().value;
  }

  /// A key that the table does not have yet and the "=" behind it; empty when there is no such thing.
  std::string_view key_of(const Value& table) {
    const std::string_view key = bare_key();
    if (key.empty() || table.find(key) != nullptr)
      return {};
    skip_blank();
    if (!take('='))
      return {};
    skip_blank();
    return key;
  }

  bool key_and_value(Value& table) {
    const std::string_view key = key_of(table);
    if (key.empty())
      return false;
    Value v = here();
    if (!value(v, 0))
      return false;
    add(table, key, std::move(v));
    return true;
  }

  /// [a.b] or [[a.b]]; the table that the keys below belong to, none when it is not plain.
  Value* heading(Value& root) {
    take('[');
    const bool list = take('[');
    std::vector<std::string_view> parts;
    do
      parts.push_back(bare_key());
    while (take('.'));
    if (std::any_of(parts.begin(), parts.end(), [](std::string_view p) { return p.empty(); }) || !take(']') ||
        (list && !take(']')) || parts.size() > deepest)
      return nullptr;
    Value* at = &root;
    std::string path;
    for (std::size_t i = 0; i + 1 < parts.size(); ++i) {
      path.append(parts[i]).push_back('.');
      if (Entry* entry = at->find(parts[i])) {
        const auto known = headings_.find(path);
        if (known == headings_.end())
          return nullptr; // a key holds it
        at = known->second == Heading::list ? &entry->value.items.back() : &entry->value;
      } else {
        headings_[path] = Heading::implied;
        at = &add(*at, parts[i], here());
      }
    }
    path.append(parts.back()).push_back('.');
    Entry* entry = at->find(parts.back());
    if (!list)
      return entry == nullptr ? define(*at, parts.back(), path) : nullptr;
    return element(*at, entry, parts.back(), path);
  }
  Value* define(Value& in, std::string_view key, const std::string& path) {
    headings_[path] = Heading::defined;
    return &add(in, key, here());
  }
  Value* element(Value& in, Entry* entry, std::string_view key, const std::string& path) {
    Value* items = nullptr;
    if (entry == nullptr) {
      items = &add(in, key, here());
      items->kind = Kind::array;
    } else {
      const auto known = headings_.find(path);
      if (known == headings_.end() || known->second != Heading::list)
        return nullptr;
      items = &entry->value;
      // the new element has none of the headings that stood below the one before
      auto below = headings_.upper_bound(path);
      while (below != headings_.end() && below->first.starts_with(path))
        below = headings_.erase(below);
    }
    headings_[path] = Heading::list;
    items->items.push_back(here());
    return &items->items.back();
  }

  bool value(Value& out, int depth) {
    const char c = now();
    if (depth > deepest)
      return false;
    if (c == '"')
      return text_.substr(at_, 3) == "\"\"\"" ? text_of_lines(out) : text_of_line(out);
    if (c == '\'')
      return literal(out);
    if (c == '[')
      return list(out, depth);
    if (c == '{')
      return table(out, depth);
    if (c == 't' || c == 'f')
      return word(out);
    return number(out);
  }

  bool escape(std::string& out) {
    const char c = now();
    ++at_;
    switch (c) {
    case '"':
    case '\\':
      out += c;
      return true;
    case 'n':
      out += '\n';
      return true;
    case 't':
      out += '\t';
      return true;
    default:
      return false;
    }
  }
  bool text_of_line(Value& out) {
    out.kind = Kind::text;
    take('"');
    while (at_ < text_.size()) {
      const char c = text_[at_++];
      if (c == '"')
        return true;
      if (c == '\n' || (c == '\\' && !escape(out.text)))
        return false;
      if (c != '\\')
        out.text += c;
    }
    return false;
  }
  bool text_of_lines(Value& out) {
    out.kind = Kind::text;
    at_ += 3;
    if (take('\n'))
      ++line_;
    while (at_ < text_.size()) {
      if (text_.substr(at_, 3) == "\"\"\"") {
        at_ += 3;
        return now() != '"'; // one or two more would belong to the text
      }
      const char c = text_[at_++];
      line_ += c == '\n';
      if (c != '\\') {
        out.text += c;
      } else if (now() == '\n') {
        while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\t' || text_[at_] == '\n'))
          line_ += text_[at_++] == '\n';
      } else if (!escape(out.text)) {
        return false;
      }
    }
    return false;
  }
  bool literal(Value& out) {
    out.kind = Kind::text;
    take('\'');
    const std::size_t end = text_.find_first_of("'\n", at_);
    if (end == std::string_view::npos || text_[end] == '\n' || text_.substr(at_, 2) == "''")
      return false;
    out.text = text_.substr(at_, end - at_);
    at_ = end + 1;
    return true;
  }
  bool word(Value& out) {
    out.kind = Kind::boolean;
    for (const std::string_view w : {"true", "false"})
      if (text_.substr(at_, w.size()) == w) {
        out.flag = w == "true";
        at_ += w.size();
        return !of_bare_key(now());
      }
    return false;
  }

  /// Decimal figures without underscores of at most 15 digits and a power of ten of at most 22: the quotient
  /// or product of two exact doubles is the nearest double (Clinger 1990, PLDI, 92-101).
  bool number(Value& out) {
    const bool minus = take('-');
    if (!minus)
      take('+');
    std::int64_t figure = 0;
    int digits = 0, behind = 0, exponent = 0;
    const std::size_t from = at_;
    for (; digit(now()); ++digits)
      figure = digits < most_digits ? 10 * figure + (text_[at_++] - '0') : (++at_, figure);
    if (digits == 0 || (digits > 1 && text_[from] == '0'))
      return false;
    bool real = false;
    if (take('.')) {
      real = true;
      for (; digit(now()); ++digits, ++behind)
        figure = digits < most_digits ? 10 * figure + (text_[at_++] - '0') : (++at_, figure);
      if (behind == 0)
        return false;
    }
    if (take('e') || take('E')) {
      real = true;
      const bool down = take('-');
      if (!down)
        take('+');
      int places = 0;
      for (; digit(now()); ++places)
        exponent = places < 3 ? 10 * exponent + (text_[at_++] - '0') : (++at_, exponent);
      if (places == 0 || places > 3)
        return false;
      exponent = down ? -exponent : exponent;
    }
    const int power = exponent - behind;
    if (digits > most_digits || std::abs(power) >= static_cast<int>(power_of_ten.size()) ||
        of_bare_key(now()) || now() == '.' || now() == ':')
      return false;
    out.kind = real ? Kind::real : Kind::integer;
    const auto exact = static_cast<double>(figure);
    const double size = power < 0 ? exact / power_of_ten[static_cast<std::size_t>(-power)]
                                  : exact * power_of_ten[static_cast<std::size_t>(power)];
    out.number = minus ? -size : size;
    if (!real) {
      out.whole = minus ? -figure : figure;
      out.number = static_cast<double>(out.whole);
    }
    return true;
  }

  bool list(Value& out, int depth) {
    out.kind = Kind::array;
    take('[');
    for (;;) {
      skip_lines();
      if (take(']'))
        return true;
      out.items.push_back(here());
      if (!value(out.items.back(), depth + 1))
        return false;
      skip_lines();
      if (take(']'))
        return true;
      if (!take(','))
        return false;
    }
  }
  bool table(Value& out, int depth) {
    out.kind = Kind::table;
    take('{');
    for (;;) {
      skip_blank();
      const std::string_view key = key_of(out);
      if (key.empty())
        return false;
      Value v = here();
      if (!value(v, depth + 1) || v.line != line_)
        return false;
      add(out, key, std::move(v));
      skip_blank();
      if (take('}'))
        return true;
      if (!take(','))
        return false;
    }
  }

  std::string_view text_;
  std::shared_ptr<const std::string> file_;
  std::size_t at_ = 0;
  int line_ = 1;
  std::map<std::string, Heading> headings_; ///< by the path with a point behind each part
};

} // namespace

std::optional<Value> read_plain(std::string_view text, const std::shared_ptr<const std::string>& file) {
  const auto plain = [](char c) { return (c >= ' ' && c <= '~') || c == '\n' || c == '\t'; };
  Value root;
  if (!std::all_of(text.begin(), text.end(), plain) || !PlainReader(text, file).read(root))
    return std::nullopt;
  return root;
}

} // namespace tq::records
