#include "quantity_target.hpp"

#include "promise.hpp"
#include "targets.hpp"
#include "units/quantity.hpp"

#include <array>
#include <cmath>

namespace tq::test {

void read_as_quantity(std::string_view text) {
  static constexpr std::array dimensions{"length",       "time",   "temperature",  "temperature_difference",
                                         "heating_rate", "volume", "hardness_HRC", "fraction",
                                         "percent",      "mass"};
  unsigned sum = 0;
  for (const char c : text)
    sum += static_cast<unsigned char>(c);
  const std::size_t which = sum % quantity_ways;
  static_assert(dimensions.size() + 1 == quantity_ways);
  try {
    const double value = which < dimensions.size() ? units::parse_quantity(text, dimensions[which])
                                                   : units::parse_number(text);
    hold(std::isfinite(value), "a quantity is finite");
  } catch (const units::QuantityError& error) {
    check_message(error.what());
  }
}

} // namespace tq::test
