// Values typed as options.
#pragma once

#include "records/document.hpp"

#include <string>

namespace tq::program {

/// The quantity in `text` (units/quantity.hpp), in SI, degC or HRC. Throws UsageError, one line that names
/// the option, what was read and what is allowed.
double value_of(const std::string& option, const std::string& text, const std::string& dimension);
/// The same, which must lie in `range`.
double value_of(const std::string& option, const std::string& text, const std::string& dimension,
                const records::Range& range);

} // namespace tq::program
