// The answers as pieces of a page: the sentences and drawings of report and sheet, ready to be put in place.
#pragma once

#include "answers/bands.hpp"
#include "answers/find.hpp"
#include "answers/risks.hpp"

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

namespace tq::page {

/// What was computed of a case so far; bands and risks may be missing.
struct Account {
  const treatment::Case& contents;
  const std::vector<treatment::Run>& runs;
  const answers::Answers& answers; ///< judged by the bands where there are some
  const answers::Bands* bands = nullptr;
  const answers::Risks* risks = nullptr;
};

/// Verdicts, settings, hardness, what to fear: what stands first. Texts are HTML.
nlohmann::ordered_json first_json(const Account& a);
/// The sentences in the order of the work, tables, notes, remarks and bands.
nlohmann::ordered_json words_json(const Account& a);
/// Drawings by station, each with key, title, caption and SVG.
nlohmann::ordered_json drawings_json(const Account& a);

/// Moments at which the temperature of the section was saved, each with stage, time and what the zones have.
nlohmann::ordered_json moments_json(const treatment::Run& run);
/// The section coloured by its temperature at one of them.
std::string moment_svg(const treatment::Case& c, const treatment::Run& run, std::size_t moment);

/// What becomes of the case when one thing is not as set, a drawing for each question.
nlohmann::ordered_json what_if_page_json(const treatment::Case& c);
/// The answer to a question.
nlohmann::ordered_json finding_page_json(const answers::Finding& f);

} // namespace tq::page
