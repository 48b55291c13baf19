// A plan of a sweep with the files it names: base case, tables and records.
#pragma once

#include "output/files/rows_file.hpp"
#include "output/origin.hpp"
#include "program/material_library.hpp"
#include "sweep/columns.hpp"
#include "sweep/run_sweep.hpp"

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace tq::program {

/// A plan with all that its cases need, held in memory.
struct OpenedPlan {
  sweep::Plan plan;
  std::string case_text, case_file;
  std::vector<output::InputFile> tables;
  std::unique_ptr<MaterialLibrary> library;
  std::unique_ptr<sweep::KeptRecords> records;
  treatment::Case base;
  std::vector<sweep::Column> columns;

  treatment::Case read(const std::vector<records::Setting>& settings) const {
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
