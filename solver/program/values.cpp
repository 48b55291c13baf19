#include "program/values.hpp"

#include "program/options.hpp"
#include "units/quantity.hpp"

namespace tq::program {

double value_of(const std::string& option, const std::string& text, const std::string& dimension) {
  try {
    return units::parse_quantity(text, dimension);
  } catch (const units::QuantityError& error) {
    throw UsageError(option + ": " + error.what());
  }
}

double value_of(const std::string& option, const std::string& text, const std::string& dimension,
                const records::Range& range) {
  const double value = value_of(option, text, dimension);
  if (value < range.least || value > range.most || (range.least_open && value == range.least))
    throw UsageError(option + ": '" + text +
                     "' is out of range; allowed: " + units::format_quantity(range.least, dimension) +
                     " to " + units::format_quantity(range.most, dimension));
  return value;
}

} // namespace tq::program
