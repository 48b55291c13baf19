// The answer as text for the one who does the work: what to set first, why second. At most 100 columns, plain
// ASCII of our own (names come as the user wrote them); escape codes only when colour is asked for.
#pragma once

#include "answers/answers.hpp"
#include "answers/risks.hpp"

#include <iosfwd>
#include <string>
#include <vector>

namespace tq::output {

/// Title and steel, and with `stages_too` the stages: what a page begins with.
void print_heading(std::ostream& out, const treatment::Case& c, const answers::Answers& a,
                   bool stages_too = true);
/// The verdicts and the settings of the case as stated, without reasons: for the time until bands are known.
void print_as_stated(std::ostream& out, const treatment::Case& c, const answers::Answers& a);
/// The full answer, to go below the heading. `risks` may be null.
void print_answers(std::ostream& out, const treatment::Case& c, const std::vector<treatment::Run>& runs,
                   const answers::Answers& a, const answers::Risks* risks = nullptr, bool colour = false);
/// The same on half a page: the one answer, the verdicts, what to set and what is dangerous about it.
void print_brief(std::ostream& out, const treatment::Case& c, const answers::Answers& a,
                 const answers::Risks* risks, bool colour = false);
/// One line, however long: the one answer, the verdicts, the settings, and the reason of each verdict that is
/// no pass. `risks` may be null: bow, crack, oil and edge are then left out.
void print_short(std::ostream& out, const treatment::Case& c, const answers::Answers& a,
                 const answers::Risks* risks);

/// The same words piece by piece, for a page of another form.
struct Entry {
  std::string label, text;           ///< an empty label goes on with the entry before
  std::vector<std::string> cautions; ///< that stand beside it
};
struct ZoneTable {
  std::vector<std::string> heads;             ///< zones; those at the same place share a column
  std::vector<std::vector<std::string>> rows; ///< label, then a cell for each head
  std::vector<Entry> notes;                   ///< skin, grain, file ...
};
struct Account {
  std::vector<Entry> settings;                              ///< in the order of the work
  std::vector<ZoneTable> tables;                            ///< one for each station
  std::vector<std::string> cautions, warnings, assumptions; ///< those not told beside a setting
};
Account account_of(const treatment::Case& c, const std::vector<treatment::Run>& runs,
                   const answers::Answers& a);

} // namespace tq::output
