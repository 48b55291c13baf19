// Reads a case file (TOML) into a Case with every default filled in. The keys are explained line by line in
// case_template(). No file is opened here: the texts of records come through a RecordSource.
#pragma once

#include "records/document.hpp"
#include "treatment/case.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tq::treatment {

/// Kinds of texts a case may name; a log is a CSV file, by path only. `phases` and `uncertainty` are one file
/// each (materials/phases.toml, materials/typical_uncertainty.toml) that every case needs, `temper_model` one
/// (materials/temper_model.toml) that a steel told by its analysis needs.
enum class RecordKind { steel, coolant, foil, solid, phases, uncertainty, strains, log, temper_model };
/// "steel", "coolant", "foil", "solid", "phases", "uncertainty" ...
const char* record_kind_name(RecordKind kind);

/// Text of a record and the name under which messages speak of it.
struct RecordText {
  std::string text;
  std::string file;
};

class ReadRecords; // treatment/read_records.hpp

/// Where the texts of records come from. The program implements it with the shipped materials/ folder and
/// paths relative to the case file; an embedding can hold them in memory.
class RecordSource {
 public:
  virtual ~RecordSource() = default;
  /// Shipped record by its key (file stem: "O1", "medium-oil"; "phases", "typical_uncertainty"); nothing when
  /// there is none.
  virtual std::optional<RecordText> shipped(RecordKind kind, const std::string& key) const = 0;
  /// Record by a path as written in the case; nothing when it cannot be read.
  virtual std::optional<RecordText> at_path(RecordKind kind, const std::string& path) const = 0;
  /// Keys of the shipped records of this kind, for the messages about an unknown one.
  virtual std::vector<std::string> keys(RecordKind kind) const = 0;
  /// Where what the texts mean is kept for the next case; none where cases are few.
  virtual ReadRecords* kept() const { return nullptr; }
};

/// True when a record is named by a path (it ends in .toml or has a slash), false for a shipped key.
bool is_record_path(std::string_view name);

/// Reads and checks a case. `file` is the name used in messages. Defaults are documented in case_template();
/// those that matter to the answers stand in Case::defaults, one line each. Case::resolved_text is the case
/// with every default written out; read again it gives the same case and the same text.
/// `settings` are laid on the text. Throws records::InputError: a line with file, line and key for each thing
/// that cannot be computed, in the order of the file.
Case read_case(std::string_view text, std::string file, const RecordSource& records,
               const std::vector<records::Setting>& settings = {});

/// A commented case with every key, its default and its unit. It is itself a valid case.
std::string case_template();

/// A page of all keys with their defaults, ranges and meaning, in Markdown.
std::string key_page();

} // namespace tq::treatment
