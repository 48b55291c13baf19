#include "output/files/sweep_file.hpp"

#include "output/files/files.hpp"
#include "output/files/hdf5_handle.hpp"
#include "output/json.hpp"
#include "output/text.hpp"
#include "records/csv.hpp"
#include "records/document.hpp"
#include "sweep/columns.hpp"
#include "units/quantity.hpp"

#include <hdf5_hl.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <numeric>
#include <sys/statvfs.h>

namespace tq::output {

namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr std::size_t nowhere = std::numeric_limits<std::size_t>::max();
constexpr std::size_t chunk_values = 1U << 16U; ///< 512 kB of numbers, what readers keep unpacked by default
constexpr const char* details_name = "details";
constexpr const char* format_name = "thinquench-sweep";

/// The row of each case, of all parts.
class Rows {
 public:
  explicit Rows(const std::vector<RowsReader>& parts)
      : parts_(parts), at_(parts.front().head().cases, nowhere) {
    part_.resize(parts.size() > 1 ? at_.size() : 0, 0);
    for (std::size_t p = 0; p < parts.size(); ++p)
      for (const RowsReader::Place& place : parts[p].places()) {
        if (at_[place.number] != nowhere)
          continue;
        at_[place.number] = place.at;
        if (!part_.empty())
          part_[place.number] = static_cast<std::uint32_t>(p);
      }
  }
  std::size_t cases() const { return at_.size(); }
  SweepStatus status(std::size_t n) const {
    return at_[n] == nowhere        ? SweepStatus::missing
           : part(n).failed(at_[n]) ? SweepStatus::failed
                                    : SweepStatus::done;
  }
  double value(std::size_t n, std::size_t column) const {
    return at_[n] == nowhere ? std::numeric_limits<double>::quiet_NaN() : part(n).value(at_[n], column);
  }
  std::string failure(std::size_t n) const {
    return at_[n] == nowhere ? std::string() : part(n).failure(at_[n]);
  }

 private:
  const RowsReader& part(std::size_t n) const { return parts_[part_.empty() ? 0 : part_[n]]; }

  const std::vector<RowsReader>& parts_;
  std::vector<std::size_t> at_;
  std::vector<std::uint32_t> part_;
};

void attribute(hid_t owner, const char* name, const std::string& value) {
  const std::string text = clean_utf8(value, true);
  const Handle type = text_type(std::max<std::size_t>(1, text.size()));
  const Handle space(H5Screate(H5S_SCALAR), H5Sclose);
  const Handle id(H5Acreate2(owner, name, type.get(), space.get(), H5P_DEFAULT, H5P_DEFAULT), H5Aclose);
  check(H5Awrite(id.get(), type.get(), text.c_str()));
}

class Writer {
 public:
  Writer(const std::string& path, const SweepDetails& details, const Rows& rows)
      : details_(details), rows_(rows), file_(create(path), H5Fclose) {}

  void write(const std::string& sha256) {
    attribute(file_.get(), "format", format_name);
    attribute(file_.get(), "format_version", "1");
    attribute(file_.get(), "title", details_.title);
    attribute(file_.get(), "plan_sha256", sha256);
    write_axes();
    for (const SweepColumn& column : details_.columns)
      write_column(column);
    write_status();
    const Handle group(H5Gcreate2(file_.get(), "provenance", H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT),
                       H5Gclose);
    for (const auto& [name, text] : details_.provenance)
      texts("provenance/" + name, {text}, {}, "", name);
    SweepDetails outline = details_; // what a reader of this program needs
    outline.provenance.clear();
    for (SweepAxis& axis : outline.axes)
      for (SweepKey& key : axis.keys)
        key.values.clear(), key.labels.clear();
    texts(details_name, {outline.json()}, {}, "", "the axes and columns of this file, as JSON");
    check(H5Fflush(file_.get(), H5F_SCOPE_GLOBAL));
    if (!file_.close())
      throw WriteError("HDF5: " + Handle::first_message());
  }

