// The steels shipped in materials/steels, read once.
#pragma once

#include "records/read_steel.hpp"

#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>
#include <stdexcept>
#include <string>

namespace tq::shipped {

inline std::string text_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  if (!in)
    throw std::runtime_error("cannot read " + file.string());
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

inline std::filesystem::path materials() { return std::filesystem::path(TQ_SOURCE_DIR) / "materials"; }

inline const records::Phases& phases() {
  static const records::Phases read =
      records::read_phases(text_of(materials() / "phases.toml"), "phases.toml");
  return read;
}

/// All shipped steels by key.
inline const std::map<std::string, records::SteelRecord>& steels() {
  static const std::map<std::string, records::SteelRecord> read = [] {
    std::map<std::string, records::SteelRecord> all;
    for (const auto& entry : std::filesystem::directory_iterator(materials() / "steels"))
      if (entry.path().extension() == ".toml") {
        records::SteelRecord steel =
            records::read_steel(text_of(entry.path()), entry.path().filename().string(), phases());
        all.emplace(steel.key, steel);
      }
    return all;
  }();
  return read;
}

} // namespace tq::shipped
