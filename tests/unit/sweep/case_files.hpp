// The shipped cases and records as the tests of this room read them.
#pragma once

#include "answers/compute.hpp"
#include "records/read_steel.hpp"
#include "steel/record_gaps.hpp"
#include "treatment/case_reader.hpp"

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace tq::test {

/// Records in the source tree; those of steels come with their gaps filled, as the program hands them out.
class CaseFiles : public treatment::RecordSource {
 public:
  std::optional<treatment::RecordText> shipped(treatment::RecordKind kind,
                                               const std::string& key) const override {
    using treatment::RecordKind;
    const std::string folder = kind == RecordKind::steel     ? "steels/"
                               : kind == RecordKind::coolant ? "coolants/"
                               : kind == RecordKind::foil    ? "foils/"
                               : kind == RecordKind::solid   ? "solids/"
                                                             : "";
    const std::string file = root() + "materials/" + folder + key + ".toml";
    if (!std::filesystem::exists(file))
      return {};
    std::string text = text_of(file);
    if (kind == RecordKind::steel)
      text = steel::fill_gaps(
                 text, file, records::read_phases(text_of(root() + "materials/phases.toml"), "phases"),
                 steel::read_temper_model(text_of(root() + "materials/temper_model.toml"), "model"))
                 .text;
    return treatment::RecordText{text, file};
  }
  std::optional<treatment::RecordText> at_path(treatment::RecordKind,
                                               const std::string& path) const override {
    const std::string file = root() + "cases/" + path;
    if (!std::filesystem::exists(file))
      return {};
    return treatment::RecordText{text_of(file), file};
  }
  std::vector<std::string> keys(treatment::RecordKind) const override { return {}; }

  treatment::Case read(const std::string& name, const std::vector<records::Setting>& settings = {}) const {
    return treatment::read_case(text_of(root() + "cases/" + name), name, *this, settings);
  }

 private:
  static std::string root() { return std::string(TQ_SOURCE_DIR) + "/"; }
  static std::string text_of(const std::string& file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
  }
};

} // namespace tq::test