 private:
  static hid_t create(const std::string& path) {
    const Handle access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose);
    check(H5Pset_libver_bounds(access.get(), H5F_LIBVER_V18, H5F_LIBVER_V110));
    check(H5Pset_fclose_degree(access.get(), H5F_CLOSE_STRONG));
    const Handle properties(H5Pcreate(H5P_FILE_CREATE), H5Pclose);
    check(H5Pset_obj_track_times(properties.get(), false));
    return H5Fcreate(path.c_str(), H5F_ACC_TRUNC, properties.get(), access.get());
  }

  /// A dataset that may grow along every dimension, packed in chunks.
  Handle dataset(const std::string& name, hid_t type, const Dims& dims, const std::string& unit,
                 const std::string& long_name) {
    const Handle properties(H5Pcreate(H5P_DATASET_CREATE), H5Pclose);
    check(H5Pset_obj_track_times(properties.get(), false));
    const Dims open(dims.size(), H5S_UNLIMITED);
    if (!dims.empty()) {
      Dims chunk = dims;
      for (std::size_t d = 0; d < chunk.size(); ++d) // whole in the last dimensions
        while (product(chunk) > chunk_values && chunk[d] > 1)
          chunk[d] = (chunk[d] + 1) / 2;
      for (hsize_t& side : chunk)
        side = std::max<hsize_t>(side, 1);
      check(H5Pset_chunk(properties.get(), static_cast<int>(chunk.size()), chunk.data()));
      check(H5Pset_shuffle(properties.get()));
      check(H5Pset_deflate(properties.get(), 4));
    }
    const Handle space(dims.empty()
                           ? H5Screate(H5S_SCALAR)
                           : H5Screate_simple(static_cast<int>(dims.size()), dims.data(), open.data()),
                       H5Sclose);
    Handle set(
        H5Dcreate2(file_.get(), name.c_str(), type, space.get(), H5P_DEFAULT, properties.get(), H5P_DEFAULT),
        H5Dclose);
    if (!unit.empty())
      attribute(set.get(), "units", unit);
    attribute(set.get(), "long_name", long_name);
    return set;
  }

  Handle texts(const std::string& name, const std::vector<std::string>& data, const Dims& dims,
               const std::string& unit, const std::string& long_name) {
    const Handle type = text_type(H5T_VARIABLE);
    Handle set = dataset(name, type.get(), dims, unit, long_name);
    std::vector<std::string> clean;
    std::vector<const char*> pointers;
    for (const std::string& text : data)
      clean.push_back(clean_utf8(text, true));
    for (const std::string& text : clean)
      pointers.push_back(text.c_str());
    if (!data.empty())
      check(H5Dwrite(set.get(), type.get(), H5S_ALL, H5S_ALL, H5P_DEFAULT, pointers.data()));
    return set;
  }

  void scale(Handle set, std::size_t dimension, const std::string& name) {
    check(H5DSset_scale(set.get(), name.c_str()));
    scales_.resize(std::max(scales_.size(), dimension + 1));
    scales_[dimension].push_back(std::move(set));
  }

  void write_axes() {
    for (std::size_t d = 0; d < details_.axes.size(); ++d) {
      const SweepAxis& axis = details_.axes[d];
      dims_.push_back(axis.size);
      if (axis.keys.size() > 1) {
        std::vector<double> numbers(axis.size);
        std::iota(numbers.begin(), numbers.end(), 0.0);
        Handle set = dataset(axis.name, H5T_IEEE_F64LE, {axis.size}, "1", "number along this axis, from 0");
        check(H5Dwrite(set.get(), H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, numbers.data()));
        scale(std::move(set), d, axis.name);
      }
      for (const SweepKey& key : axis.keys) {
        if (key.values.empty()) {
          scale(texts(key.name, key.labels, {axis.size}, "", key.long_name), d, key.name);
          continue;
        }
        Handle set = dataset(key.name, H5T_IEEE_F64LE, {axis.size}, key.unit, key.long_name);
        check(H5Dwrite(set.get(), H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, key.values.data()));
        scale(std::move(set), d, key.name);
      }
    }
    const std::size_t own = dims_.size();
    station_ = own;
    if (details_.stations.size() > 1)
      scale(texts("station", details_.stations, {details_.stations.size()}, "", "section of the blade"), own,
            "station");
    zone_ = own + 1;
    scale(texts("zone", details_.zones, {details_.zones.size()}, "", "zone of the section"), zone_, "zone");
  }

