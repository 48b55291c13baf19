// One step of a treatment: what surrounds the blade for a time, and what lies on it meanwhile.
#pragma once

#include "treatment/steps/air.hpp"
#include "treatment/steps/bath.hpp"
#include "treatment/steps/cold.hpp"
#include "treatment/steps/furnace.hpp"
#include "treatment/steps/oven.hpp"

#include <cstddef>
#include <string>
#include <variant>

namespace tq::treatment {

struct Step {
  std::string name; ///< as people call it: "furnace", "transfer", "second bath", "temper 2"
  std::variant<Furnace, Air, Bath, Cold, Oven> kind;
  bool foil = false; ///< the packet is on; once off it comes on again only before a furnace
  bool coat = false; ///< the clay of the case is on

  template <class Settings>
  const Settings* as() const {
    return std::get_if<Settings>(&kind);
  }
  template <class Settings>
  Settings* as() {
    return std::get_if<Settings>(&kind);
  }
};

/// What a step is to a hardening. Questions are asked about these parts of the last one; each begins where
/// the one before ends.
enum class Part { furnace, transfer, bath, cool, temper };
inline constexpr std::size_t part_count = 5;
const char* part_name(Part part);
/// By its kind: air for a stated time is a way to somewhere, air until something is cold cools.
Part part_of(const Step& step);

/// "furnace", "air", "bath", "plates", "cold" or "oven": the word for the kind in a case file.
const char* kind_name(const Step& step);

} // namespace tq::treatment
