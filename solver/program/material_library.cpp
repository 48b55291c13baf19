#include "program/material_library.hpp"

#include "records/read_steel.hpp"

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <iostream>
#include <system_error>

namespace tq::program {
namespace {

namespace fs = std::filesystem;
using records::InputError;
using treatment::RecordKind;
using treatment::RecordText;

constexpr std::size_t most_bytes = 8 << 20; ///< no case and no record comes near this

bool holds_records(const fs::path& folder) {
  std::error_code none;
  return fs::is_directory(folder / "steels", none);
}

/// Reads to the end, or to just above the limit.
std::string slurp(std::istream& in) {
  std::string text;
  char block[65536];
  while (text.size() <= most_bytes && (in.read(block, sizeof block) || in.gcount() > 0))
    text.append(block, static_cast<std::size_t>(in.gcount()));
  return text;
}

} // namespace

fs::path find_materials(const std::optional<fs::path>& asked) {
  const char* variable = std::getenv("THINQUENCH_MATERIALS");
  if (asked || (variable != nullptr && *variable != '\0')) {
    const fs::path folder = asked ? *asked : fs::path(variable);
    if (!holds_records(folder))
      throw InputError(std::string(asked ? "--materials" : "THINQUENCH_MATERIALS") + ": '" + folder.string() +
                       "' is no folder of records (it has no folder steels)");
    return folder;
  }
  std::error_code none;
  const fs::path executable = fs::read_symlink("/proc/self/exe", none);
  const fs::path installed = executable.parent_path().parent_path() / "share/thinquench/materials";
  const fs::path source = TQ_SOURCE_MATERIALS;
  for (const fs::path& folder : {installed, source})
    if (holds_records(folder))
      return folder;
  throw InputError("no records found in " + installed.string() + " nor in " + source.string() +
                   "; name their folder with --materials or THINQUENCH_MATERIALS");
}

MaterialLibrary::MaterialLibrary(fs::path materials, fs::path beside)
    : materials_(std::move(materials)), beside_(std::move(beside)) {}

fs::path MaterialLibrary::folder(RecordKind kind) const {
  switch (kind) {
  case RecordKind::steel:
    return materials_ / "steels";
  case RecordKind::coolant:
    return materials_ / "coolants";
  case RecordKind::foil:
    return materials_ / "foils";
  case RecordKind::solid:
    return materials_ / "solids";
  case RecordKind::phases:
  case RecordKind::uncertainty:
  case RecordKind::strains:
  case RecordKind::log:
  case RecordKind::temper_model:
    break;
  }
  return materials_;
}

std::optional<RecordText> MaterialLibrary::read(const fs::path& file) const {
  std::error_code none;
  if (!fs::is_regular_file(file, none))
    return {};
  std::ifstream in(file, std::ios::binary);
  if (!in)
    return {};
  std::string text = slurp(in);
  if (text.size() > most_bytes)
    throw InputError(file.string() + ": larger than 8 MiB, which is no record");
  const bool known = std::any_of(handed_out_.begin(), handed_out_.end(),
                                 [&](const output::InputFile& f) { return f.name == file.string(); });
  if (!known)
    handed_out_.push_back({file.string(), text});
  return RecordText{std::move(text), file.string()};
}

std::optional<RecordText> MaterialLibrary::shipped(RecordKind kind, const std::string& key) const {
  if (key.empty() || key.find('/') != std::string::npos)
    return {};
  std::optional<RecordText> record = read(folder(kind) / (key + ".toml"));
  if (record && kind == RecordKind::steel)
    record->text = fill_steel(materials_, *record).text;
  return record;
}

std::optional<RecordText> MaterialLibrary::at_path(RecordKind kind, const std::string& path) const {
  // A message may quote a line of what it could not read, so nothing but records and logs is read, by
  // whatever name.
  std::error_code none;
  if (fs::canonical(beside_ / path, none).extension() != (kind == RecordKind::log ? ".csv" : ".toml"))
    return {};
  std::optional<RecordText> record = read(beside_ / path);
  if (record && kind == RecordKind::steel)
    record->text = fill_steel(materials_, *record).text;
  return record;
}

steel::FilledRecord fill_steel(const fs::path& materials, const RecordText& record) {
  const auto text_of = [](const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    if (!in)
      throw InputError(file.string() + ": cannot be read");
    return slurp(in);
  };
  const fs::path phases = materials / "phases.toml", model = materials / "temper_model.toml";
  return steel::fill_gaps(record.text, record.file, records::read_phases(text_of(phases), phases.string()),
                          steel::read_temper_model(text_of(model), model.string()));
}

std::vector<std::string> MaterialLibrary::keys(RecordKind kind) const {
  std::vector<std::string> found;
  std::error_code none;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder(kind), none))
    if (entry.path().extension() == ".toml")
      found.push_back(entry.path().stem().string());
  std::sort(found.begin(), found.end());
  return found;
}

void expect_named(const std::string& file, const char* extension) {
  std::error_code none;
  const fs::path real = fs::canonical(file, none);
  if (!real.empty() && (real.extension() != extension || !fs::is_regular_file(real, none)))
    throw InputError(file + ": is no " + extension + " file, so it is not read");
}

std::string read_case_text(const std::string& path) {
  std::string text;
  if (path == "-") {
    text = slurp(std::cin);
  } else {
    std::error_code none;
    if (fs::is_directory(path, none))
      throw InputError(path + ": is a folder, a case file is expected");
    std::ifstream in(path, std::ios::binary);
    if (!in)
      throw InputError(path + ": cannot be read: " + std::strerror(errno));
    text = slurp(in);
  }
  if (text.size() > most_bytes)
    throw InputError(path + ": larger than 8 MiB, which is no case");
  return text;
}

} // namespace tq::program