  void attach(const Handle& set, const std::vector<std::size_t>& scales) {
    for (std::size_t d = 0; d < scales.size(); ++d)
      for (const Handle& scale : scales_[scales[d]])
        check(H5DSattach_scale(set.get(), scale.get(), static_cast<unsigned>(d)));
  }

  /// The places of scales along the axes.
  std::vector<std::size_t> along_axes() const {
    std::vector<std::size_t> out(details_.axes.size());
    std::iota(out.begin(), out.end(), std::size_t{0});
    return out;
  }

  /// Writes values slab by slab along the slowest dimension, so that memory stays small.
  template <class Value, class At>
  void fill(const Handle& set, hid_t type, const Dims& dims, std::size_t each, const At& at) {
    const std::size_t slabs = dims.front(), in_slab = product(dims) / std::max<std::size_t>(1, slabs);
    const std::size_t at_once = std::max<std::size_t>(1, (1U << 20U) / std::max<std::size_t>(1, in_slab));
    const Handle space(H5Dget_space(set.get()), H5Sclose);
    std::vector<Value> values;
    for (std::size_t from = 0; from < slabs; from += at_once) {
      Dims start(dims.size(), 0), count = dims;
      start[0] = from;
      count[0] = std::min(at_once, slabs - from);
      values.resize(product(count));
      for (std::size_t i = 0; i < values.size(); ++i)
        values[i] = at((from * in_slab + i) / each, (from * in_slab + i) % each);
      const Handle memory(H5Screate_simple(static_cast<int>(count.size()), count.data(), nullptr), H5Sclose);
      check(H5Sselect_hyperslab(space.get(), H5S_SELECT_SET, start.data(), nullptr, count.data(), nullptr));
      check(H5Dwrite(set.get(), type, memory.get(), space.get(), H5P_DEFAULT, values.data()));
    }
  }

  void write_column(const SweepColumn& column) {
    Dims dims = dims_;
    std::vector<std::size_t> scales = along_axes();
    std::size_t each = 1;
    if (column.by_station && details_.stations.size() > 1) {
      dims.push_back(details_.stations.size());
      scales.push_back(station_);
      each *= details_.stations.size();
    }
    if (column.by_zone) {
      dims.push_back(details_.zones.size());
      scales.push_back(zone_);
      each *= details_.zones.size();
    }
    if (!column.verdict) {
      const Handle set = dataset(column.name, H5T_IEEE_F64LE, dims, column.unit, column.long_name);
      if (!column.units_metadata.empty())
        attribute(set.get(), "units_metadata", column.units_metadata);
      fill<double>(set, H5T_NATIVE_DOUBLE, dims, each,
                   [&](std::size_t n, std::size_t k) { return rows_.value(n, column.first + k); });
      attach(set, scales);
      return;
    }
    const Handle set = dataset(column.name, H5T_STD_I8LE, dims, column.unit, column.long_name);
    attribute(set.get(), "flag_meanings", sweep::verdict_words);
    fill<signed char>(set, H5T_NATIVE_SCHAR, dims, each, [&](std::size_t n, std::size_t k) {
      const double value = rows_.value(n, column.first + k);
      return static_cast<signed char>(std::isnan(value) ? -1 : static_cast<int>(value));
    });
    attach(set, scales);
  }

  void write_status() {
    const Handle set =
        dataset("status", H5T_STD_I8LE, dims_, "1", "0 done, 1 failed (see failed_message), 2 missing");
    attribute(set.get(), "flag_meanings", "done failed missing");
    fill<signed char>(set, H5T_NATIVE_SCHAR, dims_, 1,
                      [&](std::size_t n, std::size_t) { return static_cast<signed char>(rows_.status(n)); });
    attach(set, along_axes());
    std::vector<double> numbers;
    std::vector<std::string> messages;
    for (std::size_t n = 0; n < rows_.cases(); ++n)
      if (rows_.status(n) == SweepStatus::failed) {
        numbers.push_back(static_cast<double>(n));
        messages.push_back(rows_.failure(n));
      }
    const Handle failed = dataset("failed_case", H5T_STD_I64LE, {numbers.size()}, "1",
                                  "number of each case that failed, counted through the axes from 0");
    if (!numbers.empty())
      check(H5Dwrite(failed.get(), H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, numbers.data()));
    texts("failed_message", messages, {messages.size()}, "", "why it failed");
  }

