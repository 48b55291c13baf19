#include "answers/quick_answer.hpp"

#include "answers/coarse_case.hpp"
#include "answers/experiment.hpp"
#include "answers/margins.hpp"
#include "answers/station_answer.hpp"
#include "answers/surface.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace tq::answers {

using treatment::Case;
using treatment::Run;

double least_transfer_to_spare(const StationAnswer& s) {
  double least = std::numeric_limits<double>::infinity();
  for (const ZoneAnswer& z : s.zones) {
    if (std::isnan(z.transfer_to_spare_s))
      return z.transfer_to_spare_s;
    least = std::min(least, z.transfer_to_spare_s);
  }
  return least;
}

std::vector<StationAnswer> quick_answer(const Case& c, const std::vector<double>& spare_s) {
  Case coarse = coarse_case(c);
  coarse.output_times_s = {1e12}; // no fields, so no steps that land on them
  coarse.probes.clear();
  Experiment experiment(std::move(coarse), Fields::all);
  const Case& quick = experiment.settings();
  std::vector<StationAnswer> answers;
  for (std::size_t i = 0; i < quick.blade.stations.size(); ++i) {
    const bool spare = i < spare_s.size() && std::isfinite(spare_s[i]) && quick.carried() &&
                       quick.quenched() && !quick.steel.inert;
    std::optional<treatment::Simulation::Snapshot> hot;
    const Run& run = experiment.whole_run(i, {}, [&](const treatment::Simulation& sim, std::size_t step) {
      if (spare && step == quick.hardening().furnace)
        hot = sim.save();
    });
    answers.push_back(answer_station(quick, run, soak_margins(quick, i, run)));
    if (spare) {
      treatment::Simulation sim(quick, i);
      if (!hot)
        hot = sim.save();
      auto& zones = answers.back().zones;
      std::array<double, treatment::zone_count> turned{};
      for (std::size_t z = 0; z < zones.size(); ++z)
        turned[z] = zones[z].transformed;
      const auto seconds = rough_transfer_to_spare(quick, sim, *hot, run.after_cool, turned);
      for (std::size_t z = 0; z < zones.size(); ++z)
        zones[z].transfer_to_spare_s = seconds[z];
    }
    answers.back().surface =
        surface_answer(quick, quick.blade.stations[i].profile, run, answers.back(), Advice::none);
  }
  return answers;
}

} // namespace tq::answers
