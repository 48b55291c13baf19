// The list of targets of the program that has but one.
#include "quantity_target.hpp"
#include "targets.hpp"

namespace tq::test {

const FuzzTarget* fuzz_target(std::string_view) {
  static constexpr FuzzTarget quantity{"quantity", read_as_quantity, false};
  return &quantity;
}

} // namespace tq::test
