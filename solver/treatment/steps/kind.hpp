// What every kind of step has: its settings, and these functions of them.
//   word            how a case file names the kind
//   take            carries the blade through it; `seconds` < 0: as long as the settings say
//   expected_s      how long it will take, for frames and progress
//   usual_frames    times of its saved fields, from its beginning
//   weight          share of the computing time, for progress (measured, rounded)
//   same_on_both_flanks  whether one half of a symmetric section is enough
#pragma once

#include <functional>
#include <vector>

namespace tq::treatment {

class Simulation;
using StepObserver = std::function<bool(const Simulation&)>;

/// `count` times spread evenly inside a step.
std::vector<double> even_frames(double length_s, int count);

} // namespace tq::treatment
