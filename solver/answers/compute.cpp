#include "answers/compute.hpp"

#include <utility>

namespace tq::answers {

Computed compute(std::string_view case_text, std::string file, const treatment::RecordSource& records,
                 const ComputeSettings& settings, Executor* executor, const treatment::Progress& progress) {
  if (settings.members != 0 && (settings.members < fewest_members || settings.members > most_members))
    throw records::InputError("members: " + std::to_string(settings.members) + " draws; 0 for none, or " +
                              std::to_string(fewest_members) + " to " + std::to_string(most_members));
  SerialExecutor serial;
  Executor& by = executor != nullptr ? *executor : serial;
  Computed out;
  out.contents = treatment::read_case(case_text, std::move(file), records, settings.laid_on);
  out.answers = answer(out.contents, out.runs, progress, &by);
  if (settings.risks)
    out.risks = risks(out.contents, out.answers, &by);
  if (settings.members > 0) {
    out.bands = bands(out.contents, out.answers, {settings.members, settings.seed, false}, by);
    out.answers = judged_by(out.answers, *out.bands);
  }
  out.ledger = ledger_of(out.answers, out.bands ? &*out.bands : nullptr, out.risks ? &*out.risks : nullptr);
  return out;
}

} // namespace tq::answers
