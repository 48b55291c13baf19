// Sweeps for Python: a plan whose cases are computed by place, and the file that their rows go into.
#pragma once

#include <pybind11/pybind11.h>

namespace tq::python {

/// Adds the classes Plan and Store to the module.
void add_sweeps(pybind11::module_& m);

} // namespace tq::python
