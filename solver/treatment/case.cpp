#include "treatment/case.hpp"

#include <algorithm>

namespace tq::treatment {

const char* stage_name(Stage stage) {
  switch (stage) {
  case Stage::furnace:
    return "furnace";
  case Stage::transfer:
    return "transfer";
  case Stage::bath:
    return "bath";
  case Stage::cool:
    return "cool";
  case Stage::temper:
    return "temper";
  }
  return "";
}

bool Case::has(Stage stage) const { return std::find(stages.begin(), stages.end(), stage) != stages.end(); }

} // namespace tq::treatment
