// What was computed on the section, as arrays of numpy that look into the solver's own memory.
#pragma once

#include "answers/compute.hpp"

#include <memory>
#include <pybind11/numpy.h>

namespace tq::python {

/// A computed case that arrays keep alive.
struct Held {
  answers::Computed computed;
};

/// Traces, grid and fields of a station by the names of FORMAT.md: one-dimensional arrays over the accepted
/// steps, two-dimensional ones [j, i] for each frame. Read-only, and no copy but for `y` and the frames'
/// times. Throws std::out_of_range for a station that is none.
pybind11::dict station_views(const std::shared_ptr<Held>& held, std::size_t station);

} // namespace tq::python
