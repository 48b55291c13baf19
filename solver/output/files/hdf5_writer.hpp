// The result as an HDF5 file; every path, type, shape and unit stands in FORMAT.md.
#pragma once

#include "answers/answers.hpp"
#include "output/extras.hpp"
#include "output/origin.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace tq::output {

/// Version of the HDF5 library in use, "1.10.8".
std::string hdf5_version();

/// The bytes of the file with the bands and risks of `extras`, by which `a` is judged. Throws WriteError.
std::string hdf5_bytes(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                       const answers::Answers& a, const Origin& origin, const Extras& extras = {});

/// Group of a station, "station_1" for index 0.
std::string station_group(std::size_t index);
/// Name of a quantity's view of one frame, "temperature_00012".
std::string frame_view(std::string_view quantity, std::size_t frame);
/// Quantities that have a value in every frame of the run, in file order. Constituents, tempering and
/// hardness of an inert steel have none.
std::vector<std::string> frame_quantities(const treatment::Case& c, const treatment::Run& run);

} // namespace tq::output
