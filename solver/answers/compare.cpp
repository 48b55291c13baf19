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
  a.stations = o.stations;
  for (StationAnswer& s : a.stations)
    for (ZoneAnswer& z : s.zones)
      z.ms_degC = steel::martensite_start(
          c.steel, std::isfinite(z.carbon_in_solution) ? z.carbon_in_solution : c.steel.composition.C);
  const Judgement crack = crack_answer(c, a).crack, oil = oil_verdict(c, a);
  row.crack = crack.verdict;
  row.oil = oil.verdict;
  row.verdict = row.quench;
  for (const auto& [verdict, reason] :
       {std::pair{crack.verdict, &crack.reason}, std::pair{oil.verdict, &oil.reason}})
    if (verdict != Verdict::not_asked && (row.verdict == Verdict::not_asked || verdict > row.verdict)) {
      row.verdict = verdict;
      row.because = reason->brief();
    }
}

/// The axes with what the case says where they are empty.
struct Axes {
  std::vector<records::CoolantRecord> coolants;
  std::vector<double> transfer_s, spine_m;
  std::vector<std::vector<double>> bath_degC; ///< of each coolant
};

Axes axes_of(const Case& given, const CompareAxes& asked) {
  if (!given.quenched())
    throw records::InputError("compare: the case has no bath stage, so there is nothing to compare");
  if (given.steel.inert)
    throw records::InputError("compare: the case's steel does not transform, so there is nothing to harden");
  Axes out{asked.coolants, asked.transfer_s, asked.spine_m, {}};
  if (out.coolants.empty())
    out.coolants = {given.bath().coolant};
  if (out.transfer_s.empty())
    out.transfer_s = {given.transfer().time_s};
  if (out.spine_m.empty())
    out.spine_m = {thickest(given.blade)};
  for (const double spine : out.spine_m)
    if (spine < least_thickest(given.blade) || spine > most_thickest(given.blade))
      throw records::InputError(questioning::format(
          "compare: a spine of %.3g mm does not fit this section; allowed: %.3g mm to %.3g mm", spine * 1e3,
          least_thickest(given.blade) * 1e3, most_thickest(given.blade) * 1e3));
  for (const auto& coolant : out.coolants)
    out.bath_degC.push_back(asked.bath_degC.empty() ? std::vector<double>{usual_degC(given, coolant)}
                                                    : asked.bath_degC);
  return out;
}

std::vector<CompareRow> rows_of(const Axes& axes) {
  std::vector<CompareRow> rows;
  for (std::size_t k = 0; k < axes.coolants.size(); ++k)
    for (const double bath : axes.bath_degC[k])
      for (const double transfer : axes.transfer_s)
        for (const double spine : axes.spine_m) {
          CompareRow row;
          row.coolant = axes.coolants[k].key;
          row.bath_degC = bath;
          row.transfer_s = transfer;
          row.spine_m = spine;
          rows.push_back(row);
        }
  return rows;
}

/// What the quench of a row left.
void fill(CompareRow& row, Experiment& trial) {
  const Case& c = trial.settings();
  const Outcome& o = trial.outcome(Part::cool);
  row.quench = quench_verdict(c, o);
  row.limiting_zone = o.limiting_name(c);
  row.rate_margin = o.rate_margin();
  row.transformed = o.transformed();
  row.as_quenched_least_HRC = o.as_quenched_least_HRC();
  row.bath_end_degC = o.bath_end_degC();
  judge_dangers(row, c, o);
}

CompareLimit limit_of(const Case& given, const records::CoolantRecord& coolant, double bath_degC,
                      Executor* executor, const std::function<bool()>& go_on) {
  CompareLimit limit;
  limit.coolant = coolant.key;
  limit.bath_degC = bath_degC;
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
  return limit;
}

} // namespace

Comparison compare(const Case& given, const CompareAxes& axes, Executor* executor,
                   const std::function<bool()>& go_on) {
  const Axes all = axes_of(given, axes);
  std::vector<CompareRow> rows = rows_of(all);
  Comparison out;
  SerialExecutor serial;
  const FindOptions nothing_asked;
  const questioning::Asked asked{given, nothing_asked, "compare", executor != nullptr ? *executor : serial,
                                 go_on};
  const auto pointers = [](const std::vector<std::unique_ptr<Experiment>>& trials) {
    std::vector<Experiment*> pointers_of;
    for (const auto& trial : trials)
      if (trial)
        pointers_of.push_back(trial.get());
    return pointers_of;
  };
  // what rows share is computed once: sections up to the furnace, sections and ways up to the bath
  std::vector<std::unique_ptr<Experiment>> heated, carried, quenched(rows.size());
  for (const double spine : all.spine_m) {
    Case thick = given;
    if (std::abs(spine - thickest(given.blade)) > 1e-9)
      set_thickest(thick.blade, spine);
    if (!axes.spine_m.empty())
      questioning::let_timer_follow(thick);
    heated.push_back(std::make_unique<Experiment>(thick));
  }
  questioning::compute(asked, pointers(heated), Part::furnace);
  for (const auto& trial : heated)
    for (const double transfer : all.transfer_s) {
      carried.push_back(trial->twin());
      carried.back()->change(Part::transfer, [&](Case& c) { c.transfer().time_s = transfer; });
    }
  questioning::compute(asked, pointers(carried), Part::transfer);
  std::size_t at = 0;
  for (std::size_t k = 0; k < all.coolants.size(); ++k)
    for (std::size_t b = 0; b < all.bath_degC[k].size(); ++b)
      for (std::size_t t = 0; t < all.transfer_s.size(); ++t)
        for (std::size_t s = 0; s < all.spine_m.size(); ++s, ++at) {
          const Experiment& before = *carried[s * all.transfer_s.size() + t];
          Case filled = before.settings();
          rows[at].not_possible = fill_bath(filled, all.coolants[k], rows[at].bath_degC);
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
    fill(row, *quenched[k]);
    if (row.spine_m == all.spine_m.front() && std::isnan(out.timer_s) && given.heated())
      out.timer_s = quenched[k]->outcome(Part::cool).stations.front().timer_used_s;
  }
  for (std::size_t k = 0; k < all.coolants.size(); ++k)
    out.limits.push_back(limit_of(given, all.coolants[k], all.bath_degC[k].front(), executor, go_on));
  out.rows = std::move(rows);
  return out;
}

} // namespace tq::answers
