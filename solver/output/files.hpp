// Writing results so that whatever happens, a file of the final name is whole: everything goes to a temporary
// name in the same folder first and is renamed at the very end. An earlier result of the same name is
// replaced by that rename and by nothing else.
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

/// A file on its way: reserves a temporary name beside `target` (folders are made), removes it again when
/// destroyed without commit().
class PendingFile {
 public:
  explicit PendingFile(std::filesystem::path target);
  ~PendingFile();
  PendingFile(PendingFile&& other) noexcept;
  PendingFile& operator=(PendingFile&&) = delete;
  PendingFile(const PendingFile&) = delete;
  PendingFile& operator=(const PendingFile&) = delete;

  /// Where to write.
  const std::filesystem::path& temporary() const { return temporary_; }
  const std::filesystem::path& target() const { return target_; }
  /// Replaces the content of the temporary file.
  void write(std::string_view content) const;
  /// Puts the content safely on the disk and gives the file its final name.
  void commit();

 private:
  friend void commit_together(std::vector<PendingFile>& files);
  void flush_to_disk() const;

  std::filesystem::path target_, temporary_;
};

/// Commits all files: first every content is put on the disk, then the renames follow each other at once.
void commit_together(std::vector<PendingFile>& files);

} // namespace tq::output
