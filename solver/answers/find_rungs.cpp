// The rungs of a setting, tried several at a time.
#include "answers/find_parts.hpp"

#include "answers/coarse_case.hpp"

#include <algorithm>

namespace tq::answers::questioning {

using treatment::Case;
using treatment::Part;

namespace {

constexpr std::size_t at_once = 2; ///< rungs judged together, whatever the executor

} // namespace

Rungs::Rungs(const Asked& a, const Case& c, Part from, Set set) : asked_(a), set_(std::move(set)) {
  exact_.as_given = std::make_unique<Experiment>(c);
  rough_.as_given = std::make_unique<Experiment>(coarse_case(exact_.as_given->settings()));
  // what lies before the setting is the same on every rung
  if (c.hardening().before(from) == 0)
    return;
  compute(asked_, {exact_.as_given.get(), rough_.as_given.get()},
          static_cast<Part>(static_cast<int>(from) - 1));
}

Experiment& Rungs::at(Grid& grid, long k) {
  auto place = grid.rungs.find(k);
  if (place == grid.rungs.end())
    place = grid.rungs.emplace(k, nullptr).first;
  auto& trial = place->second;
  if (!trial) {
    trial = grid.as_given->twin();
    set_(*trial, k);
  }
  return *trial;
}

GoodOfMany Rungs::judge(Grid& grid, Part until, const Good& good) {
  return [this, &grid, until, &good](const std::vector<long>& rungs) {
    for (const long k : rungs)
      grid.rungs.emplace(k, nullptr); // a place for each: the map must not grow while they are at work
    std::vector<Experiment*> trials(rungs.size());
    asked_.for_each(rungs.size(), [&](std::size_t i) { trials[i] = &at(grid, rungs[i]); });
    compute(asked_, trials, until);
    std::vector<char> out(rungs.size());
    asked_.for_each(rungs.size(), [&](std::size_t i) { out[i] = static_cast<char>(good(*trials[i])); });
    return out;
  };
}

std::optional<long> Rungs::last_good(long from, long to, Part until, const Good& good) {
  return answers::last_good(from, to, judge(rough_, until, good), judge(exact_, until, good), at_once);
}

std::optional<long> Rungs::first_good(long from, long to, Part until, const Good& good) {
  return answers::first_good(from, to, judge(rough_, until, good), judge(exact_, until, good), at_once);
}

std::optional<long> Rungs::first_good_from(long guess, long from, long to, Part until, const Good& good) {
  return answers::first_good_from(guess, from, to, judge(exact_, until, good), at_once);
}

bool Rungs::good_on_both(long k, Part until, const Good& good) {
  if (!judge(rough_, until, good)({k})[0])
    return false;
  return judge(exact_, until, good)({k})[0] != 0;
}

void compute(const Asked& a, const std::vector<Experiment*>& trials, Part until) {
  const std::size_t stations = a.c.blade.stations.size();
  a.for_each(trials.size(), [&](std::size_t i) { trials[i]->prepare(); });
  a.for_each(trials.size() * stations,
             [&](std::size_t i) { trials[i / stations]->compute(until, i % stations); });
}

std::vector<treatment::Run> runs_before_temper(const Asked& a, const Case& c) {
  Case shorter = c;
  shorter.steps.resize(c.hardening().after(Part::cool));
  shorter.probes.clear();
  std::vector<treatment::Run> runs(c.blade.stations.size());
  a.for_each(runs.size(), [&](std::size_t i) { runs[i] = treatment::run_station(shorter, i); });
  return runs;
}

} // namespace tq::answers::questioning
