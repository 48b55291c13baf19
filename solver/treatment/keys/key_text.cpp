// Tables of keys as texts for people: the case to fill in.
#include "treatment/keys/key.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <sstream>

namespace tq::treatment::keys {
namespace {

using records::toml_string;
using Holds = Slot::Holds;

constexpr std::size_t remark_column = 32;

/// `left` with its remark behind it, at the column of remarks.
std::string with_remark(std::string left, std::string_view remark) {
  if (remark.empty())
    return left + "\n";
  left.resize(std::max(left.size() + 1, remark_column), ' ');
  return left + "# " + std::string(remark) + "\n";
}

/// What the blank case shows as the value, in TOML.
std::string shown_value(const Key& key) {
  const char* text = key.shown != Shown::always && key.sample ? key.sample
                     : key.usual                              ? key.usual
                                                              : key.sample;
  if (!text)
    return "";
  const bool number =
      text[0] != '\0' && std::string_view("+-.0123456789").find(text[0]) != std::string_view::npos;
  const bool quoted = key.to.holds == Holds::text || key.to.holds == Holds::choice ||
                      (key.to.holds == Holds::number && (*key.dimension || !number));
  return quoted ? toml_string(text) : text;
}

/// Every line that is not empty and no remark, behind a #.
std::string put_aside(const std::string& text) {
  std::istringstream in(text);
  std::string out;
  for (std::string each; std::getline(in, each);)
    out += (each.empty() || each[0] == '#' ? "" : "#") + each + "\n";
  return out;
}

std::string blank_table(const Table& table, const std::string& heading, const std::string& path) {
  std::string text = *table.head ? std::string(table.head) + "\n" : "";
  if (!heading.empty())
    text += with_remark(heading, table.remark);
  std::string below;
  for (const Key& key : table.keys) {
    const std::string full = path.empty() ? key.name : path + "." + key.name;
    if (key.block)
      below += key.block;
    else if (key.table) {
      const bool several = key.to.holds == Holds::tables || key.own;
      const bool aside = key.to.optional || key.to.holds == Holds::tables;
      const bool single = !several || path.empty();
      const std::string inner = blank_table(
          key.table(), single && key.to.holds != Holds::tables ? "[" + full + "]" : "[[" + full + "]]", full);
      below += (path.empty() || !aside ? "\n" : "") + (aside ? put_aside(inner) : inner);
    } else if (const std::string value = shown_value(key); !value.empty())
      text += with_remark((key.shown == Shown::always ? "" : "#") + std::string(key.name) + " = " + value,
                          key.says);
  }
  return text + below;
}

std::string cell(std::string_view text) {
  std::string out;
  for (char c : text)
    out += c == '|' ? std::string("\\|") : std::string(1, c);
  return out;
}

/// What may stand behind the key.
std::string allowed_values(const Key& key) {
  std::string out;
  for (const Word& w : key.words)
    out += (out.empty() ? "" : ", ") + toml_string(w.word);
  const bool number = key.to.holds != Holds::choice && std::isfinite(key.range.least);
  if (number)
    out += (out.empty() ? "" : ", or ") + records::allowed(key.range, key.dimension);
  if (key.to.holds == Holds::list)
    out = "a list, each " + out;
  if (key.to.holds == Holds::faces)
    out = "{ flank_a, flank_b, spine, edge }, each " + out;
  if (key.to.holds == Holds::flag)
    out = "true, false";
  return out.empty() && key.to.holds == Holds::text ? "a text" : out;
}

std::string default_of(const Key& key) {
  if (key.otherwise)
    return "by rule";
  if (key.usual)
    return *key.usual ? key.usual : "none";
  return key.to.optional || key.own || key.shown != Shown::always ? "" : "needed";
}

void add_page(const Table& table, const std::string& path, std::string& out) {
  out += "\n## " + (path.empty() ? "At the head" : "`" + path + "`") + "\n\n" +
         "| key | value | default | meaning | doubt |\n|---|---|---|---|---|\n";
  for (const Key& key : table.keys)
    if (!key.table)
      out += "| `" + std::string(key.name) + "` | " + cell(allowed_values(key)) + " | " +
             cell(default_of(key)) + " | " + cell(key.says) + " | " + (key.doubt ? key.doubt : "") + " |\n";
  if (!table.rules.empty())
    out += "\nChecked together:";
  for (const Rule& rule : table.rules)
    out += std::string(&rule == &table.rules.front() ? " " : "; ") + rule.name;
  out += table.rules.empty() ? "" : ".\n";
  for (const Key& key : table.keys)
    if (key.table &&
        !(key.block && key.table().keys.size() > 12)) // the second bath has the keys of the first
      add_page(key.table(), (path.empty() ? "" : path + ".") + key.name, out);
}

} // namespace

std::string page_text(const Table& table) {
  std::string out =
      "# All keys of a case\n\nWritten by `scripts/update-keys` from the table of keys in the program; "
      "`thinquench blank` prints a case to fill in. A default\n\"by rule\" follows from other "
      "keys and records, as its meaning says. The last column is the key under `[uncertainty]` that "
      "says\nhow well the value is known.\n";
  add_page(table, "", out);
  add_page(air_step_table(), "step of kind air", out);
  add_page(cold_step_table(), "step of kind cold", out);
  return out;
}

std::string blank_text(const Table& table) { return blank_table(table, "", ""); }

} // namespace tq::treatment::keys
