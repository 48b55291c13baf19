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
  std::unique_ptr<MaterialLibrary> library;
  std::unique_ptr<sweep::KeptRecords> records;
  treatment::Case base;
  std::vector<sweep::Column> columns;
  std::unique_ptr<TriedCases> tried;

  treatment::Case read(const std::vector<records::Setting>& settings) const {
    if (std::optional<treatment::Case> known = tried->take(settings))
      return std::move(*known);
    return treatment::read_case(case_text, case_file, *records, settings);
  }
};

/// Reads the plan at the path `name` and all that it names, and tries the values of its axes. `materials` is
/// what --materials says. Throws records::InputError.
OpenedPlan open_plan(const std::string& name, const std::optional<std::filesystem::path>& materials);

/// The head of a file with the rows of a shard; `command_line` is told in the result.
output::RowsHead rows_head(const OpenedPlan& opened, const sweep::Shard& shard,
                           const std::string& command_line);

} // namespace tq::program
