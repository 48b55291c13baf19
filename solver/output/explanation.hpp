// What readings say about a blade, for the terminal and as JSON.
#pragma once

#include "answers/explain.hpp"

#include <iosfwd>
#include <string>

namespace tq::output {

void print_explanation(std::ostream& out, const treatment::Case& c, const answers::FaultSample& sample,
                       const answers::Reading& reading, const answers::Explanation& explanation);
std::string explanation_json(const treatment::Case& c, const answers::FaultSample& sample,
                             const answers::Reading& reading, const answers::Explanation& explanation);

} // namespace tq::output
