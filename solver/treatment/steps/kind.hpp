// What every kind of step has: its settings, and these functions of them.
//   word            how a case file names the kind
//   counts_as       what it is to a hardening
//   key_table       its keys in a case (treatment/keys/key.hpp); one that is told in a way of its own has a
//   form in
//                   treatment/keys/step_keys.cpp
//   take            carries the blade through it; `seconds` < 0: as long as the settings say
//   expected_s      how long it will take, for frames and progress
//   usual_frames    times of its saved fields, from its beginning
//   weight          share of the computing time, for progress (measured, rounded)
//   same_on_both_flanks  whether one half of a symmetric section is enough
#pragma once

#include <cstddef>
#include <functional>
#include <vector>

namespace tq::treatment {

namespace keys {
struct Table;
}

/// What a step is to a hardening. Questions are asked about these parts of the last one; each begins where
/// the one before ends.
enum class Part { furnace, transfer, bath, cool, temper };
inline constexpr std::size_t part_count = 5;
const char* part_name(Part part);
class Simulation;
using StepObserver = std::function<bool(const Simulation&)>;

/// What a shop is taken to have where the case does not say (assumption, no source).
inline constexpr double room_degC = 20;

/// `count` times spread evenly inside a step.
std::vector<double> even_frames(double length_s, int count);

} // namespace tq::treatment
