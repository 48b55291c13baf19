#include "records/csv.hpp"

#include "records/document.hpp"

#include <algorithm>

namespace tq::records {
namespace {

/// One record from `at` on; moves `at` behind it and counts its lines.
std::vector<std::string> read_record(std::string_view text, std::size_t& at, char separator, int& line,
                                     const std::string& file) {
  std::vector<std::string> cells(1);
  const int first_line = line;
  bool quoted = false;
  for (; at < text.size(); ++at) {
    const char c = text[at];
    if (c == '\n')
      ++line;
    if (quoted) {
      if (c != '"')
        cells.back() += c;
      else if (at + 1 < text.size() && text[at + 1] == '"')
        cells.back() += text[++at];
      else
        quoted = false;
    } else if (c == '"') {
      quoted = true;
    } else if (c == separator) {
      cells.emplace_back();
    } else if (c == '\n') {
      ++at;
      break;
    } else if (c != '\r') {
      cells.back() += c;
    }
  }
  if (quoted)
    throw InputError(file + ":" + std::to_string(first_line) + ": a quote is not closed");
  return cells;
}

} // namespace

CsvTable read_csv(std::string_view text, const std::string& file, char comment) {
  constexpr std::string_view mark = "\xEF\xBB\xBF";
  if (text.substr(0, mark.size()) == mark)
    text.remove_prefix(mark.size());
  CsvTable table;
  std::size_t at = 0;
  int line = 1;
  const auto pass_comments = [&] {
    while (comment != '\0' && at < text.size() && text[at] == comment) {
      at = std::min(text.find('\n', at), text.size() - 1) + 1;
      ++line;
    }
  };
  pass_comments();
  const std::string_view heading = text.substr(at, text.find('\n', at) - at);
  if (heading.find(',') == std::string_view::npos)
    table.separator = heading.find(';') != std::string_view::npos    ? ';'
                      : heading.find('\t') != std::string_view::npos ? '\t'
                                                                     : ',';
  while (pass_comments(), at < text.size()) {
    const int row_line = line;
    std::vector<std::string> cells = read_record(text, at, table.separator, line, file);
    if (cells.size() == 1 && cells[0].empty())
      continue;
    if (table.heading.empty()) {
      table.heading = std::move(cells);
      table.heading_line = row_line;
      continue;
    }
    table.faults.push_back(cells.size() == table.heading.size()
                               ? std::string()
                               : std::to_string(cells.size()) + " cells under a heading of " +
                                     std::to_string(table.heading.size()));
    cells.resize(table.heading.size());
    table.rows.push_back(std::move(cells));
    table.lines.push_back(row_line);
  }
  if (table.heading.empty())
    throw InputError(file + ": is empty; a heading and rows are expected");
  return table;
}

std::string csv_cell(const std::string& text, char separator) {
  if (text.find_first_of("\"\r\n") == std::string::npos && text.find(separator) == std::string::npos)
    return text;
  std::string quoted = "\"";
  for (const char c : text)
    quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + "\"";
}

} // namespace tq::records
