// A TOML text as the readers of records and cases see it: typed access with units, unknown keys found, and
// every error told as one line: file:line: key: what was read, what is allowed. The only user of toml11 is
// document.cpp.
#pragma once

#include "records/table.hpp"

#include <functional>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace tq::records {

/// Bad input; what() is one clear line (file:line: key: what was read; what is allowed). Maps to exit code 2.
class InputError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
  InputError(const std::string& what, std::string file, int line)
      : std::runtime_error(what), file_(std::move(file)), line_(line) {}
  /// Where it stands; empty and 0 when that is not known.
  const std::string& file() const { return file_; }
  int line() const { return line_; }

 private:
  std::string file_;
  int line_ = 0;
};

/// Closed or open bounds for a number, in the SI unit of the quantity (degC for temperatures).
struct Range {
  double least, most;
  bool least_open = false; ///< true: the value must be greater than `least`

  bool holds(double value) const {
    return !(value < least || value > most || (least_open && value == least));
  }
};

/// A table (or an array element) of the document. Cheap to copy. All getters throw InputError.
/// Getters mark their key as known; `finish()` on the root reports the first key that nobody asked for.
/// Elements of arrays are counted from 1 in messages and paths.
class Node {
 public:
  struct Impl;
  explicit Node(std::shared_ptr<Impl> impl);

  bool has(std::string_view key) const;
  /// True when the key holds a text (where a word may stand instead of a number).
  bool is_text(std::string_view key) const;
  /// Sub-table; it is an error if the key is missing or no table.
  Node table(std::string_view key) const;
  /// Sub-table, or nothing when the key is absent.
  std::optional<Node> optional_table(std::string_view key) const;
  /// Array of tables ([[key]]); empty when absent.
  std::vector<Node> tables(std::string_view key) const;
  std::vector<std::string> keys() const;

  std::string text(std::string_view key) const;
  std::string text(std::string_view key, std::string_view otherwise) const;
  /// One of the allowed words; the message lists them and suggests the nearest.
  std::string choice(std::string_view key, const std::vector<std::string>& allowed) const;
  std::string choice(std::string_view key, const std::vector<std::string>& allowed,
                     std::string_view otherwise) const;
  bool flag(std::string_view key, bool otherwise) const;
  int integer(std::string_view key, Range range, std::optional<int> otherwise = {}) const;
  /// Dimensionless number, written bare.
  double number(std::string_view key, Range range, std::optional<double> otherwise = {}) const;
  /// Dimensional value, written as a string with its unit; result in SI (degC for `temperature`, see
  /// units/quantity.hpp).
  /// `like`: a usual value of this key, which tells the unit when there is none.
  double quantity(std::string_view key, std::string_view dimension, Range range,
                  std::optional<double> otherwise = {}, std::string_view like = {}) const;
  std::optional<double> optional_quantity(std::string_view key, std::string_view dimension,
                                          Range range) const;
  /// Array of bare numbers.
  std::vector<double> numbers(std::string_view key, Range range) const;
  /// Array of dimensional values, each a string with unit, or bare numbers when the table has `unit = "..."`
  /// beside them.
  std::vector<double> quantities(std::string_view key, std::string_view dimension, Range range) const;
  std::vector<std::string> texts(std::string_view key) const;

  /// Throws InputError for this key: "file:line: key: message". For checks that need more than one value.
  /// With an empty key the table itself is meant.
  [[noreturn]] void fail(std::string_view key, std::string_view message) const;
  /// Marks the key itself as one that may stand here.
  void expect(std::string_view key) const;
  /// Marks the key and everything below it as known, whatever it holds.
  void accept(std::string_view key) const;
  /// The value of this key as TOML on one line (strings quoted, tables as { ... }); "" when absent.
  std::string written(std::string_view key) const;
  /// Line of the file on which the key stands (the table's own line when it is absent or `key` is empty).
  int line(std::string_view key) const;
  /// Dotted path of this table, "" for the root.
  std::string path() const;
  /// The keys of this table (and all below) that no getter asked for, one error each.
  std::vector<InputError> unknown_keys() const;
  /// Throws the first of them.
  void finish() const;

 private:
  friend std::string overlay(std::string_view base, const Node& over, std::string_view key);
  std::shared_ptr<Impl> impl_;
};

/// A value given beside the file, which replaces what stands there.
struct Setting {
  std::string path;  ///< dotted; an element of [[list]] by its number (list.2.key, list[2].key) or its name
  std::string value; ///< as TOML, or a text without its quotes
};

/// The name under which messages speak of a Setting.
inline constexpr const char* setting_file = "--set";

/// Reads TOML text and lays the settings on it. `file` is only used in messages. Throws InputError (syntax
/// errors with line).
Node parse_document(std::string_view text, std::string file, const std::vector<Setting>& settings = {});

/// A text for parse_document() (and so for every reader of records) that is `base` with the table at the
/// dotted path `over_path` of `over` laid on it: tables are merged, anything else is replaced. A plain number
/// or value with a unit gets the source "given in the case file" (see records/sourced.hpp) unless it is
/// written as a table with a `source` of its own. Messages still name the file and line at which each value
/// really stands.
std::string overlay(std::string_view base, std::string_view over, std::string_view over_file,
                    std::string_view over_path);

/// The same with the table `key` of a document, the settings laid on it included; `base` itself when there is
/// none.
std::string overlay(std::string_view base, const Node& over, std::string_view key);

/// `text` as a TOML string in quotes.
std::string toml_string(std::string_view text);

/// The bounds in words: "more than 0 mm up to 1 m".
std::string allowed(const Range& range, std::string_view dimension);

/// The word of `known` nearest to `word`, or "" when none is near.
std::string nearest(std::string_view word, const std::vector<std::string>& known);

} // namespace tq::records
