#include "answers/quick_answer.hpp"

#include "answers/coarse_case.hpp"
#include "answers/margins.hpp"
#include "answers/station_answer.hpp"
#include "answers/surface.hpp"

namespace tq::answers {

using treatment::Case;
using treatment::Run;

std::vector<StationAnswer> quick_answer(const Case& c) {
  Case quick = coarse_case(c);
  quick.output_times_s = {1e12}; // no fields, so no steps that land on them
  quick.probes.clear();
  std::vector<StationAnswer> answers;
  for (std::size_t i = 0; i < quick.blade.stations.size(); ++i) {
    const Run run = treatment::run_station(quick, i);
    answers.push_back(answer_station(quick, run, soak_margins(quick, i, run)));
    answers.back().surface =
        surface_answer(quick, quick.blade.stations[i].profile, run, answers.back(), Advice::none);
  }
  return answers;
}

} // namespace tq::answers
