#include "answers/compare.hpp"

#include "answers/crack.hpp"
#include "answers/find.hpp"
#include "answers/find_parts.hpp"
#include "answers/margins.hpp"
#include "answers/safety.hpp"
#include "answers/section_change.hpp"
#include "records/document.hpp"
#include "steel/transformation.hpp"

#include <algorithm>
#include <cmath>
#include <memory>

namespace tq::answers {

using treatment::Case;
using treatment::Part;

namespace {

/// Puts the coolant into the case; returns why it cannot be, or nothing.
std::string fill_bath(Case& c, const records::CoolantRecord& coolant, double degC) {
  c.bath().coolant = coolant;
  c.bath().temperature_degC = degC;
  c.bath().fixed_htc_W_m2K = 0;
  constexpr double shop_m3 = 8e-3, air_s = 20 * 60, water_s = 20, oil_s = 60; // as the case reader
  if (coolant.kind == records::CoolantKind::air)
    c.bath().volume_m3 = 0;
  else if (c.bath().volume_m3 <= 0)
    c.bath().volume_m3 = shop_m3;
  c.bath().time_s = std::max(c.bath().time_s, coolant.kind == records::CoolantKind::air     ? air_s
                                              : coolant.kind == records::CoolantKind::water ? water_s
                                                                                            : oil_s);
  if (coolant.flash_degC && degC >= *coolant.flash_degC - c.thresholds.flash_margin_K)
    return "too near its flash point";
  if (coolant.kind == records::CoolantKind::water && (degC < 0 || degC > 100))
    return "no liquid water";
  if (coolant.kind == records::CoolantKind::oil && degC < -10)
    return "too cold for an oil to be liquid";
  return "";
}

double usual_degC(const Case& c, const records::CoolantRecord& coolant) {
  if (coolant.key == c.bath().coolant.key)
    return c.bath().temperature_degC;
  if (coolant.recommended_to_degC > coolant.recommended_from_degC)
    return 0.5 * (coolant.recommended_from_degC + coolant.recommended_to_degC);
  return coolant.htc_W_m2K.empty() ? 20.0 : coolant.table_bath_degC;
}

/// Crack and oil of the row, and the worst of all.
void judge_dangers(CompareRow& row, const Case& c, const Outcome& o) {
  Answers a; // as much of it as those verdicts look at
  for (const StationOutcome& from : o.stations) {
    StationAnswer s;
    s.bath_end_degC = from.bath_end_degC;
    s.surface_at_lift_degC = from.surface_at_lift_degC;
    for (std::size_t z = 0; z < s.zones.size(); ++z) {
      s.zones[z].wanted = from.zones[z].wanted;
      s.zones[z].carbon_in_solution = from.zones[z].carbon_wt;
      s.zones[z].ms_degC = steel::martensite_start(
          c.steel, std::isfinite(from.zones[z].carbon_wt) ? from.zones[z].carbon_wt : c.steel.composition.C);
    }
    a.stations.push_back(s);
  }
  const Judgement crack = crack_answer(c, a).crack, oil = oil_verdict(c, a);
  row.crack = crack.verdict;
  row.oil = oil.verdict;
  row.verdict = row.quench;
  for (const auto& [verdict, reason] :
       {std::pair{crack.verdict, &crack.reason}, std::pair{oil.verdict, &oil.reason}})
    if (verdict != Verdict::not_asked && (row.verdict == Verdict::not_asked || verdict > row.verdict)) {
      row.verdict = verdict;
      row.because = reason->substr(0, reason->find("; "));
    }
}

} // namespace

Comparison compare(const Case& given, const CompareAxes& axes, Executor* executor,
                   const std::function<bool()>& go_on) {
  if (!given.quenched())
    throw records::InputError("compare: the case has no bath stage, so there is nothing to compare");
  if (given.steel.inert)
    throw records::InputError("compare: the case's steel does not transform, so there is nothing to harden");
  const std::vector<records::CoolantRecord> coolants =
      axes.coolants.empty() ? std::vector<records::CoolantRecord>{given.bath().coolant} : axes.coolants;
  const std::vector<double> transfers =
      axes.transfer_s.empty() ? std::vector<double>{given.transfer().time_s} : axes.transfer_s;
  const double own_spine = thickest(given.blade);
  const std::vector<double> spines = axes.spine_m.empty() ? std::vector<double>{own_spine} : axes.spine_m;
  for (const double spine : spines)
    if (spine < least_thickest(given.blade) || spine > most_thickest(given.blade))
      throw records::InputError(questioning::format(
          "compare: a spine of %.3g mm does not fit this section; allowed: %.3g mm to %.3g mm", spine * 1e3,
          least_thickest(given.blade) * 1e3, most_thickest(given.blade) * 1e3));
  const auto baths = [&](const records::CoolantRecord& coolant) {
    return axes.bath_degC.empty() ? std::vector<double>{usual_degC(given, coolant)} : axes.bath_degC;
  };

  std::vector<CompareRow> rows;
  for (const auto& coolant : coolants)
    for (const double bath : baths(coolant))
      for (const double transfer : transfers)
        for (const double spine : spines) {
          CompareRow row;
          row.coolant = coolant.key;
          row.bath_degC = bath;
          row.transfer_s = transfer;
          row.spine_m = spine;
          rows.push_back(row);
        }
  Comparison out;
  SerialExecutor serial;
  const FindOptions nothing_asked;
  const questioning::Asked asked{given, nothing_asked, "compare", executor != nullptr ? *executor : serial,
                                 go_on};
  const auto pointers = [](const std::vector<std::unique_ptr<Trial>>& trials) {
    std::vector<Trial*> all;
    for (const auto& trial : trials)
      if (trial)
        all.push_back(trial.get());
    return all;
  };
  // what rows share is computed once: sections up to the furnace, sections and ways up to the bath
  std::vector<std::unique_ptr<Trial>> heated, carried, quenched(rows.size());
  for (const double spine : spines) {
    Case thick = given;
    if (std::abs(spine - own_spine) > 1e-9)
      set_thickest(thick.blade, spine);
    if (!axes.spine_m.empty())
      questioning::let_timer_follow(thick);
    heated.push_back(std::make_unique<Trial>(thick));
  }
  questioning::compute(asked, pointers(heated), Part::furnace);
  for (const auto& trial : heated)
    for (const double transfer : transfers) {
      carried.push_back(trial->twin());
      carried.back()->change(Part::transfer, [&](Case& c) { c.transfer().time_s = transfer; });
    }
  questioning::compute(asked, pointers(carried), Part::transfer);
  std::size_t at = 0;
  for (const auto& coolant : coolants)
    for (std::size_t b = 0; b < baths(coolant).size(); ++b)
      for (std::size_t t = 0; t < transfers.size(); ++t)
        for (std::size_t s = 0; s < spines.size(); ++s, ++at) {
          const Trial& before = *carried[s * transfers.size() + t];
          Case filled = before.settings();
          rows[at].not_possible = fill_bath(filled, coolant, rows[at].bath_degC);
          if (!rows[at].not_possible.empty())
            continue;
          quenched[at] = before.twin();
          quenched[at]->change(Part::bath, [&](Case& c) { c.bath() = filled.bath(); });
        }
  questioning::compute(asked, pointers(quenched), Part::cool);
  for (std::size_t k = 0; k < rows.size(); ++k) {
    if (!quenched[k])
      continue;
    CompareRow& row = rows[k];
    const Case& c = quenched[k]->settings();
    const Outcome& o = quenched[k]->outcome(Part::cool);
    row.quench = quench_verdict(c, o);
    row.limiting_zone = o.limiting_name(c);
    row.rate_margin = o.rate_margin();
    row.transformed = o.transformed();
    row.as_quenched_least_HRC = o.as_quenched_least_HRC();
    row.bath_end_degC = o.bath_end_degC();
    judge_dangers(row, c, o);
    if (row.spine_m == spines.front() && std::isnan(out.timer_s) && given.heated())
      out.timer_s = o.stations.front().furnace_s;
  }
  for (const auto& coolant : coolants) {
    CompareLimit limit;
    limit.coolant = coolant.key;
    limit.bath_degC = baths(coolant).front();
    Case c = given;
    if (fill_bath(c, coolant, limit.bath_degC).empty()) {
      const Finding spine = find(c, "spine", {}, executor, go_on);
      if (spine.found) {
        limit.thickest_spine_m = spine.settings.front().value;
        limit.thickest_is_bound = *limit.thickest_spine_m + twentieth_mm.step > most_thickest(given.blade);
      }
      if (c.carried()) {
        const Finding transfer = find(c, "transfer", {}, executor, go_on);
        if (transfer.found) {
          limit.longest_transfer_s = transfer.settings.front().value;
          limit.longest_is_bound = *limit.longest_transfer_s >= most_transfer_s;
        }
      }
    }
    out.limits.push_back(limit);
  }
  out.rows = std::move(rows);
  return out;
}

} // namespace tq::answers
