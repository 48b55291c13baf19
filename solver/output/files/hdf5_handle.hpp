// What every user of the C library HDF5 needs. Only for the source files of this folder.
#pragma once

#include "output/files/files.hpp"

#include <hdf5.h>

#include <cstddef>
#include <functional>
#include <numeric>
#include <string>
#include <utility>
#include <vector>

namespace tq::output {

/// Owner of one identifier of the C library.
class Handle {
 public:
  using Closer = herr_t (*)(hid_t);
  Handle(hid_t id, Closer closer) : id_(id), closer_(closer) {
    if (id < 0)
      throw WriteError("HDF5: " + first_message());
  }
  ~Handle() {
    if (id_ >= 0)
      closer_(id_);
  }
  Handle(Handle&& other) noexcept : id_(std::exchange(other.id_, hid_t{-1})), closer_(other.closer_) {}
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;
  Handle& operator=(Handle&&) = delete;
  hid_t get() const { return id_; }
  /// Closes now, so that a failure is seen.
  bool close() { return closer_(std::exchange(id_, hid_t{-1})) >= 0; }

  /// Innermost text of the library's error stack.
  static std::string first_message() {
    std::string text = "unknown error";
    H5Ewalk2(
        H5E_DEFAULT, H5E_WALK_UPWARD,
        [](unsigned depth, const H5E_error2_t* error, void* out) -> herr_t {
          if (depth == 0 && error->desc != nullptr)
            *static_cast<std::string*>(out) = error->desc;
          return 0;
        },
        &text);
    return text;
  }

 private:
  hid_t id_;
  Closer closer_;
};

inline void check(herr_t result) {
  if (result < 0)
    throw WriteError("HDF5: " + Handle::first_message());
}

/// Lengths of a data set along its axes.
using Dims = std::vector<hsize_t>;
/// How many values it holds.
inline std::size_t product(const Dims& dims) {
  return static_cast<std::size_t>(std::accumulate(dims.begin(), dims.end(), hsize_t{1}, std::multiplies<>()));
}

/// Text of this many bytes, padded with zeros, or of any length (H5T_VARIABLE); UTF-8.
inline Handle text_type(std::size_t size) {
  Handle type(H5Tcopy(H5T_C_S1), H5Tclose);
  check(H5Tset_size(type.get(), size));
  check(H5Tset_cset(type.get(), H5T_CSET_UTF8));
  if (size != H5T_VARIABLE)
    check(H5Tset_strpad(type.get(), H5T_STR_NULLPAD));
  return type;
}

/// Keeps the library from printing its error stack; errors are thrown instead.
class Quiet {
 public:
  Quiet() {
    H5Eget_auto2(H5E_DEFAULT, &printer_, &data_);
    H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);
  }
  ~Quiet() { H5Eset_auto2(H5E_DEFAULT, printer_, data_); }
  Quiet(const Quiet&) = delete;
  Quiet& operator=(const Quiet&) = delete;

 private:
  H5E_auto2_t printer_ = nullptr;
  void* data_ = nullptr;
};

/// The library's own cleaning up at exit, which crashes or never ends after it found no memory or no room on
/// the disk, is left out: every file is closed before. To be said before any other call of it.
[[maybe_unused]] inline const bool hdf5_cleaning_left_out = H5dont_atexit() >= 0;

} // namespace tq::output
