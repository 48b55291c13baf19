// Values typed as options.
#pragma once

#include "program/options.hpp"
#include "records/document.hpp"

#include <stdexcept>
#include <string>
#include <vector>

namespace tq::program {

/// The quantity in `text` (units/quantity.hpp), in SI, degC or HRC. Throws UsageError, one line that names
/// the option, what was read and what is allowed.
double value_of(const std::string& option, const std::string& text, const std::string& dimension);
/// The same, which must lie in `range`; that is told in the unit `told_in`, or the usual one.
double value_of(const std::string& option, const std::string& text, const std::string& dimension,
                const records::Range& range, const char* told_in = "");

/// A text of an option as `read` makes it; a std::invalid_argument is told with the option, as UsageError.
template <class Read>
auto by_option(const char* option, const std::string& text, const Read& read) {
  try {
    return read(text);
  } catch (const std::invalid_argument& error) {
    throw UsageError(std::string(option) + ": " + error.what());
  }
}

/// What stands between the commas of a list, without the blanks round it; nothing between two of them is a
/// UsageError.
std::vector<std::string> parted(const std::string& option, const std::string& list);

/// What to throw when `name` is no shipped `what` ("steel"): one line with the nearest key, all keys and that
/// a path will do.
UsageError no_such_record(const std::string& option, const std::string& name, const std::string& what,
                          const std::vector<std::string>& keys);

} // namespace tq::program
