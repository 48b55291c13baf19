// Where a result comes from, gathered once and written into every file.
#pragma once

#include "answers/answers.hpp"

#include <string>
#include <vector>

namespace tq::output {

struct InputFile {
  std::string name; ///< path as the reader was given it
  std::string text;
};

/// What only the program knows about a run.
struct OutputInfo {
  std::string command_line;
  std::string case_file;               ///< path of the case file as given
  std::vector<InputFile> record_files; ///< steel, oil and foil records as read
  double wall_s = 0;                   ///< wall time of the computation so far
  std::string libraries;               ///< those of the caller, "HDF5 1.10.8"
};

struct RecordEntry {
  std::string record; ///< "steel O1", "coolant medium-oil", "foil stainless"
  records::Provenance entry;
};

struct Origin {
  std::string program, version, commit, created, command_line;
  std::string case_file, case_text, case_sha256, resolved_case;
  std::string compiler, compiler_flags, build_type, libraries;
  double tolerance_K = 0, wall_s = 0;
  std::vector<std::string> defaults, warnings; ///< warnings of the answers and of the runs
  std::vector<RecordEntry> records;            ///< every value of the records used
  std::vector<InputFile> record_files;
};

/// With SOURCE_DATE_EPOCH in the environment `created` is that moment and measured times are NaN, so that the
/// same input gives the same bytes.
Origin describe_origin(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                       const answers::Answers& a, const OutputInfo& info);
/// True when SOURCE_DATE_EPOCH asks for the same bytes every time.
bool reproducible();

/// "thinquench 0.1.0 (commit)"; for --version.
std::string program_banner();
/// SHA-256 over the sources of the rooms that compute: programs with the same give the same figures to the
/// last digit, and it stays when only words, drawings or commands change.
std::string solver_digest();

} // namespace tq::output
