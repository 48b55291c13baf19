// A TOML text as a tree of values, each with the place at which it stands. Below document.hpp, which reads
// it.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace tq::records {

enum class Kind { text, integer, real, boolean, date, array, table };

struct Entry;

/// One value of the tree. The `mutable` part is the reader's bookkeeping.
struct Value {
  Kind kind = Kind::table;
  std::shared_ptr<const std::string> file;
  int line = 1;
  std::string text; ///< text, date; of a setting any value as it was typed
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

/// The tree of a text by toml11, which knows all of TOML: for what is not plain (plain_toml.hpp), and its
/// cross-check. Throws InputError.
Value read_by_toml11(std::string_view text, const std::shared_ptr<const std::string>& file);

} // namespace tq::records
