// Reads tables of keys, keeps what must be refused, and writes the case with every default.
#include "treatment/keys/key.hpp"
#include "treatment/record_names.hpp"
#include "units/math.hpp"
#include "units/quantity.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <mutex>
#include <sstream>

namespace tq::treatment::keys {

using records::InputError;
using records::toml_string;
using Holds = Slot::Holds;

namespace {

std::vector<std::string> words_of(const Key& key) {
  std::vector<std::string> out;
  for (const Word& w : key.words)
    out.emplace_back(w.word);
  return out;
}

std::optional<double> word_value(const Key& key, std::string_view word) {
  for (const Word& w : key.words)
    if (word == w.word)
      return w.value;
  return std::nullopt;
}

bool has_dimension(const Key& key) { return *key.dimension != '\0'; }

double parsed_usual(const Key& key) {
  if (const auto value = word_value(key, key.usual))
    return *value;
  if (key.to.holds == Holds::flag)
    return std::string_view(key.usual) == "true";
  return has_dimension(key) ? units::parse_quantity(key.usual, key.dimension)
                            : units::parse_number(key.usual);
}

/// The value of a default as it stands in the table of keys; each is parsed once a process.
double usual_value(const Key& key) {
  static std::mutex guard;
  static std::map<const Key*, double> known; // the tables of keys last as long as the process
  const std::lock_guard<std::mutex> lock(guard);
  const auto found = known.find(&key);
  return found != known.end() ? found->second : known.emplace(&key, parsed_usual(key)).first->second;
}

double given_value(const Scope& k, const Key& key) {
  const Node& node = *k.node;
  switch (key.to.holds) {
  case Holds::integer:
    return node.integer(key.name, key.range);
  case Holds::flag:
    return node.flag(key.name, false);
  case Holds::choice:
    return *word_value(key, node.choice(key.name, words_of(key)));
  default:
    if (!key.words.empty() && node.is_text(key.name)) {
      if (!has_dimension(key))
        return *word_value(key, node.choice(key.name, words_of(key)));
      if (const auto value = word_value(key, node.text(key.name)))
        return *value;
    }
    return has_dimension(key) ? node.quantity(key.name, key.dimension, key.range, {},
                                              key.sample  ? key.sample
                                              : key.usual ? key.usual
                                                          : "")
                              : node.number(key.name, key.range);
  }
}

/// The value of one face, of a table { flank_a = ..., ... }.
void read_faces(const Scope& k, const Key& key) {
  auto& faces = *static_cast<std::array<double, face_count>*>(key.to.address(k.filled()));
  const auto table = k.given(key.name) ? k.node->optional_table(key.name) : std::nullopt;
  const double usual = key.otherwise ? key.otherwise(k) : usual_value(key);
  for (std::size_t i = 0; i < faces.size(); ++i)
    faces[i] = !table               ? usual
               : has_dimension(key) ? table->quantity(face_keys[i], key.dimension, key.range, usual)
                                    : table->number(face_keys[i], key.range, usual);
}

/// Tells a temperature that is odd here, but would not be in degF (or degC).
void tell_scale(const Scope& k, const Key& key) {
  if (key.plausible.least >= key.plausible.most || !k.node->is_text(key.name))
    return;
  const std::string text = k.node->text(key.name);
  const double degC = key.to.get(k.filled());
  const char scale = text.empty() ? ' ' : text.back();
  if ((scale != 'C' && scale != 'F') || (degC >= key.plausible.least && degC <= key.plausible.most))
    return;
  const double other = scale == 'C' ? (degC - 32) / 1.8 : degC * 1.8 + 32;
  if (other < key.plausible.least || other > key.plausible.most)
    return;
  k.told.push_back(k.path() + "." + key.name + " is " + text + " as written; in deg" +
                   (scale == 'C' ? "F it would be " : "C it would be ") + brief(other, "temperature"));
  k.c.odd.push_back(k.path() + "." + key.name + ": " + toml_string(text) + " is odd; was deg" +
                    (scale == 'C' ? "F" : "C") + " meant?");
}

/// A length or a time that is odd here, but would not be in another unit of the workshop.
std::string other_unit_meant(const Scope& k, const Key& key) {
  const std::string_view dimension = key.dimension;
  const bool length = dimension == "length";
  if (key.plausible.least >= key.plausible.most || !(length || dimension == "time") || !k.given(key.name) ||
      !k.node->is_text(key.name))
    return "";
  const auto usual = [&](double si) { return si >= key.plausible.least && si <= key.plausible.most; };
  const std::string text = k.node->text(key.name);
  const double value = units::parse_quantity(text, dimension);
  if (usual(value) || value == 0)
    return "";
  const std::size_t letters = text.find_last_of("0123456789. ") + 1;
  const std::string number = text.substr(0, letters);
  for (const char* unit : length ? std::array{"mm", "in", "cm"} : std::array{"s", "min", "h"}) {
    const double other = units::parse_quantity(number + unit, dimension);
    if (usual(other))
      return toml_string(text) + " is an odd " + key.name + "; was " +
             toml_string(units::format_number(units::parse_quantity(number + unit, dimension) /
                                              units::from_unit(1, unit, dimension)) +
                         " " + unit) +
             " meant" + (std::string_view(unit) == "in" ? ", " + brief(other, dimension, "mm") : "") + "?";
  }
  return "";
}

void read_value(const Scope& k, const Key& key) {
  if (k.given(key.name)) {
    if (key.to.holds == Holds::text)
      *static_cast<std::string*>(key.to.address(k.filled())) = k.node->text(key.name);
    else if (key.to.holds == Holds::list)
      *static_cast<std::vector<double>*>(key.to.address(k.filled())) =
          k.node->quantities(key.name, key.dimension, key.range);
    else
      key.to.set(k.filled(), given_value(k, key));
    if (std::string_view(key.dimension) == "temperature")
      tell_scale(k, key);
    if (const std::string meant = other_unit_meant(k, key); !meant.empty())
      k.c.odd.push_back(k.path() + "." + key.name + ": " + meant);
    return;
  }
  if (key.missing)
    k.fail(key.name, key.missing);
  if (key.otherwise)
    key.to.set(k.filled(), key.otherwise(k));
  else if (key.usual && key.to.holds == Holds::text)
    *static_cast<std::string*>(key.to.address(k.filled())) = key.usual;
  else if (key.usual)
    key.to.set(k.filled(), usual_value(key));
  else if (key.to.optional)
    return;
  else if (key.to.holds == Holds::text)
    (void)k.node->text(key.name); // missing: the document says so
  else if (key.to.holds == Holds::list)
    (void)k.node->quantities(key.name, key.dimension, key.range);
  else
    (void)given_value(k, key);
}

std::string value_text(const Scope& k, const Key& key) {
  if (key.to.holds == Holds::text)
    return toml_string(*static_cast<std::string*>(key.to.address(k.filled())));
  if (key.to.holds == Holds::list) {
    const auto& values = *static_cast<std::vector<double>*>(key.to.address(k.filled()));
    return values.empty() ? "" : quantities_text(values, key.dimension);
  }
  const auto number = [&](double v) {
    if (!has_dimension(key))
      return units::format_number(v);
    for (const Word& w : key.words)
      if (w.value == v)
        return toml_string(w.word);
    return toml_string(std::string_view(key.dimension) == "time" ? time_text(v)
                                                                 : units::format_quantity(v, key.dimension));
  };
  if (key.to.holds == Holds::faces) {
    const auto& faces = *static_cast<std::array<double, face_count>*>(key.to.address(k.filled()));
    std::string out = "{ ";
    for (std::size_t i = 0; i < faces.size(); ++i)
      out += (i ? ", " : "") + std::string(face_keys[i]) + " = " + number(faces[i]);
    return out + " }";
  }
  const double v = key.to.get(k.filled());
  if (std::isnan(v) || (key.shown == Shown::quiet && key.usual && v == usual_value(key)))
    return "";
  if (key.to.holds == Holds::flag)
    return v != 0 ? "true" : "false";
  if (key.to.holds != Holds::choice)
    return number(v);
  const auto word =
      std::find_if(key.words.begin(), key.words.end(), [&](const Word& w) { return w.value == v; });
  return word == key.words.end() ? "" : toml_string(word->word);
}

/// The path of a table as it stands in headings.
std::string heading_of(const std::string& path) {
  std::string out;
  bool inside = false;
  for (char ch : path) {
    inside = inside ? ch != ']' : ch == '[';
    if (!inside && ch != ']')
      out += ch;
  }
  return out;
}

/// The text of a sub-table with its heading; "" when there is none.
std::string read_tables(const Scope& k, const Key& key) {
  const std::string path = (k.path().empty() ? "" : k.path() + ".") + key.name;
  if (key.to.holds == Holds::tables) {
    std::string out;
    const auto nodes = k.node ? k.node->tables(key.name) : std::vector<Node>();
    for (std::size_t i = 0; i < nodes.size(); ++i)
      out += k.read(key.table(), nodes[i], key.to.address(k.filled()), "[[" + heading_of(path) + "]]",
                    key.name + ("[" + std::to_string(i + 1) + "]"));
    return out;
  }
  const auto node = k.node ? k.node->optional_table(key.name) : std::nullopt;
  if (!node && (key.to.optional || key.table().whole))
    return "";
  return k.read(key.table(), node, key.to.address(k.filled()), "[" + heading_of(path) + "]", key.name);
}

void append_lines(std::vector<std::string>& to, const std::string& text) {
  std::istringstream in(text);
  for (std::string each; std::getline(in, each);)
    to.push_back(each);
}

} // namespace

std::vector<Word> words(std::initializer_list<const char*> all) {
  std::vector<Word> out;
  for (const char* word : all)
    out.push_back({word, static_cast<double>(out.size())});
  return out;
}

bool Scope::sound(const char* of) const {
  if (all_.unread.empty())
    return true;
  std::istringstream in(of ? of : "");
  for (std::string key; in >> key;) {
    const std::string full = key[0] == '/' ? key.substr(1) : path_.empty() ? key : path_ + "." + key;
    for (const std::string& unread : all_.unread) {
      const auto below = [](const std::string& a, const std::string& b) {
        return a.compare(0, b.size(), b) == 0 &&
               (a.size() == b.size() || a[b.size()] == '.' || a[b.size()] == '[');
      };
      if (below(unread, full) || below(full, unread))
        return false;
    }
  }
  return true;
}

void Scope::fail(std::string_view key, const std::string& message) const {
  if (node)
    node->fail(key, message);
  const auto dot = path_.rfind('.');
  outer().fail(dot == std::string::npos ? path_ : path_.substr(dot + 1), message);
}

bool Scope::try_to(std::string_view key, const std::function<void()>& what) const {
  try {
    what();
    return true;
  } catch (const InputError& error) {
    const Scope* at = this;
    while (!at->node)
      at = &at->outer();
    const bool here = error.file() == all_.file || error.file() == records::setting_file;
    all_.lines.push_back(here ? order_of(error) : at->node->line(at == this ? key : ""));
    all_.problems.push_back(error);
    all_.unread.insert(path_.empty() ? std::string(key) : path_ + "." + std::string(key));
    if (node && node->has(key))
      node->accept(key);
    return false;
  }
}

std::string Scope::read(const Table& table, std::optional<Node> at, void* filled, const std::string& heading,
                        std::string name) const {
  const Scope k(all_, this, std::move(at), path_.empty() ? std::move(name) : path_ + "." + name, filled);
  return k.fill(table, heading);
}

std::string Scope::fill(const Table& table, const std::string& heading) const {
  const bool counts = node || !table.stands || table.stands(*this);
  const std::size_t n = table.keys.size();
  std::vector<std::string> texts(n);
  std::vector<std::vector<std::string>> lines(n);
  std::vector<bool> left_out(n, false);
  if (node)
    for (const Key& key : table.keys)
      node->expect(key.name);
  for (std::size_t i = 0; i < n; ++i) {
    const Key& key = table.keys[i];
    const bool plain = key.to.holds != Holds::own && !key.table;
    if (!counts && (!plain || (!key.usual && !key.otherwise)))
      continue;
    try_to(key.name, [&] {
      if ((key.place.refused || key.place.holds) && sound(key.place.of)) {
        const std::string why = key.place.refused        ? key.place.refused(*this)
                                : key.place.holds(*this) ? ""
                                                         : key.place.otherwise;
        left_out[i] = !why.empty();
        if (left_out[i] && given(key.name))
          fail(key.name, why);
        if (left_out[i])
          return;
      }
      if (key.own && !key.table && given(key.name))
        node->accept(key.name);
      if (key.own)
        texts[i] = key.own(const_cast<Scope&>(*this));
      else if (key.table)
        texts[i] = read_tables(*this, key);
      else if (key.to.holds == Holds::faces)
        read_faces(*this, key);
      else if (key.to.holds != Holds::own)
        read_value(*this, key);
    });
    lines[i] = std::move(told);
    told.clear();
  }
  if (!counts)
    return "";
  for (const Rule& rule : table.rules)
    if (sound(rule.of))
      try_to("", [&] { rule.check(*this); });
  if (!all_.problems.empty())
    return "";

  std::string text, below;
  std::vector<std::string> assumed;
  for (std::size_t i = 0; i < n; ++i) {
    const Key& key = table.keys[i];
    assumed.insert(assumed.end(), lines[i].begin(), lines[i].end());
    if (left_out[i])
      continue;
    if (key.told && !given(key.name) && key.told(*this))
      append_lines(assumed, key.assumed ? key.assumed(*this) : key.assumption);
    if (key.table)
      below += texts[i];
    else if (!key.written || key.written(*this)) {
      const std::string value = key.own ? texts[i] : key.to.holds == Holds::own ? "" : value_text(*this, key);
      if (!value.empty())
        text += line(key.name, value);
      else if (key.unset)
        text += "# " + std::string(key.name) + ": " + key.unset + "\n";
    }
  }
  if (table.assumed)
    append_lines(assumed, table.assumed(*this));
  if (outer_)
    outer_->told.insert(outer_->told.end(), assumed.begin(), assumed.end());
  else
    c.defaults = std::move(assumed);
  if (heading.empty() || (table.whole && text.empty()))
    return text + below;
  return "\n" + heading + "\n" + text + below;
}

int order_of(const InputError& problem) {
  return problem.file() == records::setting_file ? std::numeric_limits<int>::max() : problem.line();
}

RecordText Scope::record(RecordKind kind, std::string_view key, std::string& name,
                         std::string_view override_key) const {
  std::optional<RecordText> found;
  if (is_record_path(name)) {
    found = all_.records.at_path(kind, name);
    if (!found)
      fail(key, toml_string(name) + " cannot be read; paths count from the folder of the case file");
  } else {
    found = all_.records.shipped(kind, name);
    if (const std::string known = found ? "" : key_by_title(all_.records, kind, name); !known.empty()) {
      told.push_back(toml_string(name) + " is " + known + " here");
      name = known;
      found = all_.records.shipped(kind, name);
    }
    if (!found) {
      const std::vector<std::string> known = all_.records.keys(kind);
      const std::string near = records::nearest(name, known);
      fail(key, toml_string(name) + " is no shipped " + record_kind_name(kind) + "; " +
                    (near.empty() ? "" : "did you mean " + toml_string(near) + "? ") +
                    "allowed: " + list(known) + ", or the path of your own record (.toml)");
    }
  }
  if (given(override_key)) {
    (void)node->table(override_key);
    node->accept(override_key);
    found->text = records::overlay(found->text, *node, override_key);
  }
  return *found;
}

std::string brief(double si, std::string_view dimension, std::string_view unit) {
  const std::string exact = units::format_quantity(si, dimension, unit);
  const auto space = exact.find(' ');
  const double value = units::parse_number(exact.substr(0, space));
  if (value == 0 || space == std::string::npos)
    return exact;
  const double scale = math::pow(10.0, 3 - std::floor(math::log10(std::abs(value))));
  return units::format_number(std::round(value * scale) / scale) + exact.substr(space);
}

std::string both_degrees(double degC) {
  return brief(degC, "temperature") +
         units::formatted(" (%.0f degF)", std::round(degC * 1.8 + 32) + 0.0); // no "-0"
}

std::string time_text(double s) {
  constexpr double minute = 60, hour = 3600;
  const char* unit = s >= 2 * hour && std::fmod(s, hour) == 0   ? "h"
                     : s >= minute && std::fmod(s, minute) == 0 ? "min"
                                                                : "s";
  return units::format_quantity(s, "time", unit);
}

std::string list(const std::vector<std::string>& all) {
  std::string out;
  for (const std::string& w : all)
    out += (out.empty() ? "" : ", ") + w;
  return out;
}

std::string line(std::string_view key, std::string_view value) {
  return std::string(key) + " = " + std::string(value) + "\n";
}

std::string quantities_text(const std::vector<double>& si, std::string_view dimension) {
  std::string out = "[";
  for (double v : si)
    out += (out.size() > 1 ? ", " : "") + toml_string(units::format_quantity(v, dimension));
  return out + "]";
}

} // namespace tq::treatment::keys
