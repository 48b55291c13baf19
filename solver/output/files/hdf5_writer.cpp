#include "output/files/hdf5_writer.hpp"

#include "answers/ledger.hpp"
#include "answers/wanted.hpp"
#include "output/figures.hpp"
#include "output/files/files.hpp"
#include "output/files/hdf5_handle.hpp"
#include "output/sha256.hpp"
#include "output/text.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>
#include <limits>
#include <map>
#include <memory>
#include <new>
#include <numeric>
#include <set>
#include <span>
#include <utility>

namespace tq::output {
namespace {

using answers::Judgement;
using answers::StationAnswer;
using treatment::NodeState;
using treatment::Run;

/// Throws WriteError unless the memory that the file of these runs may need is there: HDF5 1.10 is no place
/// to run out of it (H5I_register exits, others read through null). Fields stand in the image, in the buffers
/// that pack them and in the copy; the rest is for the library's own caches and for the pages written
/// meanwhile.
void expect_memory(const std::vector<Run>& runs) {
  constexpr std::size_t at_least = std::size_t{256} << 20U, copies = 4, fields = 8;
  std::size_t bytes = at_least;
  for (const Run& run : runs)
    bytes += copies * fields * sizeof(double) * run.frames.size() * run.as_quenched_HV.size();
  if (!std::unique_ptr<std::byte[]>(new (std::nothrow) std::byte[bytes]))
    throw WriteError("HDF5: not enough memory, 256 MB or more are wanted (--only leaves this file out)");
}

/// What stands beside every dataset.
struct Label {
  const char* unit;
  std::string long_name;
  const char* axes = ""; ///< names of the dimensions, slowest first, blank between; empty for a scalar
  Scale scale = Scale::plain;

  Label(const char* u, std::string name, const char* a = "", Scale s = Scale::plain)
      : unit(u), long_name(std::move(name)), axes(a), scale(s) {}
  Label(const Meaning& m, const char* a) : unit(m.unit), long_name(m.long_name), axes(a), scale(m.scale) {}
};

/// Jenkins' lookup3 of some bytes, the checksum of HDF5's metadata (File Format Specification 3.0, sec. II.A
/// and appendix; B. Jenkins 2006, public domain).
std::uint32_t lookup3(const unsigned char* key, std::size_t length) {
  const auto word = [&](std::size_t at) {
    std::uint32_t w = 0;
    for (std::size_t k = 0; k < 4 && at + k < length; ++k)
      w |= static_cast<std::uint32_t>(key[at + k]) << (8 * k);
    return w;
  };
  std::uint32_t a = 0xdeadbeefU + static_cast<std::uint32_t>(length), b = a, c = a;
  std::size_t at = 0;
  for (; length - at > 12; at += 12) {
    a += word(at), b += word(at + 4), c += word(at + 8);
    a = (a - c) ^ std::rotl(c, 4), c += b;
    b = (b - a) ^ std::rotl(a, 6), a += c;
    c = (c - b) ^ std::rotl(b, 8), b += a;
    a = (a - c) ^ std::rotl(c, 16), c += b;
    b = (b - a) ^ std::rotl(a, 19), a += c;
    c = (c - b) ^ std::rotl(b, 4), b += a;
  }
  a += word(at), b += word(at + 4), c += word(at + 8);
  c = (c ^ b) - std::rotl(b, 14), a = (a ^ c) - std::rotl(c, 11), b = (b ^ a) - std::rotl(a, 25);
  c = (c ^ b) - std::rotl(b, 16), a = (a ^ c) - std::rotl(c, 4), b = (b ^ a) - std::rotl(a, 14);
  return (c ^ b) - std::rotl(b, 24);
}

/// The library (1.10) takes the mark of writing out of the superblock of an image and leaves the checksum of
/// before; without the right one nothing opens the file.
void seal(std::string& image) {
  constexpr std::size_t version_at = 8, checked = 44;
  auto* const bytes = reinterpret_cast<unsigned char*>(image.data());
  if (image.size() < checked + 4 || bytes[version_at] < 2)
    return;
  const std::uint32_t sum = lookup3(bytes, checked);
  for (std::size_t k = 0; k < 4; ++k)
    bytes[checked + k] = static_cast<unsigned char>(sum >> (8 * k));
}

class File {
 public:
  File()
      : group_(creation(H5P_GROUP_CREATE)), access_(H5Pcreate(H5P_FILE_ACCESS), H5Pclose),
        transfer_(H5Pcreate(H5P_DATASET_XFER), H5Pclose), scalar_(H5Screate(H5S_SCALAR), H5Sclose),
        variable_text_(text_type(H5T_VARIABLE)), file_(create(access_), H5Fclose) {
    // the buffer in which texts are converted; the usual one of a megabyte is cleared at every write
    check(H5Pset_buffer(transfer_.get(), 1 << 12, nullptr, nullptr));
  }

