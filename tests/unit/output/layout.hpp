// Reads what a written HDF5 file holds, through the C library, independently of the writer.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace tq::test {

struct DatasetLayout {
  std::string path, type, axes, units, long_name, units_metadata;
  std::vector<std::uint64_t> dims;
};

/// Every dataset of the file, in name order.
std::vector<DatasetLayout> datasets_of(const std::filesystem::path& file);
/// Names and values (text, or number as text) of the root's attributes.
std::map<std::string, std::string> root_attributes_of(const std::filesystem::path& file);
std::vector<double> numbers_of(const std::filesystem::path& file, const std::string& dataset);
std::vector<std::string> texts_of(const std::filesystem::path& file, const std::string& dataset);

/// "/xdmf/station_2/temperature_00012" -> "/xdmf/station_N/temperature_T"; after_bath, after_cool and final
/// become STATE.
std::string general_path(const std::string& path);

/// Rows of the table of FORMAT.md that follows the heading, cells without blanks and code marks.
std::vector<std::vector<std::string>> format_table(const std::string& heading);

/// The same with a row for each figure that a row with ZONE_FIGURE, STATION_FIGURE or SURFACE_FIGURE stands
/// for.
std::vector<std::vector<std::string>> format_table_of_figures(const std::string& heading);

} // namespace tq::test
