// Comma-separated tables as people export them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace tq::records {

/// A table with a heading; every row has as many cells as the heading, made so where the file has other
/// numbers.
struct CsvTable {
  char separator = ',';
  std::vector<std::string> heading;
  int heading_line = 1;
  std::vector<std::vector<std::string>> rows;
  std::vector<int> lines;          ///< of the file, on which each row begins
  std::vector<std::string> faults; ///< of each row: what was wrong with its number of cells, else empty
};

/// Reads RFC 4180 text; the separator is a comma, or a semicolon or tabulator when the heading has no comma.
/// A byte-order mark and empty lines are passed over, so are lines that begin with `comment`. `file` is for
/// messages. Throws InputError.
CsvTable read_csv(std::string_view text, const std::string& file, char comment = '\0');
/// A cell as it is written: in quotes where it must be.
std::string csv_cell(const std::string& text, char separator);

} // namespace tq::records