  /// The bytes of the file. It lives in memory: the library does not survive a disk that fills while it
  /// writes.
  std::string image() {
    check(H5Fflush(file_.get(), H5F_SCOPE_GLOBAL));
    const ssize_t size = H5Fget_file_image(file_.get(), nullptr, 0);
    if (size < 0)
      throw WriteError("HDF5: " + Handle::first_message());
    std::string bytes(static_cast<std::size_t>(size), '\0');
    if (H5Fget_file_image(file_.get(), bytes.data(), bytes.size()) != size || !file_.close())
      throw WriteError("HDF5: " + Handle::first_message());
    seal(bytes);
    return bytes;
  }

  void root_attribute(const char* name, const std::string& text) { attribute(file_.get(), name, text); }
  void root_attribute(const char* name, int value) {
    const Handle space(H5Screate(H5S_SCALAR), H5Sclose);
    const Handle id(H5Acreate2(file_.get(), name, H5T_STD_I32LE, space.get(), H5P_DEFAULT, H5P_DEFAULT),
                    H5Aclose);
    check(H5Awrite(id.get(), H5T_NATIVE_INT, &value));
  }
  void group(const std::string& path, const std::string& name_attribute) {
    make_group(path);
    const Handle id(H5Gopen2(file_.get(), path.c_str(), H5P_DEFAULT), H5Gclose);
    attribute(id.get(), "name", name_attribute);
  }

  void numbers(const std::string& path, const Label& label, const Dims& dims, std::span<const double> data) {
    fits(path, dims, data.size());
    const Handle create = creation(H5P_DATASET_CREATE);
    const Handle set = dataset(path, label, H5T_IEEE_F64LE, dims, create);
    if (!data.empty())
      check(H5Dwrite(set.get(), H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, data.data()));
  }
  void number(const std::string& path, const Label& label, double value) {
    numbers(path, label, {}, std::span(&value, 1));
  }
  void integers(const std::string& path, const Label& label, const Dims& dims,
                std::span<const std::int64_t> data) {
    fits(path, dims, data.size());
    const Handle create = creation(H5P_DATASET_CREATE);
    const Handle set = dataset(path, label, H5T_STD_I64LE, dims, create);
    if (!data.empty())
      check(H5Dwrite(set.get(), H5T_NATIVE_INT64, H5S_ALL, H5S_ALL, H5P_DEFAULT, data.data()));
  }
  void integer(const std::string& path, const Label& label, std::int64_t value) {
    integers(path, label, {}, std::span(&value, 1));
  }
  void texts(const std::string& path, const std::string& long_name, const char* axes,
             const std::vector<std::string>& data) {
    write_texts(path, {"1", long_name, axes}, {data.size()}, data);
  }
  void text(const std::string& path, const std::string& long_name, const std::string& value) {
    write_texts(path, {"1", long_name}, {}, {value});
  }

  /// A [time, j, i] dataset, packed when it is worth it, with a view of each frame under `views`.
  template <typename Frame>
  void frames(const std::string& path, const Label& label, const Dims& dims, const std::string& views,
              std::string_view quantity, const Frame& frame) {
    const Dims plane = {1, dims[1], dims[2]};
    const std::size_t nodes = dims[1] * dims[2];
    std::vector<double> all;
    all.reserve(dims[0] * nodes);
    for (hsize_t t = 0; t < dims[0]; ++t) {
      const std::vector<double> values = frame(static_cast<std::size_t>(t));
      fits(path, plane, values.size());
      all.insert(all.end(), values.begin(), values.end());
    }
    {
      const Handle create = creation(H5P_DATASET_CREATE);
      if (all.size() * sizeof(double) > least_packed_bytes) {
        // as many frames to a chunk as readers keep unpacked at a time
        const Dims chunk = {std::clamp<hsize_t>(most_chunk_bytes / (nodes * sizeof(double)), 1, dims[0]),
                            dims[1], dims[2]};
        check(H5Pset_chunk(create.get(), 3, chunk.data()));
        check(H5Pset_shuffle(create.get()));
        check(H5Pset_deflate(create.get(), 2));
      }
      const Handle set = dataset(path, label, H5T_IEEE_F64LE, dims, create);
      if (!all.empty())
        check(H5Dwrite(set.get(), H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, all.data()));
    }
    const Label shown(label.unit, label.long_name + ", one frame", "j i", label.scale);
    const Dims flat = {dims[1], dims[2]};
    const Handle whole(H5Screate_simple(3, dims.data(), nullptr), H5Sclose);
    const Handle view(H5Screate_simple(2, flat.data(), nullptr), H5Sclose);
    for (hsize_t t = 0; t < dims[0]; ++t) {
      select_frame(whole, t, plane);
      const Handle create = creation(H5P_DATASET_CREATE);
      check(H5Pset_virtual(create.get(), view.get(), ".", path.c_str(), whole.get()));
      dataset(views + "/" + frame_view(quantity, static_cast<std::size_t>(t)), shown, H5T_IEEE_F64LE, flat,
              create);
    }
  }