  const SweepDetails& details_;
  const Rows& rows_;
  Handle file_;
  Dims dims_;
  std::size_t station_ = 0, zone_ = 0;
  std::vector<std::vector<Handle>> scales_;
};

/// Throws WriteError when the disk surely has no room: the library is no place to find out.
void expect_room(const fs::path& path, std::size_t bytes) {
  struct statvfs disk {};
  const fs::path folder = path.has_parent_path() ? path.parent_path() : fs::path(".");
  if (::statvfs(folder.c_str(), &disk) == 0 &&
      static_cast<double>(disk.f_bavail) * static_cast<double>(disk.f_frsize) < static_cast<double>(bytes))
    throw WriteError("cannot write " + path.string() + ": the disk has no room for " +
                     formatted("%.0f MB", std::ceil(static_cast<double>(bytes) / 1e6)) +
                     "; the rows computed are kept");
}

Json json_of(const SweepKey& key) {
  return {{"name", key.name},           {"unit", key.unit},     {"long_name", key.long_name},
          {"dimension", key.dimension}, {"values", key.values}, {"labels", key.labels}};
}

Json json_of(const SweepColumn& c) {
  return {{"name", c.name},           {"unit", c.unit},
          {"long_name", c.long_name}, {"units_metadata", c.units_metadata},
          {"verdict", c.verdict},     {"by_station", c.by_station},
          {"by_zone", c.by_zone},     {"first", c.first}};
}

} // namespace

std::string SweepDetails::json() const {
  Json out = {{"title", title}, {"stations", stations}, {"zones", zones}};
  out["axes"] = Json::array();
  for (const SweepAxis& axis : axes) {
    Json keys = Json::array();
    for (const SweepKey& key : axis.keys)
      keys.push_back(json_of(key));
    out["axes"].push_back({{"name", axis.name}, {"size", axis.size}, {"keys", keys}});
  }
  out["columns"] = Json::array();
  for (const SweepColumn& column : columns)
    out["columns"].push_back(json_of(column));
  out["provenance"] = Json::array();
  for (const auto& [name, text] : provenance)
    out["provenance"].push_back({{"name", name}, {"text", text}});
  return json_line(out);
}

SweepDetails SweepDetails::from_json(const std::string& text, const std::string& file) {
  try {
    const Json in = parsed_json(text);
    SweepDetails out;
    out.title = in.at("title").get<std::string>();
    out.stations = in.at("stations").get<std::vector<std::string>>();
    out.zones = in.at("zones").get<std::vector<std::string>>();
    for (const Json& axis : in.at("axes")) {
      SweepAxis one{axis.at("name").get<std::string>(), axis.at("size").get<std::size_t>(), {}};
      for (const Json& key : axis.at("keys"))
        one.keys.push_back({key.at("name").get<std::string>(), key.at("unit").get<std::string>(),
                            key.at("long_name").get<std::string>(), key.at("dimension").get<std::string>(),
                            key.at("values").get<std::vector<double>>(),
                            key.at("labels").get<std::vector<std::string>>()});
      out.axes.push_back(std::move(one));
    }
    for (const Json& c : in.at("columns"))
      out.columns.push_back({c.at("name").get<std::string>(), c.at("unit").get<std::string>(),
                             c.at("long_name").get<std::string>(), c.at("units_metadata").get<std::string>(),
                             c.at("verdict").get<bool>(), c.at("by_station").get<bool>(),
                             c.at("by_zone").get<bool>(), c.at("first").get<std::size_t>()});
    for (const Json& one : in.at("provenance"))
      out.provenance.emplace_back(one.at("name").get<std::string>(), one.at("text").get<std::string>());
    return out;
  } catch (const Json::exception&) {
    throw records::InputError(file + ": what it says about its sweep is damaged");
  }
}

