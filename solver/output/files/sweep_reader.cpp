#include "output/files/hdf5_handle.hpp"
#include "output/files/sweep_file.hpp"
#include "records/document.hpp"

#include <functional>
#include <limits>
#include <numeric>

namespace tq::output {

namespace {

[[noreturn]] void no_sweep(const std::filesystem::path& path, const std::string& why) {
  throw records::InputError(path.string() + ": " + why);
}

Handle open_file(const std::filesystem::path& path) {
  const hid_t id = H5Fopen(path.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  if (id < 0)
    no_sweep(path, "is no HDF5 file, or cannot be read");
  return {id, H5Fclose};
}

/// A text attribute, or the text of a scalar dataset.
std::string text_of(hid_t type_id, std::size_t size, const std::function<herr_t(hid_t, void*)>& read) {
  const Handle type(type_id, H5Tclose);
  if (H5Tis_variable_str(type.get()) > 0) {
    char* text = nullptr;
    check(read(type.get(), &text));
    std::string out = text != nullptr ? text : "";
    H5free_memory(text);
    return out;
  }
  std::string out(size, '\0');
  check(read(type.get(), out.data()));
  out.erase(std::min(out.find('\0'), out.size()));
  return out;
}

std::string attribute_of(hid_t owner, const char* name) {
  if (H5Aexists(owner, name) <= 0)
    return {};
  const Handle id(H5Aopen(owner, name, H5P_DEFAULT), H5Aclose);
  return text_of(H5Aget_type(id.get()), H5Aget_storage_size(id.get()),
                 [&](hid_t type, void* to) { return H5Aread(id.get(), type, to); });
}

Handle open_set(hid_t file, const std::string& name) {
  return {H5Dopen2(file, name.c_str(), H5P_DEFAULT), H5Dclose};
}

Dims dims_of(const Handle& set) {
  const Handle space(H5Dget_space(set.get()), H5Sclose);
  Dims out(static_cast<std::size_t>(std::max(0, H5Sget_simple_extent_ndims(space.get()))));
  if (!out.empty())
    H5Sget_simple_extent_dims(space.get(), out.data(), nullptr);
  return out;
}

std::vector<double> numbers_of(const Handle& set) {
  std::vector<double> out(product(dims_of(set)));
  if (!out.empty())
    check(H5Dread(set.get(), H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, out.data()));
  return out;
}

bool holds_texts(const Handle& set) {
  const Handle type(H5Dget_type(set.get()), H5Tclose);
  return H5Tget_class(type.get()) == H5T_STRING;
}

std::vector<std::string> texts_of(const Handle& set) {
  const Handle type(H5Dget_type(set.get()), H5Tclose);
  std::vector<char*> raw(product(dims_of(set)), nullptr);
  if (H5Tis_variable_str(type.get()) <= 0)
    throw WriteError("HDF5: texts of a fixed length, which no sweep has");
  if (!raw.empty())
    check(H5Dread(set.get(), type.get(), H5S_ALL, H5S_ALL, H5P_DEFAULT, raw.data()));
  std::vector<std::string> out;
  for (char* text : raw) {
    out.emplace_back(text != nullptr ? text : "");
    H5free_memory(text);
  }
  return out;
}

std::vector<double> numbers_at(const std::filesystem::path& path, const std::string& name) {
  const Quiet quiet;
  const Handle file = open_file(path);
  try {
    return numbers_of(open_set(file.get(), name));
  } catch (const WriteError& error) {
    no_sweep(path, std::string("is damaged: ") + error.what());
  }
}

} // namespace

SweepFile::SweepFile(const std::filesystem::path& path) : path_(path) {
  const Quiet quiet;
  const Handle file = open_file(path);
  try {
    if (attribute_of(file.get(), "format") != "thinquench-sweep")
      no_sweep(path, "is no result of a sweep");
    plan_sha256 = attribute_of(file.get(), "plan_sha256");
    title = attribute_of(file.get(), "title");
    SweepDetails details =
        SweepDetails::from_json(texts_of(open_set(file.get(), "details")).at(0), path.string());
    for (SweepAxis& axis : details.axes)
      for (SweepKey& key : axis.keys) {
        const Handle set = open_set(file.get(), key.name);
        if (holds_texts(set))
          key.labels = texts_of(set);
        else
          key.values = numbers_of(set);
      }
    // how many values a column has is seen when it is read
    details.expect_whole(product(dims_of(open_set(file.get(), "status"))),
                         std::numeric_limits<std::size_t>::max(), path.string());
    axes = std::move(details.axes);
    columns = std::move(details.columns);
    stations = std::move(details.stations);
    zones = std::move(details.zones);
  } catch (const WriteError& error) {
    no_sweep(path, std::string("is damaged: ") + error.what());
  }
}

const SweepColumn* SweepFile::column(const std::string& name) const {
  for (const SweepColumn& c : columns)
    if (c.name == name)
      return &c;
  return nullptr;
}

std::vector<double> SweepFile::values(const SweepColumn& column, std::size_t station,
                                      std::size_t zone) const {
  const std::vector<double> all = numbers_at(path_, column.name);
  const std::size_t by_zone = column.by_zone ? zones.size() : 1,
                    by_station = column.by_station && stations.size() > 1 ? stations.size() : 1;
  const std::size_t each = by_zone * by_station;
  const std::size_t first = (by_station > 1 ? station : 0) * by_zone + (column.by_zone ? zone : 0);
  std::size_t cases = 1;
  for (const SweepAxis& axis : axes)
    cases *= axis.size;
  if (all.size() != cases * each || first >= each)
    no_sweep(path_, "is damaged: " + column.name + " has another shape than the sweep");
  std::vector<double> out;
  for (std::size_t i = first; i < all.size(); i += each)
    out.push_back(all[i]);
  return out;
}

} // namespace tq::output
