// Reads and writes dimensional values as people type them: "3.2 mm", "1/8 in", "1475 degF", "2 gal",
// "1200 W/(m2 K)". Inside the program everything is SI, temperatures in degC.
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace tq::units {

/// Text that is no value of the wanted dimension; what() is one line: what was read, how to write it.
class QuantityError : public std::invalid_argument {
 public:
  using std::invalid_argument::invalid_argument;
};

/// Value in SI of `text`, a number and a unit. The number may be a decimal with a point, or a fraction
/// ("1/8", "1 1/8", "1-1/8"). `dimension` is one of dimensions(); "temperature" gives degC from degC, degF or
/// K, "temperature_difference" gives K from a span in K, degC or degF (never shifted by a zero point).
/// Everything behind a "/" divides: W/m2K, W/(m2 K), W/m2/K and W m-2 K-1 are the same.
/// Throws QuantityError; std::logic_error when `dimension` is unknown to the program.
double parse_quantity(std::string_view text, std::string_view dimension);

/// Value in SI of a number read apart from its unit (tables with `unit = "..."`). Throws like
/// parse_quantity().
double from_unit(double value, std::string_view unit, std::string_view dimension);

/// Text of an SI value with its unit, at most 13 digits: parse_quantity() reads it back to within 1e-12 of
/// itself, and writing that once more gives the same text. `unit` empty: the shop's usual unit of the
/// dimension (mm, s, L, degC ...).
std::string format_quantity(double si, std::string_view dimension, std::string_view unit = {});

/// A number alone in the same way, in any locale with a point.
std::string format_number(double value);

/// The number in `text` (decimal with a point); throws QuantityError for anything else, nan and inf included.
double parse_number(std::string_view text);

/// How a value of this dimension is written, for example "3.2 mm".
std::string example(std::string_view dimension);
/// The dimension in words, for example "a length".
std::string name(std::string_view dimension);
/// All dimensions known here.
std::vector<std::string> dimensions();

} // namespace tq::units
