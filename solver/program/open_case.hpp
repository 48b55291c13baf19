// A case from a file, from standard input or from the options of one line.
#pragma once

#include "output/origin.hpp"
#include "program/options.hpp"
#include "records/document.hpp"
#include "treatment/case.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace tq::program {

/// A case together with the records it was read with.
struct OpenedCase {
  treatment::Case contents;
  std::string name; ///< for messages and in the files written
  std::string stem; ///< of the files written
  std::vector<output::InputFile> records;
  std::optional<treatment::Case> unlearnt; ///< `contents` before the shop's journal moved it
  std::optional<std::filesystem::path> shop_file;
};

/// Whether a case is moved to what the readings of the shop say; what stays in the shop is laid under it
/// either way.
enum class Learning { yes, no };

/// What --set says, in its order. Throws UsageError where that is no key=value or no key of a case.
std::vector<records::Setting> settings_of(const Options& options);

/// The case at `path` ("-": standard input), with what --set says unless `set` is false, made in the shop of
/// --shop. Throws records::InputError.
OpenedCase open_case(const Options& options, const std::string& path, bool set = true,
                     Learning learning = Learning::yes);
/// "60 HRC", "60-62 HRC" or "60 to 62 HRC" as the two values of wish.hardness. Throws UsageError that begins
/// with `option`.
std::string hardness_range(const char* option, const std::string& text);

/// The case file, or the case told by Options::one_line when there is none. Throws records::InputError,
/// UsageError when there is neither or both.
OpenedCase open_case_or_line(const Options& options, const std::string& command,
                             Learning learning = Learning::yes);

/// The text of a case file that says what the options say; what it takes for what they leave out stands in
/// `assumed`, one line each. Throws UsageError.
std::string one_line_case(const OneLine& line, const std::string& command, std::vector<std::string>& assumed);

} // namespace tq::program
