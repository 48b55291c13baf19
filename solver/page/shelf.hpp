// The shipped records and cases, built in, and records of the maker's own that the page was handed.
#pragma once

#include "treatment/case_reader.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace tq::page {

struct Example {
  std::string key, title, text;
};

class Shelf : public treatment::RecordSource {
 public:
  std::optional<treatment::RecordText> shipped(treatment::RecordKind kind,
                                               const std::string& key) const override;
  /// What put() was given under this name.
  std::optional<treatment::RecordText> at_path(treatment::RecordKind kind,
                                               const std::string& path) const override;
  std::vector<std::string> keys(treatment::RecordKind kind) const override;

  /// A record of the maker's own. A steel may have gaps, as for the program.
  void put(const std::string& path, std::string text) { own_[path] = std::move(text); }

  /// A text that put() was given: under this name, or under the last part of this path. Nothing: null.
  const std::string* own(const std::string& path) const;

  /// The title of a shipped record: its designation or name.
  std::string title(treatment::RecordKind kind, const std::string& key) const;
  /// The shipped cases, in the order of their names.
  static std::vector<Example> examples();

 private:
  treatment::RecordText whole(treatment::RecordKind kind, treatment::RecordText record) const;

  std::map<std::string, std::string> own_;
  mutable std::map<std::string, std::string> filled_; ///< steels whose gaps have been filled, by their text
};

} // namespace tq::page
