// The temperature of the section at every saved moment, packed into a page with one moment drawn.
#pragma once

#include "answers/answers.hpp"

#include <string>

namespace tq::output {

/// A <figure> with the drawing, the packed fields and a slider that shows itself when scripts run; empty when
/// nothing was saved. Fields are quantised to 65535 steps between the lowest and the highest temperature.
std::string field_movie(const treatment::Case& c, const treatment::Run& run, const std::string& id);

} // namespace tq::output
