// The answer as text for the one who does the work: what to set first, why second. At most 100 columns, plain
// ASCII of our own (names come as the user wrote them); escape codes only when colour is asked for.
#pragma once

#include "answers/answers.hpp"

#include <iosfwd>

namespace tq::output {

/// The full answer.
void print_answers(std::ostream& out, const treatment::Case& c, const std::vector<treatment::Run>& runs,
                   const answers::Answers& a, bool colour = false);
/// One line, however long: the verdicts, the settings, and the reason of each verdict that is no pass.
void print_short(std::ostream& out, const treatment::Case& c, const answers::Answers& a);

} // namespace tq::output
