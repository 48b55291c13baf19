// The shipped records for what reads many cases.
#pragma once

#include "../support/file_records.hpp"
#include "treatment/read_records.hpp"

#include <algorithm>
#include <map>

namespace tq::test {

/// Without the lines that are remarks alone: what is read is the same, and reads in half the time.
inline std::string without_remarks(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size() - 1) + 1;
    if (text.front() != '#')
      out += text.substr(0, end);
    text.remove_prefix(end);
  }
  return out;
}

/// The shipped records, read from the disk once; nothing of what a case names grows in memory.
class KeptRecords : public treatment::RecordSource {
 public:
  std::optional<treatment::RecordText> shipped(treatment::RecordKind kind,
                                               const std::string& key) const override {
    const auto& texts = texts_of(kind);
    const auto found = texts.find(key);
    return found == texts.end() ? std::nullopt : std::optional(found->second);
  }
  std::optional<treatment::RecordText> at_path(treatment::RecordKind, const std::string&) const override {
    return std::nullopt;
  }
  std::vector<std::string> keys(treatment::RecordKind kind) const override {
    std::vector<std::string> out;
    for (const auto& one : texts_of(kind))
      out.push_back(one.first);
    return out;
  }
  treatment::ReadRecords* kept() const override { return &read_; }

 private:
  using Texts = std::map<std::string, treatment::RecordText>;
  const Texts& texts_of(treatment::RecordKind kind) const {
    const auto place = kept_.try_emplace(kind);
    if (place.second)
      for (const std::string& key : files_.keys(kind))
        if (auto record = files_.shipped(kind, key)) {
          record->text = without_remarks(record->text);
          place.first->second.emplace(key, std::move(*record));
        }
    return place.first->second;
  }

  FileRecords files_;
  mutable std::map<treatment::RecordKind, Texts> kept_;
  mutable treatment::ReadRecords read_;
};

} // namespace tq::test
