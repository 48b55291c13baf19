// The temperature of the section at every saved moment, packed into a page with one moment drawn.
#pragma once

#include "answers/answers.hpp"

#include <string>
#include <vector>

namespace tq::output {

/// The saved moments with a temperature at every node.
std::vector<const treatment::Frame*> whole_frames(const treatment::Run& run);
/// "bath, 0.5 s in": the stage and the time since it began.
std::string moment_name(const treatment::Run& run, const treatment::Frame& frame);

/// A <figure> with the drawing, the packed fields and a slider that shows itself when scripts run; empty when
/// nothing was saved. Fields are quantised to 65535 steps between the lowest and the highest temperature.
std::string field_movie(const treatment::Case& c, const treatment::Run& run, const std::string& id);

} // namespace tq::output
