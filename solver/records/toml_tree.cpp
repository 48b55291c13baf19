#include "records/toml_tree.hpp"

#include <cmath>
#include <cstdlib>
#include <set>
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

/// Leaves the text to the other parser.
struct Unusual {};

class Reader {
 public:
  Reader(std::string_view text, const std::shared_ptr<const std::string>& file) : text_(text), file_(file) {}

  Value read() {
    Value root = made(Kind::table);
    std::vector<std::string> heading;
    for (;;) {
      skip_blanks();
      if (at_ == text_.size())
        return root;
      const char c = text_[at_];
      if (c == '#' || c == '\n' || c == '\r') {
        end_line();
      } else if (c == '[') {
        heading = read_heading(root);
        end_line();
      } else {
        Value& table = found(root, heading);
        key_and_value(table);
        end_line();
      }
    }
  }

 private:
  char peek() const { return at_ < text_.size() ? text_[at_] : '\0'; }
  void skip_blanks() {
    while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\t'))
      ++at_;
  }
  void expect(char c) {
    if (peek() != c)
      throw Unusual();
    ++at_;
  }
  /// Blanks, a comment, the end of the line or of the text.
  void end_line() {
    skip_blanks();
    if (peek() == '#')
      while (at_ < text_.size() && text_[at_] != '\n' && text_[at_] != '\r')
        ++at_;
    if (at_ == text_.size())
      return;
    if (text_[at_] == '\r')
      ++at_;
    expect('\n');
    ++line_;
  }
  Value made(Kind kind) const {
    Value v;
    v.kind = kind;
    v.file = file_;
    v.line = line_;
    return v;
  }
  static bool in_bare_key(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
  }
  std::string key() {
    const std::size_t from = at_;
    if (peek() == '"') {
      const std::string name = basic_string();
      if (name.empty() || at_ - from != name.size() + 2) // with escapes
        throw Unusual();
      return name;
    }
    while (in_bare_key(peek()))
      ++at_;
    if (at_ == from)
      throw Unusual();
    return std::string(text_.substr(from, at_ - from));
  }
  /// The table of the heading under which keys are read.
  static Value& found(Value& root, const std::vector<std::string>& heading) {
    Value* v = &root;
    for (const std::string& name : heading) {
      v = &v->find(name)->value;
      if (v->kind == Kind::array)
        v = &v->items.back();
    }
    return *v;
  }
  std::vector<std::string> read_heading(Value& root) {
    expect('[');
    const bool of_array = peek() == '[';
    if (of_array)
      ++at_;
    std::vector<std::string> path;
    std::string joined;
    Value* v = &root;
    for (bool last = false; !last;) {
      skip_blanks();
      path.push_back(key());
      joined += '\n' + path.back();
      skip_blanks();
      last = peek() != '.';
      if (!last)
        ++at_;
      Entry* e = v->find(path.back());
      if (!e) {
        v->entries.push_back({path.back(), made(last && of_array ? Kind::array : Kind::table), false});
        e = &v->entries.back();
        by_heading_.insert(joined);
      } else if ((last && (!of_array || e->value.kind != Kind::array)) || by_heading_.count(joined) == 0 ||
                 (e->value.kind != Kind::table && e->value.kind != Kind::array)) {
        throw Unusual(); // twice, or into what was written otherwise
      }
      v = &e->value;
      if (last && of_array)
        v->items.push_back(made(Kind::table));
      if (v->kind == Kind::array)
        v = &v->items.back();
      if (v != &e->value)
        joined += '\n' + std::to_string(e->value.items.size());
    }
    expect(']');
    if (of_array)
      expect(']');
    return path;
  }
  void key_and_value(Value& table) {
    std::string name = key();
    skip_blanks();
    expect('='); // a dotted key is left to the other parser
    skip_blanks();
    if (table.find(name))
      throw Unusual();
    table.entries.push_back({std::move(name), value(), false});
  }
  Value value() {
    const char c = peek();
    if (c == '"') {
      Value v = made(Kind::text);
      v.text = text_.substr(at_, 3) == "\"\"\"" ? multiline_string() : basic_string();
      return v;
    }
    if (c == '\'') {
      Value v = made(Kind::text);
      const std::size_t from = ++at_;
      while (at_ < text_.size() && text_[at_] != '\'' && text_[at_] != '\n' && text_[at_] != '\r')
        ++at_;
      v.text = text_.substr(from, at_ - from);
      expect('\'');
      if (v.text.empty())
        throw Unusual(); // perhaps three of them
      return v;
    }
    if (c == '[')
      return array();
    if (c == '{')
      return inline_table();
    for (const bool truth : {true, false}) {
      const std::string_view word = truth ? "true" : "false";
      if (text_.substr(at_, word.size()) == word) {
        at_ += word.size();
        if (in_bare_key(peek()))
          throw Unusual();
        Value v = made(Kind::boolean);
        v.flag = truth;
        return v;
      }
    }
    return number();
  }
  std::string basic_string() {
    expect('"');
    std::string out;
    for (;;) {
      if (at_ == text_.size() || text_[at_] == '\n' || text_[at_] == '\r')
        throw Unusual();
      const char c = text_[at_++];
      if (c == '"')
        break;
      if (c != '\\') {
        out += c;
        continue;
      }
      switch (peek()) {
      case '"':
        out += '"';
        break;
      case '\\':
        out += '\\';
        break;
      case 'n':
        out += '\n';
        break;
      case 't':
        out += '\t';
        break;
      default:
        throw Unusual();
      }
      ++at_;
    }
    return out;
  }
  /// Three quotes on either side, the newline behind the first three dropped; a backslash at the end of a
  /// line joins it to the next text.
  std::string multiline_string() {
    at_ += 3;
    if (peek() == '\n') {
      ++at_;
      ++line_;
    }
    std::string out;
    for (;;) {
      if (at_ == text_.size() || text_[at_] == '\r')
        throw Unusual();
      const char c = text_[at_];
      if (c == '"' && text_.substr(at_, 3) == "\"\"\"") {
        at_ += 3;
        if (peek() == '"')
          throw Unusual();
        return out;
      }
      ++at_;
      if (c == '\\') {
        if (peek() != '\n')
          throw Unusual();
        for (; peek() == '\n' || peek() == ' ' || peek() == '\t'; ++at_)
          line_ += peek() == '\n';
      } else {
        line_ += c == '\n';
        out += c;
      }
    }
  }
  bool digits() {
    const std::size_t from = at_;
    while (peek() >= '0' && peek() <= '9')
      ++at_;
    return at_ > from;
  }
  Value number() {
    const std::size_t from = at_;
    if (peek() == '+' || peek() == '-')
      ++at_;
    const std::size_t first = at_;
    if (!digits() || (text_[first] == '0' && at_ > first + 1))
      throw Unusual();
    bool real = false;
    if (peek() == '.') {
      ++at_;
      real = true;
      if (!digits())
        throw Unusual();
    }
    if (peek() == 'e' || peek() == 'E') {
      ++at_;
      real = true;
      if (peek() == '+' || peek() == '-')
        ++at_;
      if (!digits())
        throw Unusual();
    }
    constexpr std::size_t most_digits = 15; // any such whole number is a double too
    if (in_bare_key(peek()) || peek() == '.' || peek() == ':' || (!real && at_ - first > most_digits))
      throw Unusual();
    const std::string written(text_.substr(from, at_ - from));
    Value v = made(real ? Kind::real : Kind::integer);
    if (real) {
      v.number = std::strtod(written.c_str(), nullptr);
      if (!std::isfinite(v.number) || (std::abs(v.number) < 1e-300 && v.number != 0))
        throw Unusual();
    } else {
      v.whole = std::strtoll(written.c_str(), nullptr, 10);
      v.number = static_cast<double>(v.whole);
    }
    return v;
  }
  /// Blanks, comments and ends of lines between the items of a list.
  void skip_between() {
    for (;;) {
      skip_blanks();
      if (peek() != '#' && peek() != '\n' && peek() != '\r')
        return;
      end_line();
    }
  }
  Value array() {
    Value v = made(Kind::array);
    expect('[');
    for (;;) {
      skip_between();
      if (peek() == ']')
        break;
      v.items.push_back(value());
      const auto sort = [](const Value& item) { return item.kind == Kind::integer ? Kind::real : item.kind; };
      if (sort(v.items.back()) != sort(v.items.front()))
        throw Unusual();
      skip_between();
      if (peek() == ']')
        break;
      expect(',');
    }
    ++at_;
    return v;
  }
  Value inline_table() {
    Value v = made(Kind::table);
    expect('{');
    skip_blanks();
    if (peek() == '}') {
      ++at_;
      return v;
    }
    for (;;) {
      skip_blanks();
      key_and_value(v);
      skip_blanks();
      if (peek() == '}')
        break;
      expect(',');
    }
    ++at_;
    return v;
  }

  std::string_view text_;
  const std::shared_ptr<const std::string>& file_;
  std::size_t at_ = 0;
  int line_ = 1;
  std::set<std::string> by_heading_; ///< tables and lists of tables that headings made, and no others
};

} // namespace

std::optional<Value> parse_usual(std::string_view text, const std::shared_ptr<const std::string>& file) {
  try {
    return Reader(text, file).read();
  } catch (const Unusual&) {
    return std::nullopt;
  }
}

} // namespace tq::records
