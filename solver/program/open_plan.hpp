// A plan of a sweep with the files it names: base case, tables and records.
#pragma once

#include "output/files/rows_file.hpp"
#include "output/origin.hpp"
#include "program/material_library.hpp"
#include "sweep/columns.hpp"
#include "sweep/run_sweep.hpp"

#include <filesystem>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

namespace tq::program {

/// Cases that were read when the values of the axes were tried, until it is their turn: reading takes a tenth
/// of what a temper does. Any thread may ask.
class TriedCases {
 public:
  /// Keeps the case that is read with these settings, unless there are many already.
  void keep(const std::vector<records::Setting>& settings, treatment::Case c);
  /// Gives it away.
  std::optional<treatment::Case> take(const std::vector<records::Setting>& settings);

 private:
  std::mutex guard_;
  std::map<std::string, treatment::Case> kept_; ///< by their settings
};

/// A plan with all that its cases need, held in memory.
struct OpenedPlan {
  sweep::Plan plan;
  std::string case_text, case_file;
  std::vector<output::InputFile> tables;
  std::vector<records::Setting> set; ///< laid on the base case before what the plan says
  std::unique_ptr<MaterialLibrary> library;
  std::unique_ptr<sweep::KeptRecords> records;
  treatment::Case base;
  std::vector<sweep::Column> columns;
  std::unique_ptr<TriedCases> tried;

  treatment::Case read(const std::vector<records::Setting>& settings) const {
    if (std::optional<treatment::Case> known = tried->take(settings))
      return std::move(*known);
    std::vector<records::Setting> all = set;
    all.insert(all.end(), settings.begin(), settings.end());
    return treatment::read_case(case_text, case_file, *records, all);
  }
};

/// Reads the plan at the path `name` and all that it names, and tries the values of its axes. `materials` is
/// what --materials says, `set` is laid on the base case; a key of it may be no axis. Throws
/// records::InputError.
OpenedPlan open_plan(const std::string& name, const std::optional<std::filesystem::path>& materials,
                     std::vector<records::Setting> set = {});

/// The head of a file with the rows of a shard; `command_line` is told in the result.
output::RowsHead rows_head(const OpenedPlan& opened, const sweep::Shard& shard,
                           const std::string& command_line);

} // namespace tq::program
