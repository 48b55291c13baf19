// The few figures and words that stand first on every page: verdicts, what to set, how hard, what to fear.
#pragma once

#include "answers/answers.hpp"
#include "answers/risks.hpp"

#include <string>
#include <vector>

namespace tq::output {

struct Named {
  const char* name;
  const answers::Judgement* judgement;
};
/// The verdicts over all stations in the order of the work.
std::vector<Named> named_verdicts(const answers::Answers& a);
/// Bow and crack; `brief` is its reason in a few words. Empty when `risks` is null.
struct NamedRisk {
  const char* name;
  const answers::Judgement* judgement;
  std::string brief;
};
std::vector<NamedRisk> named_risks(const answers::Risks* risks);

struct KeyFigure {
  std::string name, value;
};
/// Furnace, timer, bath, seconds, temper: what this case sets.
std::vector<KeyFigure> key_settings(const treatment::Case& c, const answers::Answers& a);
/// "60.5 to 61.5 HRC +/- 1", after the last stage that decides; empty when there is none.
std::string key_hardness(const treatment::Case& c, const answers::Answers& a);
/// What to fear besides verdicts that are no pass: warnings, then thin margins, at most `most`.
std::vector<std::string> key_fears(const treatment::Case& c, const answers::Answers& a, std::size_t most = 5);

/// How long the blade stays in the first bath: as set, or what leaving at a temperature took.
std::string time_in_bath(const treatment::Case& c, const answers::Answers& a);
/// "60.5 to 61.5 HRC +/- 1" over the stations; `when`: "as_quenched" or "tempered".
std::string hardness_text(const std::vector<answers::StationAnswer>& stations, const char* when);

} // namespace tq::output
