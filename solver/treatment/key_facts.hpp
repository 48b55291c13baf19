// What the table of keys knows about one key, for those who lay values on a case (sweeps, forms).
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tq::treatment {

struct KeyFacts {
  enum class Holds { number, integer, word, other };
  Holds holds = Holds::other;
  std::string dimension; ///< of a number, see units::dimensions(); "" for a bare one
  std::string says;      ///< the explanation
};

/// The parts of a dotted path: "blade.station[2].spine" gives blade, station, 2, spine.
std::vector<std::string> parts_of_key(std::string_view path);

/// The facts about a key by its dotted path as a setting names it ("bath.temperature",
/// "blade.station.1.spine", "step.2.setpoint"); nothing when no key is called so. Number or name of an
/// element of a list may stand behind its table or be left out.
std::optional<KeyFacts> key_facts(std::string_view path);

} // namespace tq::treatment
