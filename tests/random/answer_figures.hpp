// All numbers of the answers to a case, with their names, to be held against those of another run or build.
#pragma once

#include "treatment/case.hpp"

#include <string>
#include <utility>
#include <vector>

namespace tq::test {

using NamedFigures = std::vector<std::pair<std::string, double>>;

/// Zones, stations and events as the JSON document has them, and the fields before and after tempering.
NamedFigures answer_figures(const treatment::Case& c);

/// The cases of the folder cases/, in the order of their file names.
std::vector<treatment::Case> shipped_cases();

} // namespace tq::test
