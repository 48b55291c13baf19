#include "answers/careful_timer.hpp"

#include "answers/margins.hpp"
#include "answers/timer.hpp"
#include "answers/uncertain_inputs.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

namespace tq::answers {

using treatment::Case;

namespace {

/// Seconds to the asked soak in the last zone of all; NaN when one never gets there.
double seconds_to_soak(const Case& c) {
  double latest = 0;
  for (std::size_t i = 0; i < c.blade.stations.size(); ++i)
    for (const ZoneMargins& z : soak_margins(c, i).zones)
      latest = std::isfinite(z.reaches_temperature_s) && std::isfinite(latest)
                   ? std::max(latest, z.reaches_temperature_s + c.wishes.soak_s)
                   : ZoneMargins::none;
  return latest;
}

bool heats(const UncertainInput& input) {
  for (const char* start : {"furnace_", "foil_", "steel_emissivity", "coat_", "spine_", "edge_"})
    if (input.key.starts_with(start))
      return static_cast<bool>(input.apply);
  return false;
}

} // namespace

CarefulTimer careful_timer(const Case& c, Executor* executor) {
  std::vector<UncertainInput> inputs = uncertain_inputs(c);
  inputs.erase(std::remove_if(inputs.begin(), inputs.end(), [](const auto& i) { return !heats(i); }),
               inputs.end());
  // the case itself, then each input at both ends
  std::vector<double> seconds(1 + 2 * inputs.size());
  SerialExecutor serial;
  (executor != nullptr ? *executor : serial).for_each_index(seconds.size(), [&](std::size_t k) {
    Case changed = c;
    if (k > 0) {
      const UncertainInput& input = inputs[(k - 1) / 2];
      constexpr std::array<double, 2> ends{0.1, 0.9};
      input.apply(changed, input.distribution.quantile(ends[k % 2]));
    }
    seconds[k] = seconds_to_soak(changed);
  });
  double square = 0;
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    const double worse = std::fmax(seconds[1 + 2 * i], seconds[2 + 2 * i]) - seconds[0];
    square += worse > 0 ? worse * worse : 0;
  }
  const double longer_s = std::sqrt(square);
  return {whole_minutes_up(seconds[0]), whole_minutes_up(seconds[0] + longer_s), longer_s / seconds[0]};
}

CarefulTimer guessed_timer(const Case& c, double share) {
  const double seconds = seconds_to_soak(c);
  return {whole_minutes_up(seconds), whole_minutes_up(seconds * (1 + share)), share};
}

} // namespace tq::answers
