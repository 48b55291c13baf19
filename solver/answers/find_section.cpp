// Questions about the section: thickest spine, thinnest edge.
#include "answers/find_parts.hpp"
#include "answers/section_change.hpp"
#include "answers/surface.hpp"

#include <algorithm>
#include <cmath>

namespace tq::answers::questioning {

using treatment::Case;
using treatment::Part;

Finding find_spine(const Asked& a) {
  a.require(Part::bath);
  a.require_steel();
  Finding f = begin(a, "thickest spine that hardens in " + a.c.bath().coolant.name);
  Rungs rungs(a, a.c, Part::furnace, [&](Experiment& trial, long k) {
    trial.change(Part::furnace, [&](Case& c) {
      c.blade = a.c.blade;
      set_thickest(c.blade, twentieth_mm.value(k));
      let_timer_follow(c);
    });
  });
  const auto cooled = [&](long k) -> const Outcome& { return rungs.exact(k).outcome(Part::cool); };
  const long bottom = twentieth_mm.at_least(least_thickest(a.c.blade)),
             top = twentieth_mm.at_most(most_thickest(a.c.blade));
  const auto thickest = rungs.last_good(
      bottom, top, Part::cool, [&](Experiment& trial) { return hardens(a.c, trial.outcome(Part::cool)); });
  if (!thickest) {
    give_up(f, a,
            format("even a section of %.2f mm throughout fails: ", twentieth_mm.value(bottom) * 1e3) +
                soft_zone(a.c, cooled(bottom)) + "; ask for the longest `transfer`, or take a faster bath");
    return f;
  }
  f.found = true;
  f.settings = {at_most(length("thickest place, at most", "thickest_spine", "blade.station.spine",
                               twentieth_mm.value(*thickest)))};
  if (*thickest == top)
    f.notes.push_back("every thickness that fits this section hardens; thicker was not looked at");
  else
    f.notes.push_back("0.05 mm more and " + soft_zone(a.c, cooled(*thickest + 1)));
  f.notes.push_back(
      "the section is stretched in its thickness with the edge kept; the timer follows the soak");
  if (a.c.heated())
    f.settings.push_back(minutes("timer for it, from closing the door", "timer_from_door", "furnace.timer",
                                 cooled(*thickest).stations.front().timer_used_s));
  finish(f, a, rungs.exact(*thickest), {"oil", "transfer"});
  return f;
}

Finding find_edge(const Asked& a) {
  a.require(Part::furnace);
  a.require(Part::bath);
  a.require_steel();
  Finding f = begin(a, "thinnest edge before hardening");
  Rungs rungs(a, a.c, Part::furnace, [&](Experiment& trial, long k) {
    trial.change(Part::furnace, [&](Case& c) {
      c.blade = a.c.blade;
      set_edge(c.blade, twentieth_mm.value(k));
    });
  });
  const Case& as_given = rungs.as_given().settings();
  steel::GrindAllowance skin{};
  for (const treatment::Run& run : runs_before_temper(a, as_given))
    if (const auto one =
            steel::grind_allowance(steel::skin_over(skin_history(as_given, run), skin_settings(as_given)));
        one.least_edge_m > skin.least_edge_m)
      skin = one;
  const auto edge_hardens = [&](Experiment& trial) {
    const Outcome& o = trial.outcome(Part::cool);
    return std::all_of(o.stations.begin(), o.stations.end(), [&](const StationAnswer& s) {
      return passes(a.c, s.zones[treatment::zone_edge].transformed);
    });
  };
  const long bottom = twentieth_mm.at_least(least_edge(a.c.blade)),
             top = twentieth_mm.at_most(most_edge(a.c.blade));
  const long floor = std::max(bottom, twentieth_mm.at_least(skin.least_edge_m));
  if (floor > top) {
    give_up(f, a,
            format("skin and grinding ask for %.2f mm, more than the spine has; wrap it in foil",
                   twentieth_mm.value(floor) * 1e3));
    return f;
  }
  // too thin it cools on the way to the bath, too thick it cools too slowly in it: from the floor upwards
  constexpr long stride = 4;
  std::optional<long> found;
  if (rungs.good_on_both(floor, Part::cool, edge_hardens))
    found = floor;
  for (long k = floor; !found && k < top;) {
    const long next = std::min(top, k + stride);
    if (rungs.good_on_both(next, Part::cool, edge_hardens))
      found = rungs.first_good(k + 1, next, Part::cool, edge_hardens);
    k = next;
  }
  if (!found) {
    give_up(f, a,
            format("no edge from %.2f mm to %.2f mm hardens with this transfer and bath: ",
                   twentieth_mm.value(floor) * 1e3, twentieth_mm.value(top) * 1e3) +
                soft_zone(a.c, rungs.exact(floor).outcome(Part::cool)));
    return f;
  }
  const long least = *found;
  const long hardening =
      least > floor ? least : rungs.first_good(bottom, floor, Part::cool, edge_hardens).value_or(floor);
  f.found = true;
  f.settings = {at_least(length("edge before hardening, at least", "least_edge", "blade.station.edge",
                                twentieth_mm.value(least)))};
  f.figures = {length("for hardening with this transfer and bath alone", "least_edge_to_harden", "",
                      twentieth_mm.value(hardening)),
               length("for skin, grinding and straightness", "least_edge_for_skin", "", skin.least_edge_m)};
  f.notes.push_back(least > floor ? "the cooling of the edge on the way to the bath decides"
                    : skin.governs == steel::GrindAllowance::Governs::skin
                        ? "the skin to be ground off decides"
                        : "thinner edges buckle in the quench: that decides (common "
                          "practice, no source)");
  finish(f, a, rungs.exact(least), {"transfer"});
  return f;
}

} // namespace tq::answers::questioning
