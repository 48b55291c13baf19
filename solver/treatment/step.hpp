// One step of a treatment: what surrounds the blade for a time, and what lies on it meanwhile.
#pragma once

#include "treatment/steps/air.hpp"
#include "treatment/steps/bath.hpp"
#include "treatment/steps/cold.hpp"
#include "treatment/steps/furnace.hpp"
#include "treatment/steps/oven.hpp"

#include <string>
#include <variant>

namespace tq::treatment {

/// Every kind there is; the engine and the reader of cases go by this list.
using Kind = std::variant<Furnace, Air, Bath, Cold, Oven>;

struct Step {
  std::string name; ///< as people call it: "furnace", "transfer", "second bath", "temper 2"
  Kind kind;
  bool foil = false; ///< the packet is on; once off it comes on again only before a furnace
  bool coat = false; ///< the clay of the case is on
  int number = 0;    ///< of the [[step]] that tells it, from 1; 0: a table of the short form does, or none

  template <class Settings>
  const Settings* as() const {
    return std::get_if<Settings>(&kind);
  }
  template <class Settings>
  Settings* as() {
    return std::get_if<Settings>(&kind);
  }
};

/// As its kind says (counts_as).
Part part_of(const Step& step);

} // namespace tq::treatment
