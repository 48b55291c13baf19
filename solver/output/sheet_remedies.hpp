// What to look at when the blade came out wrong. Common practice, no source.
#pragma once

#include <array>

namespace tq::output {

struct Remedy {
  const char *seen, *cause, *next;
};
inline constexpr std::array<Remedy, 5> sheet_remedies() {
  return {{{"soft", "soak short or cool, skin without carbon, slow to the bath",
            "grind 0.1 mm, file again; read the furnace twice"},
           {"chips", "temper too low, or soak too hot and grain coarse",
            "temper 15 \u00b0C (25 \u00b0F) higher; break a coupon, see its grain"},
           {"bowed", "stress from grinding, or one side met the bath first",
            "shim straight in the next temper; plunge edge or tip first"},
           {"cracked", "scratch or sharp corner, soak too hot, bath too fast",
            "round and polish; warmer or slower bath; temper at once"},
           {"patchy", "scale, foil or vapour kept the bath away in places",
            "clean better, move edge to spine at once, file along the edge"}}};
}

} // namespace tq::output
