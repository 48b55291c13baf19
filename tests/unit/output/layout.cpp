#include "layout.hpp"

#include "sample.hpp"

#include <hdf5.h>

#include <regex>
#include <sstream>
#include <stdexcept>

namespace tq::test {
namespace {

struct Id {
  hid_t id;
  herr_t (*close)(hid_t);
  Id(hid_t opened, herr_t (*closer)(hid_t)) : id(opened), close(closer) {
    if (id < 0)
      throw std::runtime_error("HDF5 object cannot be opened");
  }
  ~Id() { close(id); }
  Id(const Id&) = delete;
  Id& operator=(const Id&) = delete;
};

Id opened(const std::filesystem::path& file) {
  return {H5Fopen(file.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT), H5Fclose};
}

std::string attribute_text(hid_t owner, const char* name) {
  if (H5Aexists(owner, name) <= 0)
    return "(missing)";
  const Id attribute(H5Aopen(owner, name, H5P_DEFAULT), H5Aclose);
  const Id type(H5Aget_type(attribute.id), H5Tclose);
  if (H5Tget_class(type.id) == H5T_INTEGER) {
    int value = 0;
    H5Aread(attribute.id, H5T_NATIVE_INT, &value);
    return std::to_string(value);
  }
  std::string text(H5Tget_size(type.id), '\0');
  H5Aread(attribute.id, type.id, text.data());
  return text.substr(0, text.find('\0'));
}

std::string type_name(hid_t set) {
  const Id type(H5Dget_type(set), H5Tclose);
  if (H5Tequal(type.id, H5T_IEEE_F64LE) > 0)
    return "float64";
  if (H5Tequal(type.id, H5T_STD_I64LE) > 0)
    return "int64";
  if (H5Tget_class(type.id) == H5T_STRING && H5Tis_variable_str(type.id) > 0 &&
      H5Tget_cset(type.id) == H5T_CSET_UTF8)
    return "text";
  return "other";
}

std::vector<std::uint64_t> dims_of(hid_t set) {
  const Id space(H5Dget_space(set), H5Sclose);
  std::vector<hsize_t> dims(static_cast<std::size_t>(H5Sget_simple_extent_ndims(space.id)));
  H5Sget_simple_extent_dims(space.id, dims.data(), nullptr);
  return {dims.begin(), dims.end()};
}

std::size_t count_of(hid_t set) {
  std::size_t count = 1;
  for (const std::uint64_t dim : dims_of(set))
    count *= dim;
  return count;
}

std::string trimmed(std::string cell) {
  std::erase(cell, '`');
  const std::size_t from = cell.find_first_not_of(' ');
  return from == std::string::npos ? "" : cell.substr(from, cell.find_last_not_of(' ') - from + 1);
}

} // namespace

std::vector<DatasetLayout> datasets_of(const std::filesystem::path& file) {
  const Id id = opened(file);
  std::vector<DatasetLayout> found;
  const auto visit = [](hid_t root, const char* name, const H5O_info_t* info, void* out) -> herr_t {
    if (info->type != H5O_TYPE_DATASET)
      return 0;
    const Id set(H5Dopen2(root, name, H5P_DEFAULT), H5Dclose);
    static_cast<std::vector<DatasetLayout>*>(out)->push_back(
        {"/" + std::string(name), type_name(set.id), attribute_text(set.id, "axes"),
         attribute_text(set.id, "units"), attribute_text(set.id, "long_name"),
         attribute_text(set.id, "units_metadata"), dims_of(set.id)});
    return 0;
  };
  H5Ovisit2(id.id, H5_INDEX_NAME, H5_ITER_INC, visit, &found, H5O_INFO_BASIC);
  return found;
}

std::map<std::string, std::string> root_attributes_of(const std::filesystem::path& file) {
  const Id id = opened(file);
  std::map<std::string, std::string> found;
  const auto visit = [](hid_t root, const char* name, const H5A_info_t*, void* out) -> herr_t {
    (*static_cast<std::map<std::string, std::string>*>(out))[name] = attribute_text(root, name);
    return 0;
  };
  H5Aiterate2(id.id, H5_INDEX_NAME, H5_ITER_INC, nullptr, visit, &found);
  return found;
}

std::vector<double> numbers_of(const std::filesystem::path& file, const std::string& dataset) {
  const Id id = opened(file);
  const Id set(H5Dopen2(id.id, dataset.c_str(), H5P_DEFAULT), H5Dclose);
  std::vector<double> values(count_of(set.id));
  if (H5Dread(set.id, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()) < 0)
    throw std::runtime_error("cannot read " + dataset);
  return values;
}

std::vector<std::string> texts_of(const std::filesystem::path& file, const std::string& dataset) {
  const Id id = opened(file);
  const Id set(H5Dopen2(id.id, dataset.c_str(), H5P_DEFAULT), H5Dclose);
  const Id type(H5Dget_type(set.id), H5Tclose);
  const Id space(H5Dget_space(set.id), H5Sclose);
  std::vector<char*> raw(count_of(set.id), nullptr);
  if (H5Dread(set.id, type.id, H5S_ALL, H5S_ALL, H5P_DEFAULT, raw.data()) < 0)
    throw std::runtime_error("cannot read " + dataset);
  std::vector<std::string> texts;
  for (const char* text : raw)
    texts.emplace_back(text == nullptr ? "" : text);
  H5Dvlen_reclaim(type.id, space.id, H5P_DEFAULT, raw.data());
  return texts;
}

std::string general_path(const std::string& path) {
  static const std::regex station("station_[0-9]+"), frame("_[0-9]{5}$");
  static const std::regex state("/(after_bath|after_cool|final)/");
  const std::string general = std::regex_replace(std::regex_replace(path, station, "station_N"), frame, "_T");
  return std::regex_replace(general, state, "/STATE/");
}

namespace {

/// Each of several words in a cell replaced by what it stands for.
std::string filled(std::string cell, const std::vector<std::pair<std::string, std::string>>& words) {
  for (const auto& [word, by] : words)
    if (const std::size_t at = cell.find(word); at != std::string::npos)
      cell.replace(at, word.size(), by);
  return cell;
}

} // namespace

std::vector<std::vector<std::string>> format_table_of_figures(const std::string& heading) {
  const auto figures = format_table("Figures of zones and stations");
  std::vector<std::vector<std::string>> rows;
  for (const auto& row : format_table(heading)) {
    const std::size_t at = row[0].find("_FIGURE");
    if (at == std::string::npos) {
      rows.push_back(row);
      continue;
    }
    const std::size_t from = row[0].find_last_of("/.", at) + 1;
    const std::string kind = row[0].substr(from, at - from); // ZONE, STATION or SURFACE
    for (const auto& figure : figures)
      if (kind == (figure[1] == "zone"      ? "ZONE"
                   : figure[1] == "station" ? "STATION"
                                            : "SURFACE") &&
          (row[0].find("bands/") == std::string::npos || figure[4] == "yes")) {
        std::vector<std::string> one;
        for (const std::string& cell : row)
          one.push_back(
              filled(cell, {{kind + "_FIGURE", figure[0]}, {"UNIT", figure[2]}, {"MEANING", figure[3]}}));
        rows.push_back(one);
      }
  }
  return rows;
}

std::vector<std::vector<std::string>> format_table(const std::string& heading) {
  std::istringstream page(file_text(std::filesystem::path(TQ_SOURCE_DIR) / "solver/output/FORMAT.md"));
  std::vector<std::vector<std::string>> rows;
  bool inside = false;
  for (std::string line; std::getline(page, line);) {
    if (line.starts_with("#"))
      inside = line.substr(line.find_first_not_of("# ")) == heading;
    if (!inside || !line.starts_with("| `"))
      continue;
    std::vector<std::string> cells;
    std::istringstream row(line.substr(1));
    for (std::string cell; std::getline(row, cell, '|');)
      cells.push_back(trimmed(cell));
    rows.push_back(cells);
  }
  return rows;
}

} // namespace tq::test
