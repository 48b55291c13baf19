#include "treatment/key_facts.hpp"

#include "treatment/keys/key.hpp"

#include <algorithm>

namespace tq::treatment {

namespace {

using keys::Key;
using keys::Slot;
using keys::Table;

const Key* key_of(const Table& table, const std::string& name) {
  const auto found =
      std::find_if(table.keys.begin(), table.keys.end(), [&](const Key& key) { return name == key.name; });
  return found == table.keys.end() ? nullptr : &*found;
}

KeyFacts facts_of(const Key& key) {
  using Holds = KeyFacts::Holds;
  KeyFacts out;
  out.says = key.says;
  switch (key.to.holds) {
  case Slot::Holds::number:
    out.holds = Holds::number;
    out.dimension = key.dimension;
    break;
  case Slot::Holds::integer:
    out.holds = Holds::integer;
    break;
  case Slot::Holds::text:
  case Slot::Holds::choice:
  case Slot::Holds::flag:
    out.holds = Holds::word;
    break;
  case Slot::Holds::own:
    if (*key.dimension) {
      out.holds = Holds::number;
      out.dimension = key.dimension;
    } else if (std::isfinite(key.range.most) && key.words.empty()) {
      out.holds = Holds::integer; // a count with a reader of its own
    }
    break;
  default:
    break;
  }
  return out;
}

/// In this table and below, from part `at` of the path on.
std::optional<KeyFacts> facts_in(const Table& table, const std::vector<std::string>& parts, std::size_t at) {
  const Key* key = at < parts.size() ? key_of(table, parts[at]) : nullptr;
  if (key == nullptr)
    return {};
  if (at + 1 == parts.size())
    return key->table != nullptr ? std::nullopt : std::optional(facts_of(*key));
  if (key->table == nullptr)
    return {};
  if (const auto found = facts_in(key->table(), parts, at + 1))
    return found;
  return facts_in(key->table(), parts, at + 2); // behind a number or a name
}

} // namespace

std::vector<std::string> parts_of_key(std::string_view path) {
  std::vector<std::string> out(1);
  char quote = 0;
  for (const char ch : path) {
    if (quote != 0 ? ch == quote : ch == '"' || ch == '\'')
      quote = quote != 0 ? '\0' : ch;
    else if (quote != 0 || (ch != '.' && ch != '[' && ch != ']'))
      out.back() += ch;
    else if (ch != ']')
      out.emplace_back();
  }
  return out;
}

std::optional<KeyFacts> key_facts(std::string_view path) {
  const std::vector<std::string> parts = parts_of_key(path);
  if (const auto found = facts_in(keys::case_table(), parts, 0))
    return found;
  if (parts.front() != "step")
    return {};
  for (const auto& [kind, table] : keys::step_pages())
    for (const std::size_t at : {std::size_t{1}, std::size_t{2}})
      if (const auto found = facts_in(table, parts, at))
        return found;
  return {};
}

} // namespace tq::treatment
