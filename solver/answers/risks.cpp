#include "answers/risks.hpp"

#include "answers/safety.hpp"
#include "answers/timer.hpp"

#include <cmath>

namespace tq::answers {

using treatment::Case;
using treatment::Part;

std::vector<NamedVerdict> all_verdicts(const Answers& a, const Risks* risks) {
  std::vector<NamedVerdict> out{{"soak", &a.soak}, {"quench", &a.quench}, {"hardness", &a.hardness}};
  if (risks != nullptr)
    for (const NamedVerdict& one :
         {NamedVerdict{"bow", &risks->bow}, NamedVerdict{"crack", &risks->crack.crack},
          NamedVerdict{"oil", &risks->oil}, NamedVerdict{"edge", &risks->edge}})
      out.push_back(one);
  return out;
}

Risks risks(const Case& given, const Answers& a, Executor* executor, const Executor::GoOn& go_on,
            const Risks* same_bow) {
  Risks out = same_bow != nullptr ? *same_bow : Risks();
  out.crack = crack_answer(given, a);
  out.oil = oil_verdict(given, a);
  out.edge = edge_verdict(given, a);
  if (same_bow != nullptr)
    return out;
  out.bow.reason = no_bow_because(given);
  if (!out.bow.reason.empty())
    return out;
  Case c = given;
  if (c.heated()) {
    const double used = a.stations.front().timer_used_s;
    if (!std::isfinite(used)) {
      out.bow.reason = "no timer gives the asked soak";
      return out;
    }
    set_timer_from_door(c, used);
  }
  const std::size_t stations = c.blade.stations.size();
  std::vector<BowPart> parts(2 * stations);
  SerialExecutor serial;
  try {
    (executor != nullptr ? *executor : serial)
        .for_each_index(
            2 * stations, [&](std::size_t k) { parts[k] = bow_part(c, k / 2, static_cast<int>(k % 2)); },
            go_on);
  } catch (const treatment::SolverError& e) {
    out.bow.reason = e.what();
    return out;
  }
  double worst = -1;
  for (std::size_t s = 0; s < stations; ++s) {
    out.stations.push_back(join_bow(c, s, parts[2 * s], parts[2 * s + 1]));
    const BowAnswer& one = out.stations.back();
    if (one.bow_m > worst) {
      worst = one.bow_m;
      out.bow = one.bow;
      if (stations > 1)
        out.bow.reason.lead_with(one.name + ": ");
    }
  }
  out.straightening_caution =
      "Straighten only while hot and soft (before martensite, or in a temper above 205 degC (401 degF)), in "
      "gloves and face shield: untempered it is as brittle as glass.";
  return out;
}

} // namespace tq::answers