void SweepDetails::expect_whole(std::size_t cases, std::size_t width, const std::string& file) const {
  bool whole = !axes.empty() && !stations.empty() && !zones.empty();
  std::size_t rows = 1;
  for (const SweepAxis& axis : axes) {
    whole = whole && axis.size >= 1 && axis.size <= sweep::most_cases / rows && !axis.keys.empty();
    if (!whole)
      break;
    rows *= axis.size;
    for (const SweepKey& key : axis.keys)
      whole = whole && key.values.size() + key.labels.size() == axis.size;
  }
  for (const SweepColumn& c : columns)
    whole = whole && c.first < width &&
            (c.by_station ? stations.size() : 1) * (c.by_zone ? zones.size() : 1) <= width - c.first;
  if (!whole || rows != cases)
    throw records::InputError(file + ": what it says about its sweep is damaged");
}

namespace {

SweepDetails details_of(const std::vector<RowsReader>& parts) {
  const RowsHead& head = parts.front().head();
  const std::string file = parts.front().path().string();
  SweepDetails details = SweepDetails::from_json(head.details, file);
  details.expect_whole(head.cases, head.width, file);
  return details;
}

} // namespace

void write_sweep_file(const fs::path& path, const std::vector<RowsReader>& parts) {
  const RowsHead& head = parts.front().head();
  const SweepDetails details = details_of(parts);
  const Rows rows(parts);
  PendingFile file(path, true);
  constexpr std::size_t beside = 1U << 20U; // texts, and what chunks leave free
  expect_room(path, head.cases * (head.width + 1) * sizeof(double) + head.details.size() + beside);
  const Quiet quiet;
  try {
    Writer(file.temporary().string(), details, rows).write(head.plan_sha256);
  } catch (const WriteError& error) {
    throw WriteError("cannot write " + path.string() + ": " + error.what());
  }
  file.commit();
}

void write_sweep_csv(const fs::path& path, const std::vector<RowsReader>& parts) {
  const RowsHead& head = parts.front().head();
  const SweepDetails details = details_of(parts);
  const Rows rows(parts);
  PendingFile file(path);
  std::string text;
  const auto add = [&](const std::string& more) {
    constexpr std::size_t at_once = 1U << 20U;
    text += more;
    if (text.size() < at_once)
      return;
    file.append(text);
    text.clear();
  };
  const auto cell = [](const std::string& words) { return records::csv_cell(words, ','); };
  std::string line = "case,status";
  for (const SweepAxis& axis : details.axes)
    for (const SweepKey& key : axis.keys)
      line += "," + cell(key.values.empty() || key.unit == "1" ? key.name : key.name + " [" + key.unit + "]");
  for (const SweepColumn& c : details.columns)
    for (std::size_t s = 0; s < (c.by_station ? details.stations.size() : 1); ++s)
      for (std::size_t z = 0; z < (c.by_zone ? details.zones.size() : 1); ++z)
        line += "," +
                cell(c.name + (c.by_station && details.stations.size() > 1 ? "/" + details.stations[s] : "") +
                     (c.by_zone ? "/" + details.zones[z] : "") + (c.unit == "1" ? "" : " [" + c.unit + "]"));
  add(line + ",message\n");
  for (std::size_t n = 0; n < rows.cases(); ++n) {
    const SweepStatus status = rows.status(n);
    line = std::to_string(n) + (status == SweepStatus::done     ? ",done"
                                : status == SweepStatus::failed ? ",failed"
                                                                : ",missing");
    std::size_t rest = n;
    std::vector<std::size_t> at(details.axes.size());
    for (std::size_t d = details.axes.size(); d-- > 0; rest /= details.axes[d].size)
      at[d] = rest % details.axes[d].size;
    for (std::size_t d = 0; d < details.axes.size(); ++d)
      for (const SweepKey& key : details.axes[d].keys)
        line +=
            "," + (key.values.empty() ? cell(key.labels[at[d]]) : units::format_number(key.values[at[d]]));
    for (std::size_t k = 0; k < head.width; ++k) {
      const double value = rows.value(n, k);
      line += std::isnan(value) ? std::string(",") : "," + units::format_number(value);
    }
    add(line + "," + cell(rows.failure(n)) + "\n");
  }
  file.append(text);
  file.commit();
}

} // namespace tq::output
