// The records on disk: the shipped ones in a materials folder, own ones by a path beside the case file.
#pragma once

#include "output/origin.hpp"
#include "steel/record_gaps.hpp"
#include "treatment/case_reader.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace tq::program {

/// The folder of the shipped records. Taken in this order: `asked` (--materials), the environment variable
/// THINQUENCH_MATERIALS, share/thinquench/materials beside the folder of the executable, the folder that this
/// program was built from. The first two must be right when they are given. Throws records::InputError.
std::filesystem::path find_materials(const std::optional<std::filesystem::path>& asked);

class MaterialLibrary : public treatment::RecordSource {
 public:
  /// `beside` is the folder from which relative paths of own records count.
  MaterialLibrary(std::filesystem::path materials, std::filesystem::path beside);

  std::optional<treatment::RecordText> shipped(treatment::RecordKind kind,
                                               const std::string& key) const override;
  std::optional<treatment::RecordText> at_path(treatment::RecordKind kind,
                                               const std::string& path) const override;
  // A steel at a path comes with its gaps filled, and its text says so.
  std::vector<std::string> keys(treatment::RecordKind kind) const override; ///< sorted

  /// Every text handed out so far, each file once, in the order of asking.
  const std::vector<output::InputFile>& handed_out() const { return handed_out_; }

 private:
  std::filesystem::path folder(treatment::RecordKind kind) const;
  std::optional<treatment::RecordText> read(const std::filesystem::path& file) const;

  std::filesystem::path materials_, beside_;
  mutable std::vector<output::InputFile> handed_out_;
};

/// What a steel record does not say, by the rules and the temper model of this folder of records.
steel::FilledRecord fill_steel(const std::filesystem::path& materials, const treatment::RecordText& record);

/// Throws records::InputError when `file`, which another file names, is there but no regular file that ends
/// in `extension` after all links: a message may quote a line of what it could not read.
void expect_named(const std::string& file, const char* extension);

/// Text of a case file, or of standard input for "-". Throws records::InputError when there is none.
std::string read_case_text(const std::string& path);

} // namespace tq::program
