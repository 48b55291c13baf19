// The result of one station as a drawing: the section coloured by hardness, how it heated and how it cooled.
#pragma once

#include "answers/answers.hpp"

#include <string>

namespace tq::output {

/// A self-contained SVG document, light background, readable without scripts.
std::string picture_svg(const treatment::Case& c, const treatment::Run& run,
                        const answers::StationAnswer& answer);

} // namespace tq::output
