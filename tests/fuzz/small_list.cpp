// The list of targets of the small program: those that need no more than units, records and the shop's
// beliefs.
#include "quantity_target.hpp"
#include "table_targets.hpp"
#include "targets.hpp"

#include <array>

namespace tq::test {

const FuzzTarget* fuzz_target(std::string_view name) {
  static constexpr std::array<FuzzTarget, 5> small{{
      {"quantity", read_as_quantity, false},
      {"rows", read_as_rows, false},
      {"trace", read_as_trace, false},
      {"log", read_as_log, false},
      {"belief", read_as_belief, false},
  }};
  for (const FuzzTarget& target : small)
    if (name == target.name)
      return &target;
  return nullptr;
}

} // namespace tq::test