 private:
  static constexpr std::size_t least_packed_bytes = 1 << 14; ///< less is not worth the unpacking
  static constexpr std::size_t most_chunk_bytes = 1 << 20;   ///< the library's usual cache of a dataset

  static hid_t create(const Handle& access) {
    constexpr std::size_t growth = 1 << 20;
    check(H5Pset_fapl_core(access.get(), growth, false));
    check(H5Pset_libver_bounds(access.get(), H5F_LIBVER_V18, H5F_LIBVER_V110));
    check(H5Pset_fclose_degree(access.get(), H5F_CLOSE_STRONG));
    const Handle properties = creation(H5P_FILE_CREATE);
    return H5Fcreate("in memory", H5F_ACC_TRUNC, properties.get(), access.get());
  }

  /// Creation properties without time stamps, so that equal content gives equal bytes.
  static Handle creation(hid_t kind) {
    Handle properties(H5Pcreate(kind), H5Pclose);
    check(H5Pset_obj_track_times(properties.get(), false));
    return properties;
  }

  /// Makes the group and those it lies in, unless they exist. (The library's own way of making intermediate
  /// groups would give them time stamps.)
  void make_group(const std::string& path) {
    if (path.empty() || !made_.insert(path).second)
      return;
    make_group(path.substr(0, path.rfind('/')));
    const Handle id(H5Gcreate2(file_.get(), path.c_str(), H5P_DEFAULT, group_.get(), H5P_DEFAULT), H5Gclose);
  }

  static void select_frame(const Handle& space, hsize_t t, const Dims& plane) {
    const std::array<hsize_t, 3> start = {t, 0, 0};
    check(H5Sselect_hyperslab(space.get(), H5S_SELECT_SET, start.data(), nullptr, plane.data(), nullptr));
  }

  static void fits(const std::string& path, const Dims& dims, std::size_t size) {
    const hsize_t wanted = std::accumulate(dims.begin(), dims.end(), hsize_t{1}, std::multiplies<>());
    if (wanted != size)
      throw std::logic_error("HDF5: " + path + ": data do not fit the shape");
  }

  void attribute(hid_t owner, const char* name, const std::string& value) {
    const std::string text = clean_utf8(value);
    const std::size_t size = std::max<std::size_t>(1, text.size());
    auto type = text_types_.find(size);
    if (type == text_types_.end())
      type = text_types_.emplace(size, text_type(size)).first;
    const Handle id(H5Acreate2(owner, name, type->second.get(), scalar_.get(), H5P_DEFAULT, H5P_DEFAULT),
                    H5Aclose);
    check(H5Awrite(id.get(), type->second.get(), text.c_str()));
  }

  Handle dataset(const std::string& path, const Label& label, hid_t type, const Dims& dims,
                 const Handle& create) {
    make_group(path.substr(0, path.rfind('/')));
    const Handle space(dims.empty() ? H5Screate(H5S_SCALAR)
                                    : H5Screate_simple(static_cast<int>(dims.size()), dims.data(), nullptr),
                       H5Sclose);
    Handle set(
        H5Dcreate2(file_.get(), path.c_str(), type, space.get(), H5P_DEFAULT, create.get(), H5P_DEFAULT),
        H5Dclose);
    attribute(set.get(), "units", label.unit);
    attribute(set.get(), "long_name", label.long_name);
    attribute(set.get(), "axes", label.axes);
    if (label.scale != Scale::plain)
      attribute(set.get(), "units_metadata",
                label.scale == Scale::on_scale ? "temperature: on_scale" : "temperature: difference");
    return set;
  }

  void write_texts(const std::string& path, const Label& label, const Dims& dims,
                   const std::vector<std::string>& data) {
    const Handle create = creation(H5P_DATASET_CREATE);
    const Handle set = dataset(path, label, variable_text_.get(), dims, create);
    std::vector<std::string> clean(data.size());
    std::transform(data.begin(), data.end(), clean.begin(),
                   [](const std::string& t) { return clean_utf8(t, true); });
    std::vector<const char*> pointers(data.size());
    std::transform(clean.begin(), clean.end(), pointers.begin(),
                   [](const std::string& t) { return t.c_str(); });
    if (!data.empty())
      check(H5Dwrite(set.get(), variable_text_.get(), H5S_ALL, H5S_ALL, transfer_.get(), pointers.data()));
  }

