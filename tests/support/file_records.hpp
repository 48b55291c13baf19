// Records for tests: the shipped ones from materials/, others by path from a folder given.
#pragma once

#include "treatment/case_reader.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace tq::test {

/// The whole file, or nothing when it cannot be read.
inline std::optional<std::string> read_file(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in)
    return std::nullopt;
  return std::string(std::istreambuf_iterator<char>(in), {});
}

class FileRecords : public treatment::RecordSource {
 public:
  /// `folder`: where paths of records count from.
  explicit FileRecords(std::filesystem::path folder = TQ_SOURCE_DIR) : folder_(std::move(folder)) {}

  std::optional<treatment::RecordText> shipped(treatment::RecordKind kind,
                                               const std::string& key) const override {
    if (key.empty() || key.find_first_of(std::string_view("/\\\0", 3)) != std::string::npos)
      return std::nullopt;
    const std::string place = relative(kind) + key + ".toml";
    const auto text = read_file(std::filesystem::path(TQ_SOURCE_DIR) / place);
    return text ? std::optional(treatment::RecordText{*text, place}) : std::nullopt;
  }
  std::optional<treatment::RecordText> at_path(treatment::RecordKind,
                                               const std::string& path) const override {
    const auto text = read_file(folder_ / path);
    return text ? std::optional(treatment::RecordText{*text, path}) : std::nullopt;
  }
  std::vector<std::string> keys(treatment::RecordKind kind) const override {
    std::vector<std::string> out;
    for (const auto& entry :
         std::filesystem::directory_iterator(std::filesystem::path(TQ_SOURCE_DIR) / relative(kind)))
      if (entry.path().extension() == ".toml")
        out.push_back(entry.path().stem().string());
    std::sort(out.begin(), out.end());
    return out;
  }

 private:
  static std::string relative(treatment::RecordKind kind) {
    switch (kind) {
    case treatment::RecordKind::steel:
      return "materials/steels/";
    case treatment::RecordKind::coolant:
      return "materials/coolants/";
    case treatment::RecordKind::foil:
      return "materials/foils/";
    case treatment::RecordKind::solid:
      return "materials/solids/";
    case treatment::RecordKind::phases:
    case treatment::RecordKind::uncertainty:
    case treatment::RecordKind::strains:
    case treatment::RecordKind::log:
    case treatment::RecordKind::temper_model:
      break;
    }
    return "materials/";
  }
  std::filesystem::path folder_;
};

} // namespace tq::test
