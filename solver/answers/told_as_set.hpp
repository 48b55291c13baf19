// Which uncertain inputs are what somebody sets or reads off.
#pragma once

#include <algorithm>
#include <array>
#include <string_view>

namespace tq::answers {

/// Inputs that stand in the answers as the case states them: an oven is set by its dial, whatever is learnt
/// of its air. What a shop has learnt of them moves the draws and never the case.
inline bool told_as_set(std::string_view input) {
  constexpr std::array<std::string_view, 12> all = {
      "oven_reading", "oven_swing", "transfer_time",  "oil_temperature", "oil_volume",      "oil_agitation",
      "coldest",      "immersion",  "coat_thickness", "furnace_droop",   "spine_thickness", "edge_thickness"};
  return input == "furnace_recovery" || std::find(all.begin(), all.end(), input) != all.end();
}

} // namespace tq::answers
