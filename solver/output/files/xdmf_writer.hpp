// The key by which general viewers open the HDF5 file of a station as a film of coloured sections.
#pragma once

#include "treatment/run.hpp"

#include <string>

namespace tq::output {

/// XDMF 3 text. `hdf5_name` is the name of the HDF5 file beside it, without folder.
std::string xdmf_text(const treatment::Case& c, const treatment::Run& run, std::size_t station,
                      const std::string& hdf5_name);

} // namespace tq::output
