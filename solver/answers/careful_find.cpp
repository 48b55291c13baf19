#include "answers/careful_find.hpp"

#include "answers/bands.hpp"
#include "answers/careful_timer.hpp"
#include "answers/find_parts.hpp"
#include "answers/section_change.hpp"
#include "answers/timer.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace tq::answers {

using questioning::let_timer_follow;
using treatment::Case;

namespace {

constexpr int draws = 64; ///< a verdict, not its second digit

/// How one question's setting is moved.
struct Walk {
  double step = 0, bound = 0; ///< towards the safe side and how far at most, SI
  bool soak = false;          ///< the soak decides, else the quench
  std::function<void(Case&, double)> set;
};

std::optional<Walk> walk_of(const Finding& f, const Case& asked) {
  const std::string& q = f.question;
  if (q == "transfer")
    return Walk{-0.5, 0, false, [](Case& c, double v) { c.transfer().time_s = v; }};
  if (q == "out")
    return Walk{60, 6 * 3600.0, true, [](Case& c, double v) { set_timer_from_door(c, v); }};
  if (q == "spine")
    return Walk{-0.05e-3, least_thickest(asked.blade), false, [](Case& c, double v) {
                  set_thickest(c.blade, v);
                  let_timer_follow(c);
                }};
  if (q == "foil-gap")
    return Walk{-5e-6, 0, false, [with = f.with_setting](Case& c, double v) {
                  c = with; // foil on in the bath, and long enough in it
                  c.wrap.gap_m.fill(v);
                  let_timer_follow(c);
                }};
  return std::nullopt;
}

Setting as_stated(const Setting& s) {
  Setting out = s;
  out.name = "the middle, where it holds as stated";
  out.key += "_as_stated";
  out.case_key.clear();
  return out;
}

/// Outcome and verdicts of the setting that is told now.
void take_outcome(Finding& f, const Case& c) {
  Trial trial(c);
  f.outcome = trial.outcome();
  f.with_setting = trial.settings();
  f.soak = soak_verdict(f.with_setting, f.outcome);
  f.quench = quench_verdict(f.with_setting, f.outcome);
  f.hardness = hardness_verdict(f.with_setting, f.outcome);
}

/// The timer by the cautious end; that from the display moves with it.
void take_careful_timer(Finding& f, Executor& executor) {
  const double careful_s = careful_timer(f.with_setting, &executor).careful_s,
               later_s = careful_s - f.settings.front().value;
  if (!std::isfinite(careful_s) || later_s <= 0)
    return;
  const Setting stated = as_stated(f.settings.front());
  for (Setting& s : f.settings)
    s.value += later_s;
  f.settings.push_back(stated);
  Case c = f.with_setting;
  set_timer_from_door(c, careful_s);
  take_outcome(f, c);
  f.notes.insert(f.notes.begin(), "nine blades in ten have that soak by then, half of them by the middle");
}

} // namespace

void hold_by_draws(Finding& f, const Case& asked, Executor& executor, const std::function<bool()>& go_on) {
  if (!f.found || f.settings.empty())
    return;
  if (f.question == "timer") {
    take_careful_timer(f, executor);
    return;
  }
  const std::optional<Walk> walk = walk_of(f, asked);
  if (!walk)
    return;
  const auto goes_on = [&] { return !go_on || go_on(); };
  const double found = f.settings.front().value;
  const long most = static_cast<long>(std::floor((walk->bound - found) / walk->step + 1e-6));
  const auto at = [&](long k) { return found + static_cast<double>(k) * walk->step; };
  const auto with = [&](long k) {
    Case c = asked;
    walk->set(c, at(k));
    return c;
  };
  const auto passes = [&](long k) {
    const Case c = with(k);
    std::vector<treatment::Run> runs;
    const Answers stated = answer(
        c, runs, [&](double, treatment::Part) { return goes_on(); }, &executor);
    if (!goes_on())
      throw treatment::Interrupted();
    const Bands b = bands(c, stated, {draws, 1, false}, executor, [&](double) { return goes_on(); });
    return (walk->soak ? b.soak : b.quench).verdict == Verdict::pass;
  };
  if (passes(0))
    return;
  long bad = 0, good = 1;
  while (good < most && !passes(good)) {
    bad = good;
    good = std::min(most, 2 * good);
  }
  if (most < 1 || (good >= most && !passes(most))) {
    f.notes.insert(f.notes.begin(),
                   "by the draws no such setting passes: what stands here holds for the case "
                   "as stated alone, and nine blades in ten want another change");
    return;
  }
  while (good - bad > 1) {
    const long middle = bad + (good - bad) / 2;
    (passes(middle) ? good : bad) = middle;
  }
  const Setting stated = as_stated(f.settings.front());
  f.settings.front().value = at(good);
  f.settings.insert(f.settings.begin() + 1, stated);
  take_outcome(f, with(good));
  // a timer that goes with it
  for (Setting& s : f.settings)
    if (s.case_key == "furnace.timer" && s.key == "timer_from_door" && f.with_setting.furnace().timer_s)
      s.value = *f.with_setting.furnace().timer_s;
  f.notes.insert(f.notes.begin(), "the first figure holds for nine draws in ten; what was found on the way "
                                  "belongs to the middle");
}

} // namespace tq::answers
