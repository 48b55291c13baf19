// The rows of a sweep as they come in: a file that only grows, one record for each case, each with a
// checksum. What a process that is killed leaves is whole up to the record it was writing; that one is cut
// off when the file is opened again. One process at a time writes it.
#pragma once

#include "sweep/treater.hpp"

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace tq::output {

/// Everything about a sweep that its rows belong to, written at the head of the file.
struct RowsHead {
  std::string plan_sha256; ///< of plan, base case, tables and records: what makes the rows what they are
  std::size_t cases = 0;   ///< of the plan
  std::size_t width = 0;   ///< values in a row
  std::size_t shard = 1, shards = 1;
  std::string details; ///< JSON for those who make a result of the rows: texts, columns, provenance
};

/// A file of rows that is written.
class RowsFile {
 public:
  /// Opens the file, or makes it when it is not there. Throws records::InputError when it belongs to another
  /// plan or shard or another process writes it, WriteError when it cannot be written.
  RowsFile(std::filesystem::path path, const RowsHead& head);
  ~RowsFile();
  RowsFile(const RowsFile&) = delete;
  RowsFile& operator=(const RowsFile&) = delete;

  /// Whether the row of this case is there.
  bool has(std::size_t number) const { return there_[number]; }
  std::size_t rows() const { return rows_; }
  /// Adds a row. Throws WriteError; the rows before it stay.
  void add(const sweep::Row& row);
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
  RowsHead head_;
  int descriptor_ = -1;
  std::size_t end_ = 0; ///< bytes that are whole
  std::vector<bool> there_;
  std::size_t rows_ = 0;
};

/// A file of rows that is read, mapped into memory.
class RowsReader {
 public:
  /// Throws records::InputError when it is no file of rows or cannot be read.
  explicit RowsReader(const std::filesystem::path& path);
  ~RowsReader();
  RowsReader(RowsReader&& other) noexcept;
  RowsReader& operator=(RowsReader&&) = delete;

  const RowsHead& head() const { return head_; }
  const std::filesystem::path& path() const { return path_; }
  /// Where the record of each row begins, with the number of its case.
  struct Place {
    std::size_t number, at;
  };
  const std::vector<Place>& places() const { return places_; }
  bool failed(std::size_t at) const;
  /// One value of the row that begins there; NaN when the case failed.
  double value(std::size_t at, std::size_t column) const;
  /// Why it failed; empty when it did not.
  std::string failure(std::size_t at) const;

 private:
  std::filesystem::path path_;
  RowsHead head_;
  const unsigned char* bytes_ = nullptr;
  std::size_t size_ = 0;
  std::vector<Place> places_;
};

} // namespace tq::output
