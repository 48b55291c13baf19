// Where a case leaves a range of validity, and what every answer assumes.
#pragma once

#include "answers/answers.hpp"

namespace tq::answers {

/// One line per thing outside its range: temperatures, oil, foil, tempering table, hardness scale, energy
/// balance.
std::vector<std::string> warnings_for(const treatment::Case& c, const Answers& a,
                                      const std::vector<treatment::Run>& runs);
/// What the models take for granted in this case.
std::vector<std::string> model_assumptions(const treatment::Case& c);

} // namespace tq::answers