  Handle group_, access_, transfer_, scalar_, variable_text_, file_;
  std::map<std::size_t, Handle> text_types_; ///< of attributes, by length
  std::set<std::string> made_;               ///< groups that exist
};

constexpr const char* stage_meaning = "stage: 0 furnace, 1 transfer, 2 bath, 3 cool, 4 temper";

void write_judgement(File& file, const std::string& path, const std::string& what, const Judgement& j) {
  file.text(path + "_verdict", "verdict on the " + what + ": pass, marginal, fail, not_asked",
            verdict_key(j.verdict));
  file.text(path + "_as_stated", "the same before draws judge it", verdict_key(j.stated()));
  file.number(path + "_passing", {"1", "share of the draws that pass the " + what}, j.passing);
  file.text(path + "_reason", "reason of the verdict on the " + what, j.reason.text());
}

/// The verdicts on a blade or a station.
void write_verdicts(File& file, const std::string& group, const answers::Ledger& ledger, int station) {
  for (const answers::VerdictEntry& v : ledger.verdicts)
    if (v.station == station && v.zone == answers::no_zone)
      write_judgement(file, group + "/" + v.key, v.key, v.judgement);
}

std::vector<std::int64_t> stages_of(const std::vector<treatment::Frame>& frames) {
  std::vector<std::int64_t> stages;
  for (const treatment::Frame& frame : frames)
    stages.push_back(static_cast<std::int64_t>(frame.part));
  return stages;
}

/// Values of several points as one [step, point] array.
std::vector<double> side_by_side(const std::vector<treatment::Trace>& traces, std::size_t steps) {
  std::vector<double> values;
  values.reserve(steps * traces.size());
  for (std::size_t step = 0; step < steps; ++step)
    for (const treatment::Trace& trace : traces) {
      if (trace.temperature.size() != steps)
        throw std::logic_error("HDF5: a trace does not fit its times");
      values.push_back(trace.temperature[step]);
    }
  return values;
}

void write_points(File& file, const std::string& group, const char* kind,
                  const std::vector<treatment::Trace>& traces, std::size_t steps) {
  const Dims point = {traces.size()};
  std::vector<std::string> names;
  std::vector<double> x, y;
  for (const treatment::Trace& trace : traces) {
    names.push_back(trace.name);
    x.push_back(trace.x_m);
    y.push_back(trace.y_m);
  }
  file.texts(group + "/name", std::string("name of the ") + kind, kind, names);
  file.numbers(group + "/x", {"m", "distance from the spine face", kind}, point, x);
  file.numbers(group + "/y", {"m", "distance from the centre plane", kind}, point, y);
  const std::string axes = std::string("step ") + kind;
  file.numbers(group + "/temperature", {"degC", "temperature at each step", axes.c_str(), Scale::on_scale},
               {steps, traces.size()}, side_by_side(traces, steps));
}

void write_history(File& file, const std::string& group, const Run& run) {
  const Dims step = {run.time_s.size()};
  file.numbers(group + "/time", {"s", "time from closing the door (or from the start)", "step"}, step,
               run.time_s);
  file.numbers(group + "/surroundings",
               {"degC", "temperature of the furnace, air, bath or oven", "step", Scale::on_scale}, step,
               run.surroundings_degC);
  file.numbers(group + "/outer_surface_max",
               {"degC", "hottest point of the outermost surface (foil when on)", "step", Scale::on_scale},
               step, run.outer_surface_max_degC);
  file.numbers(group + "/heat_out",
               {"J m-1", "heat that left section and foil so far, per length of blade", "step"}, step,
               run.heat_out_J_m);

  const Dims span = {run.spans.size()};
  std::vector<std::int64_t> stage, cycle;
  std::vector<double> from, to;
  for (const treatment::StepSpan& s : run.spans) {
    stage.push_back(static_cast<std::int64_t>(s.part));
    cycle.push_back(s.cycle);
    from.push_back(s.from_s);
    to.push_back(s.to_s);
  }
  file.integers(group + "/span_stage", {"1", stage_meaning, "span"}, span, stage);
  file.integers(group + "/span_cycle", {"1", "temper cycle, from 1; 0 for other stages", "span"}, span,
                cycle);
  file.numbers(group + "/span_from", {"s", "start of the stage", "span"}, span, from);
  file.numbers(group + "/span_to", {"s", "end of the stage", "span"}, span, to);
}

void write_state(File& file, const std::string& group, const treatment::Case& c, const WholeSection& whole,
                 const NodeState& state) {
  const Dims plane = {static_cast<hsize_t>(whole.nj), static_cast<hsize_t>(whole.ni)};
  for (const FieldFigure& figure : field_figures()) {
    const std::vector<double>& values = state.*figure.value;
    if (!values.empty() && (!c.steel.inert || !figure.of_transforming_steel))
      file.numbers(group + "/" + figure.meaning.name, {figure.meaning, "j i"}, plane, whole.expand(values));
  }
}

void write_hardness(File& file, const std::string& group, const treatment::Case& c, const WholeSection& whole,
                    const std::vector<double>& vickers) {
  if (vickers.empty() || c.steel.inert)
    return;
  const Dims plane = {static_cast<hsize_t>(whole.nj), static_cast<hsize_t>(whole.ni)};
  const std::vector<double> values = whole.expand(vickers);
  file.numbers(group + "/" + vickers_meaning.name, {vickers_meaning, "j i"}, plane, values);
  file.numbers(group + "/" + rockwell_meaning.name, {rockwell_meaning, "j i"}, plane, rockwell(values));
}

void write_fields(File& file, const std::string& group, const std::string& views, const treatment::Case& c,
                  const WholeSection& whole, const Run& run) {
  const Dims time = {run.frames.size()};
  std::vector<double> times;
  for (const treatment::Frame& frame : run.frames)
    times.push_back(frame.time_s);
  file.numbers(group + "/time", {"s", "time of the frame from closing the door (or from the start)", "time"},
               time, times);
  file.integers(group + "/stage", {"1", stage_meaning, "time"}, time, stages_of(run.frames));

  const Dims cube = {run.frames.size(), static_cast<hsize_t>(whole.nj), static_cast<hsize_t>(whole.ni)};
  const std::vector<std::string> present = frame_quantities(c, run);
  const auto is_present = [&](const char* name) {
    return std::find(present.begin(), present.end(), name) != present.end();
  };
  for (const FieldFigure& figure : field_figures())
    if (is_present(figure.meaning.name))
      file.frames(group + "/" + figure.meaning.name, {figure.meaning, "time j i"}, cube, views,
                  figure.meaning.name,
                  [&](std::size_t t) { return whole.expand(run.frames[t].state.*figure.value); });
  if (is_present(vickers_meaning.name))
    file.frames(group + "/" + vickers_meaning.name, {vickers_meaning, "time j i"}, cube, views,
                vickers_meaning.name, [&](std::size_t t) { return whole.expand(run.frames[t].hardness_HV); });
}

void write_grid(File& file, const std::string& group, const std::string& views, const WholeSection& whole) {
  const Dims plane = {static_cast<hsize_t>(whole.nj), static_cast<hsize_t>(whole.ni)};
  file.numbers(group + "/x", {"m", "distance of the node from the spine face", "j i"}, plane, whole.x);
  file.numbers(group + "/y", {"m", "distance of the node from the centre plane", "j i"}, plane, whole.y);
  std::vector<double> points;
  points.reserve(whole.x.size() * 3);
  for (std::size_t n = 0; n < whole.x.size(); ++n)
    points.insert(points.end(), {whole.x[n], whole.y[n], 0.0});
  file.numbers(views + "/points", {"m", "nodes as points in space", "j i xyz"}, {plane[0], plane[1], 3},
               points);
}

/// What holds a band: 5 %, half and 95 % of the draws lie below.
constexpr const char* band_axis = "band";
std::vector<double> band_of(const answers::FigureEntry& f) {
  constexpr double none = answers::Band::none;
  return f.band ? std::vector{f.band->low, f.band->middle, f.band->high} : std::vector{none, none, none};
}

void write_answer(File& file, const std::string& group, const answers::Ledger& ledger, int index,
                  const StationAnswer& s) {
  const std::string zones = group + "/zones";
  const Dims zone = {s.zones.size()};
  for (auto f = ledger.figures.begin(); f != ledger.figures.end();) {
    const answers::Figure& figure = *f->figure;
    const bool of_zone = figure.of_zone != nullptr;
    const auto end = f + (of_zone ? treatment::zone_count : 1); // zones stand beside one another
    if (f->station == index) {
      const std::string place = of_zone ? zones : group + (figure.of_surface ? "/surface" : "");
      const Meaning& m = figure.meaning;
      std::vector<double> values, bands;
      for (auto one = f; one != end; ++one) {
        values.push_back(one->stated);
        const std::vector<double> band = band_of(*one);
        bands.insert(bands.end(), band.begin(), band.end());
      }
      file.numbers(place + "/" + m.name, {m, of_zone ? "zone" : ""}, of_zone ? zone : Dims{}, values);
      if (ledger.draws > 0 && figure.spread.drawn)
        file.numbers(place + "/bands/" + m.name,
                     {m.unit, std::string("5 %, half and 95 % of the draws below: ") + m.long_name,
                      of_zone ? "zone band" : "band", m.scale},
                     of_zone ? Dims{s.zones.size(), 3} : Dims{3}, bands);
    }
    f = end;
  }
  write_verdicts(file, group, ledger, index);
  for (const SurfaceText& text : surface_texts())
    file.text(group + "/surface/" + text.name, text.long_name, s.surface.*text.value);

  std::vector<std::string> names, wanted, verdicts, stated, reasons;
  std::vector<double> in_air, passing;
  for (std::size_t k = 0; k < s.zones.size(); ++k) {
    names.emplace_back(treatment::zone_name(static_cast<treatment::Zone>(k)));
    wanted.emplace_back(answers::wanted_name(s.zones[k].wanted));
    verdicts.push_back(verdict_key(s.zones[k].hardens.verdict));
    stated.push_back(verdict_key(s.zones[k].hardens.stated()));
    passing.push_back(s.zones[k].hardens.passing);
    reasons.push_back(s.zones[k].hardens.reason.text());
    in_air.insert(in_air.end(), s.zones[k].in_air_degC.begin(), s.zones[k].in_air_degC.end());
  }
  file.texts(zones + "/name", "name of the zone", "zone", names);
  file.numbers(zones + "/" + in_air_time_meaning.name, {in_air_time_meaning, "moment"},
               {in_air_times_s.size()}, in_air_times_s);
  file.numbers(zones + "/" + in_air_meaning.name, {in_air_meaning, "zone moment"},
               {s.zones.size(), in_air_times_s.size()}, in_air);
  file.texts(zones + "/wanted", "what is wished of the zone: hard, soft, either", "zone", wanted);
  file.texts(zones + "/hardens_verdict", "verdict on the quench of the zone: pass, marginal, fail, not_asked",
             "zone", verdicts);
  file.texts(zones + "/hardens_as_stated", "the same before draws judge it", "zone", stated);
  file.numbers(zones + "/hardens_passing",
               {"1", "share of the draws that pass the quench of the zone", "zone"}, zone, passing);
  file.texts(zones + "/hardens_reason", "reason of the verdict on the quench of the zone", "zone", reasons);
}

/// One column of a list for each of its figures.
template <class Row>
void write_rows(File& file, const std::string& group, const char* axis,
                const std::vector<RowFigure<Row>>& figures, const std::vector<Row>& rows) {
  for (const RowFigure<Row>& figure : figures) {
    std::vector<double> values;
    for (const Row& row : rows)
      values.push_back(figure.value(row));
    file.numbers(group + "/" + figure.meaning.name, {figure.meaning, axis}, {rows.size()}, values);
  }
}

void write_metallurgy(File& file, const std::string& station, const Run& run, const StationAnswer& s) {
  std::vector<std::string> kinds, zones, media;
  for (const treatment::Event& event : run.events) {
    kinds.emplace_back(event_key(event.kind));
    zones.emplace_back(treatment::zone_name(event.zone));
  }
  file.texts(station + "/events/kind", "what happened: pearlite_starts, bainite_starts, martensite_starts",
             "event", kinds);
  file.texts(station + "/events/zone", "zone in whose centre it happened", "event", zones);
  write_rows(file, station + "/events", "event", event_figures(), run.events);

  for (const answers::ColdAnswer& cold : s.cold)
    media.push_back(cold.medium);
  file.texts(station + "/answers/cold/medium", "what the blade would be cooled with before tempering",
             "medium", media);
  write_rows(file, station + "/answers/cold", "medium", cold_figures(), s.cold);
  write_rows(file, station + "/answers/cycles", "cycle", cycle_figures(), s.cycles);

  const std::string diagram = station + "/diagram";
  for (const RowFigure<answers::DiagramAnswer>& figure : diagram_figures())
    file.number(diagram + "/" + figure.meaning.name, {figure.meaning, ""}, figure.value(s.diagram));
  write_rows(file, diagram + "/isothermal", "level", isothermal_figures(), s.diagram.isothermal);
  write_rows(file, diagram + "/cooling", "rate", cooling_figures(), s.diagram.cooling);
}

void write_station(File& file, const treatment::Case& c, std::size_t index, const Run& run,
                   const StationAnswer& answer, const answers::Ledger& ledger) {
  const std::string group = "/" + station_group(index);
  const std::string views = "/xdmf/" + station_group(index);
  const WholeSection whole(run.grid);
  file.group(group, run.station);
  write_grid(file, group + "/grid", views, whole);
  write_fields(file, group + "/fields", views, c, whole, run);
  write_state(file, group + "/after_furnace", c, whole, run.after_furnace);
  write_state(file, group + "/after_bath", c, whole, run.after_bath);
  write_state(file, group + "/after_cool", c, whole, run.after_cool);
  write_hardness(file, group + "/after_cool", c, whole, run.as_quenched_HV);
  write_state(file, group + "/final", c, whole, run.final_state);
  write_hardness(file, group + "/final", c, whole, run.final_HV);
  write_history(file, group + "/history", run);
  write_points(file, group + "/zones", "zone", run.zones, run.time_s.size());
  if (!run.probes.empty())
    write_points(file, group + "/probes", "probe", run.probes, run.time_s.size());
  write_answer(file, group + "/answers", ledger, static_cast<int>(index), answer);
  if (!c.steel.inert)
    write_metallurgy(file, group, run, answer);

  const std::string solver = group + "/solver";
  file.integer(solver + "/steps", {"1", "accepted time steps"}, run.counters.steps);
  file.integer(solver + "/rejected_steps", {"1", "rejected time steps"}, run.counters.rejected);
  file.integer(solver + "/rhs_evaluations", {"1", "evaluations of the heat balance"}, run.counters.rhs);
  file.integer(solver + "/factorisations", {"1", "factorisations of the step matrix"},
               run.counters.factorisations);
  file.number(solver + "/energy_residual", {"1", "abs(dH + Q) / max abs(Q) over the run"},
              run.energy_residual);
  file.number(solver + "/solver_time", {"s", "processor time of the stepping"},
              reproducible() ? std::numeric_limits<double>::quiet_NaN() : run.solver_seconds);
  file.number(solver + "/section_area", {"m2", "area of the section"}, run.area_m2);
}

/// The bow of one section as if the whole blade had it.
void write_bow(File& file, const std::string& group, const answers::BowAnswer& bow) {
  file.number(group + "/bow", {"m", "height of the arc sideways over the blade's length"}, bow.bow_m);
  file.numbers(group + "/bow_band", {"m", "nine times in ten between these two", band_axis}, {2},
               std::array{bow.low_m, bow.high_m});
  file.number(group + "/edge_bow", {"m", "the same in the plane of the blade; above 0: the edge is outside"},
              bow.edge_bow_m);
  file.text(group + "/bow_outside", "outside of the arc: flank_a or flank_b",
            bow.convex_on_a ? "flank_a" : "flank_b");
  file.integer(group + "/bow_side_certain", {"1", "1: the band stays on that side"},
               bow.side_certain ? 1 : 0);
}

void write_overall(File& file, const answers::Answers& a, const answers::Ledger& ledger, const Origin& origin,
                   const Extras& extras) {
  const std::string group = "/answers";
  file.integer(group + "/judged_by_draws", {"1", "draws that judge the verdicts; 0: judged as stated"},
               ledger.draws);
  write_verdicts(file, group, ledger, answers::whole_blade);
  if (extras.risks != nullptr) {
    std::vector<std::string> keys, levels, reasons;
    for (const answers::CrackFlag& flag : extras.risks->crack.flags) {
      keys.push_back(flag.key);
      levels.emplace_back(answers::crack_level_name(flag.level));
      reasons.push_back(flag.reason.text());
    }
    file.texts(group + "/crack_flags/key", "what invites a crack", "flag", keys);
    file.texts(group + "/crack_flags/level", "note, raised, high", "flag", levels);
    file.texts(group + "/crack_flags/reason", "why", "flag", reasons);
    file.number(group + "/notch_factor", {"1", "stress concentration of the stated notch on its net section"},
                extras.risks->crack.notch_factor);
    for (std::size_t k = 0; k < extras.risks->stations.size(); ++k)
      write_bow(file, "/" + station_group(k) + "/answers", extras.risks->stations[k]);
  }
  std::vector<std::string> beside, text;
  for (const answers::Caution& caution : a.cautions) {
    beside.push_back(caution.beside);
    text.push_back(caution.text);
  }
  file.texts(group + "/caution_beside", "the figure a caution belongs to", "caution", beside);
  file.texts(group + "/caution_text", "the caution", "caution", text);
  file.texts(group + "/warnings", "warnings", "warning", origin.warnings);
  file.texts(group + "/assumptions", "what the figures rest on", "assumption", a.assumptions);
}

void write_origin(File& file, const Origin& origin) {
  const std::string group = "/provenance";
  file.text(group + "/program", "program that computed this", origin.program);
  file.text(group + "/program_version", "its version", origin.version);
  file.text(group + "/commit", "its source revision", origin.commit);
  file.text(group + "/created", "when, UTC, ISO 8601", origin.created);
  file.text(group + "/command_line", "command that was given", origin.command_line);
  file.text(group + "/case_file", "name of the case file", origin.case_file);
  file.text(group + "/case_text", "the case file as read", origin.case_text);
  file.text(group + "/case_sha256", "SHA-256 of the case file", origin.case_sha256);
  file.text(group + "/resolved_case", "the case with every default filled in, TOML", origin.resolved_case);
  file.text(group + "/compiler", "compiler", origin.compiler);
  file.text(group + "/compiler_flags", "compiler flags", origin.compiler_flags);
  file.text(group + "/build_type", "kind of build", origin.build_type);
  file.text(group + "/libraries", "versions of the libraries", origin.libraries);
  file.number(group + "/tolerance", {"K", "allowed error per time step", "", Scale::difference},
              origin.tolerance_K);
  file.number(group + "/wall_time", {"s", "wall time of the computation"}, origin.wall_s);
  file.texts(group + "/defaults", "what the case file left to the program", "default", origin.defaults);

  using Pick = std::string records::Provenance::*;
  const auto column = [&](const char* name, const char* long_name, Pick pick) {
    std::vector<std::string> values;
    for (const RecordEntry& r : origin.records)
      values.push_back(r.entry.*pick);
    file.texts(group + "/records/" + name, long_name, "entry", values);
  };
  std::vector<std::string> names;
  for (const RecordEntry& r : origin.records)
    names.push_back(r.record);
  file.texts(group + "/records/record", "record the value belongs to", "entry", names);
  column("key", "key inside the record", &records::Provenance::key);
  column("value", "value as read, with its unit", &records::Provenance::value);
  column("source", "where the value comes from", &records::Provenance::source);
  column("range", "range of validity", &records::Provenance::range);
  column("uncertainty", "stated uncertainty", &records::Provenance::uncertainty);
  column("note", "anything else worth knowing", &records::Provenance::note);

  std::vector<std::string> files, texts, sums;
  for (const InputFile& input : origin.record_files) {
    files.push_back(input.name);
    texts.push_back(input.text);
    sums.push_back(sha256_hex(input.text));
  }
  file.texts(group + "/record_files/name", "record file as given", "file", files);
  file.texts(group + "/record_files/text", "the record file as read", "file", texts);
  file.texts(group + "/record_files/sha256", "SHA-256 of the record file", "file", sums);
}

} // namespace

std::string hdf5_version() {
  unsigned major = 0, minor = 0, release = 0;
  H5get_libversion(&major, &minor, &release);
  return formatted("%u.%u.%u", major, minor, release);
}

std::string station_group(std::size_t index) { return formatted("station_%zu", index + 1); }

std::string frame_view(std::string_view quantity, std::size_t frame) {
  return formatted("%.*s_%05zu", static_cast<int>(quantity.size()), quantity.data(), frame);
}

std::vector<std::string> frame_quantities(const treatment::Case& c, const Run& run) {
  std::vector<std::string> names;
  if (run.frames.empty())
    return names;
  const auto in_all = [&](const auto& values) {
    return std::all_of(run.frames.begin(), run.frames.end(),
                       [&](const treatment::Frame& f) { return !values(f).empty(); });
  };
  for (const FieldFigure& figure : field_figures())
    if ((!c.steel.inert || !figure.of_transforming_steel) &&
        in_all([&](const treatment::Frame& f) -> const auto& { return f.state.*figure.value; }))
      names.emplace_back(figure.meaning.name);
  if (!c.steel.inert && in_all([](const treatment::Frame& f) -> const auto& { return f.hardness_HV; }))
    names.emplace_back(vickers_meaning.name);
  return names;
}

std::string hdf5_bytes(const treatment::Case& c, const std::vector<Run>& runs, const answers::Answers& a,
                       const Origin& origin, const Extras& extras) {
  expect_memory(runs);
  const Quiet quiet;
  File file;
  file.root_attribute("schema", "thinquench-result");
  file.root_attribute("schema_version", schema_version);
  file.root_attribute("title", a.title);
  file.root_attribute("program", origin.program + " " + origin.version);
  file.root_attribute("created", origin.created);
  file.root_attribute("conventions", "units follow CF 1.11 and UDUNITS");
  const answers::Ledger ledger = answers::ledger_of(a, extras.bands, extras.risks);
  for (std::size_t k = 0; k < runs.size(); ++k)
    write_station(file, c, k, runs[k], a.stations.at(k), ledger);
  write_overall(file, a, ledger, origin, extras);
  write_origin(file, origin);
  return file.image();
}

} // namespace tq::output
