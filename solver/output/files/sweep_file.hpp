// The result of a sweep as one HDF5 file, written from the rows of its parts and read again. Layout: FORMAT
// of sweeps in solver/sweep/README.md.
#pragma once

#include "output/files/rows_file.hpp"

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

namespace tq::output {

/// One key along an axis.
struct SweepKey {
  std::string name, unit, long_name, dimension;
  std::vector<double> values;      ///< of numbers, in `unit`
  std::vector<std::string> labels; ///< of words
};

/// One axis of the result.
struct SweepAxis {
  std::string name;
  std::size_t size = 0;
  std::vector<SweepKey> keys;
};

/// One figure or verdict.
struct SweepColumn {
  std::string name, unit, long_name, units_metadata;
  bool verdict = false; ///< a number that stands for a word of verdict_words
  bool by_station = false, by_zone = false;
  std::size_t first = 0; ///< of its values in a row
};

/// All that the file holds beside the rows. It travels in the head of every file of rows, so that whoever has
/// the parts needs nothing else.
struct SweepDetails {
  std::string title;
  std::vector<SweepAxis> axes;
  std::vector<SweepColumn> columns;
  std::vector<std::string> stations, zones;
  std::vector<std::pair<std::string, std::string>> provenance; ///< name and text

  std::string json() const;
  /// Throws records::InputError.
  static SweepDetails from_json(const std::string& text, const std::string& file);
  /// Throws records::InputError when this does not belong to `cases` rows of `width` values, each axis told
  /// whole: nothing is read beyond the ends of a false file.
  void expect_whole(std::size_t cases, std::size_t width, const std::string& file) const;
};

/// Writes the parts as one file: every dataset chunked, packed and open at its end. Cases that are in no part
/// have the status "missing". The content does not depend on how the cases were divided. Memory: what one
/// dataset takes. Throws WriteError; an earlier file of that name then stays as it is.
void write_sweep_file(const std::filesystem::path& path, const std::vector<RowsReader>& parts);
/// The same as a table of comma-separated values, one line for each case.
void write_sweep_csv(const std::filesystem::path& path, const std::vector<RowsReader>& parts);

enum class SweepStatus { done = 0, failed = 1, missing = 2 };

/// The result of a sweep, read. Throws records::InputError when it is none.
class SweepFile {
 public:
  explicit SweepFile(const std::filesystem::path& path);

  std::string title, plan_sha256;
  std::vector<SweepAxis> axes;
  std::vector<SweepColumn> columns;
  std::vector<std::string> stations, zones;

  const SweepColumn* column(const std::string& name) const;
  /// All values of a column in the order of the cases, of one station and zone.
  std::vector<double> values(const SweepColumn& column, std::size_t station, std::size_t zone) const;

 private:
  std::filesystem::path path_;
};

} // namespace tq::output
