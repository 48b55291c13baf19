// The tree of a TOML text that document.cpp hands to the readers of records, and its two parsers: a quick one
// for what people usually write, and toml11, which knows the whole language and what to say about errors.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tq::records {

enum class Kind { text, integer, real, boolean, date, array, table };

struct Entry;

/// One value of the tree, with the place at which it stands. The `mutable` part is the reader's bookkeeping.
struct Value {
  Kind kind = Kind::table;
  std::shared_ptr<const std::string> file;
  int line = 1;
  std::string text; ///< text, date
  double number = 0;
  std::int64_t whole = 0;
  bool flag = false;
  std::vector<Value> items;
  std::vector<Entry> entries;
  mutable std::vector<std::string> asked; ///< keys that a reader asked this table for

  const Entry* find(std::string_view key) const;
  Entry* find(std::string_view key);
};

struct Entry {
  std::string key;
  Value value;
  mutable bool known = false;
};

/// The tree of a text of headings, keys, texts, numbers, truth values, lists and inline tables; nothing where
/// there is an error or anything rarer (dates, numbers with underscores, \u, dotted keys before an =, tables
/// taken up again), which toml11 must judge. The text has passed check_text() of document.cpp.
std::optional<Value> parse_usual(std::string_view text, const std::shared_ptr<const std::string>& file);

/// The tree by toml11; throws InputError in one line.
Value parse_any(std::string_view text, const std::string& file);

} // namespace tq::records
