// Writing results so that whatever happens, a file of the final name is whole: everything goes to a file
// without a name in the same folder first, which a killed run cannot leave behind and nobody else can open,
// and gets its name at the very end by a rename. An earlier result of the same name is replaced by that
// rename and by nothing else. Where the file system knows no files without a name, it has a temporary one
// from the start.
#pragma once

#include <filesystem>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace tq::output {

/// A result could not be written; what() names the file and the reason.
class WriteError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// Throws WriteError when no file can be written in `folder` (or, where that is not there yet, in the nearest
/// folder above it). Leaves nothing behind.
void require_writable_folder(const std::filesystem::path& folder);

/// A file on its way: opened beside `target` (folders are made), gone again when destroyed without commit().
class PendingFile {
 public:
  /// `named`: under a temporary name from the start, for libraries that open files by their names.
  explicit PendingFile(std::filesystem::path target, bool named = false);
  ~PendingFile();
  PendingFile(PendingFile&& other) noexcept;
  PendingFile& operator=(PendingFile&&) = delete;
  PendingFile(const PendingFile&) = delete;
  PendingFile& operator=(const PendingFile&) = delete;

  const std::filesystem::path& target() const { return target_; }
  /// Replaces the content.
  void write(std::string_view content) const;
  /// Adds to the content.
  void append(std::string_view content) const;
  /// The temporary name; empty while the file has none.
  const std::filesystem::path& temporary() const { return temporary_; }
  /// Puts the content safely on the disk and gives the file its final name.
  void commit();

 private:
  friend void commit_together(std::vector<PendingFile>& files);
  /// Content on the disk, under a temporary name that is this very file.
  void make_ready();

  std::filesystem::path target_, temporary_; ///< temporary_: empty while the file has no name
  int descriptor_ = -1;
};

/// Commits all files: first every content is put on the disk, then the renames follow each other at once,
/// with signals held back that could end the program between them.
void commit_together(std::vector<PendingFile>& files);

} // namespace tq::output
