#include "answers/careful_find.hpp"

#include "answers/bands.hpp"
#include "answers/blades_in_ten.hpp"
#include "answers/careful_timer.hpp"
#include "answers/careful_walks.hpp"
#include "answers/find_parts.hpp"
#include "answers/section_change.hpp"
#include "answers/telling.hpp"
#include "answers/timer.hpp"
#include "answers/wanted.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <utility>

namespace tq::answers {

using treatment::Case;

namespace {

/// Draws to search with, a verdict and not its second digit; what is told is held by as many as `harden`
/// makes.
constexpr int draws_to_search = 64;
const int draws_to_tell = BandSettings{}.members;

Setting as_stated(const Setting& s) {
  Setting out = s;
  out.name = "the middle, where it holds as stated";
  out.key += "_as_stated";
  out.case_key.clear();
  return out;
}

/// Outcome and verdicts of the setting that is told now.
void take_outcome(Finding& f, const Case& c) {
  Experiment trial(c);
  questioning::take_outcome(f, trial);
}

/// The timer by the cautious end; that from the display moves with it.
void take_careful_timer(Finding& f, Executor& executor) {
  const double careful_s = careful_timer(f.with_setting, &executor).careful_s,
               later_s = careful_s - f.settings.front().value;
  f.by_draws = Held::holds;
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

/// A case as stated and by its draws, again and again.
class Drawing {
 public:
  Drawing(Executor& executor, const std::function<bool()>& go_on) : executor_(executor), go_on_(go_on) {}

  /// What `look` makes of it.
  template <class Look>
  auto operator()(const Case& c, int members, bool keep, const Look& look) const {
    std::vector<treatment::Run> runs;
    Answers stated = answer(
        c, runs, [&](double, treatment::Part) { return goes_on(); }, &executor_);
    if (!goes_on())
      throw treatment::Interrupted();
    for (StationAnswer& s : stated.stations) // no walk asks for it, and its runs cost half of a draw
      for (ZoneAnswer& z : s.zones)
        z.transfer_to_spare_s = std::numeric_limits<double>::quiet_NaN();
    const Bands b = bands(c, stated, {members, 1, keep}, executor_, [&](double) { return goes_on(); });
    return look(Drawn{c, stated, b});
  }

 private:
  bool goes_on() const { return !go_on_ || go_on_(); }
  Executor& executor_;
  const std::function<bool()>& go_on_;
};

/// The nearest rung of a walk at which it holds by the draws; nothing when none does up to its bound.
std::optional<double> walked(const Walk& walk, double from, const Case& asked, const Drawing& draw) {
  const long most = static_cast<long>(std::floor((walk.bound - from) / walk.step + 1e-6));
  const auto at = [&](long k) { return from + static_cast<double>(k) * walk.step; };
  const auto with = [&](long k) {
    Case c = asked;
    walk.set(c, at(k));
    return c;
  };
  std::map<int, double> at_bound; // share of the draws that harden there, by number of draws
  const auto holds = [&](long k, int members) {
    return draw(with(k), members, walk.members, [&](const Drawn& d) {
      constexpr double nothing_forgiven = 2;
      const auto share = at_bound.find(members);
      return walk.holds(d) &&
             (!walk.holds_beside ||
              walk.holds_beside(d, share == at_bound.end() ? nothing_forgiven : share->second));
    });
  };
  if (holds(0, draws_to_tell))
    return from;
  if (most < 1)
    return std::nullopt;
  if (walk.holds_beside) {
    for (const int members : {draws_to_search, draws_to_tell})
      at_bound[members] =
          draw(with(most), members, false, [](const Drawn& d) { return d.bands.quench.passing; });
    if (holds(0, draws_to_tell))
      return from;
  }
  long bad = 0, good = 1;
  while (good < most && !holds(good, draws_to_search)) {
    bad = good;
    good = std::min(most, 2 * good);
  }
  if (good == most && !holds(most, draws_to_search))
    return std::nullopt;
  while (good - bad > 1) {
    const long middle = bad + (good - bad) / 2;
    (holds(middle, draws_to_search) ? good : bad) = middle;
  }
  while (!holds(good, draws_to_tell))
    if (++good > most)
      return std::nullopt;
  return at(good);
}

/// What goes with the first setting follows it.
void follow(Finding& f, const Case& asked, const FindOptions& options, Executor& executor,
            const std::function<bool()>& go_on) {
  if (f.question == "interrupt") { // the window opens later and closes sooner
    const questioning::Asked a{asked, options, f.question, executor, go_on};
    Experiment lifted(f.with_setting);
    lifted.outcome();
    for (const Setting& now : questioning::window_settings(a, lifted))
      for (Setting& s : f.settings)
        if (s.key == now.key)
          s.value = now.value;
  }
  for (Setting& s : f.settings) // a timer that goes with it
    if (s.case_key == "furnace.timer" && s.key == "timer_from_door" && f.with_setting.furnace().timer_s)
      s.value = *f.with_setting.furnace().timer_s;
}

/// The setting to be made, where its ends stand behind it, stays between them.
bool between_ends(Finding& f, const FindOptions& options) {
  if (f.question != "setpoint" && f.question != "oil-temperature")
    return false;
  const double low = f.settings[1].value, high = f.settings[2].value;
  double& best = f.settings[0].value;
  best = options.wish && f.question == "setpoint" ? low : std::clamp(best, low, high);
  return true;
}

/// Makes all walks of a finding; false when one leads nowhere or the ends cross.
bool walk_all(Finding& f, const std::vector<Walk>& walks, const Case& asked, const FindOptions& options,
              const Drawing& draw) {
  std::vector<Setting> settings = f.settings;
  for (const Walk& walk : walks) {
    double from = settings[walk.setting].value;
    if (walk.begins) {
      Case c = asked;
      c.bath().blades = f.with_setting.bath().blades;
      if (!(c.bath().volume_m3 > 0)) // endless as stated
        c.bath().volume_m3 = settings[walk.setting].value;
      from = std::max(from, draw(c, draws_to_tell, walk.members, walk.begins));
    }
    const auto found = walked(walk, from, asked, draw);
    if (!found)
      return false;
    settings[walk.setting].value = *found;
  }
  if (walks.size() > 1) {
    const std::size_t low = walks[0].setting, high = walks[1].setting;
    if (settings[low].value > settings[high].value + 1e-9)
      return false;
  }
  const std::vector<Setting> before = std::exchange(f.settings, std::move(settings));
  const bool between = between_ends(f, options);
  if ((between || walks[0].setting == 0) && f.settings[0].value != before[0].value) {
    Case c = asked;
    walks[0].set(c, f.settings[0].value);
    take_outcome(f, c);
  }
  // what moved has its middle behind it
  std::vector<Setting> told;
  bool moved = false;
  for (std::size_t k = 0; k < f.settings.size(); ++k) {
    told.push_back(f.settings[k]);
    if (f.settings[k].value != before[k].value) {
      told.push_back(as_stated(before[k]));
      moved = true;
    }
  }
  f.settings = std::move(told);
  if (moved)
    f.notes.insert(f.notes.begin(),
                   "what is to be set holds for nine draws in ten; what was found on the way "
                   "belongs to the middle");
  return true;
}

/// The oven, or its time, by the chance of landing in the wish.
void land_in_wish(Finding& f, const FindOptions& options, const Drawing& draw) {
  struct Chance {
    OvenChance oven;
    Verdict verdict;
    double failing;
  };
  const auto chance_in = [&](const Case& c) {
    return draw(c, draws_to_tell, false, [](const Drawn& d) {
      return Chance{d.bands.oven, d.bands.hardness.verdict, d.bands.hardness.failing};
    });
  };
  if (!f.with_setting.hardness_wished() || options.spine_at_most_HRC)
    return;
  Chance now = chance_in(f.with_setting);
  if (now.verdict == Verdict::not_asked)
    return;
  if (f.question == "temper" && !options.wish && now.oven.best >= now.oven.here + 0.02 &&
      std::isfinite(now.oven.best_degC)) {
    const Ladder& ladder = options.fahrenheit ? five_degF : five_degC;
    const Setting stated = as_stated(f.settings.front());
    f.settings.front().value = ladder.value(ladder.at_most(now.oven.best_degC + 0.5 * ladder.step));
    if (f.settings.front().value != stated.value) {
      f.settings.insert(f.settings.begin() + 1, stated);
      Case c = f.with_setting;
      c.for_each_temper([&](treatment::Oven& o) { o.oven_degC = f.settings.front().value; });
      take_outcome(f, c);
      now = chance_in(f.with_setting);
    }
  }
  const bool better = now.oven.best >= now.oven.here + noticeably_better;
  f.by_draws = now.verdict == Verdict::pass                                            ? Held::holds
               : f.question == "temper" && !better && now.verdict == Verdict::marginal ? Held::as_good_as_any
                                                                                       : Held::only_as_stated;
  std::string note = blades_in_ten(now.oven.here) + " in " + wish_text(f.with_setting) + " with it, " +
                     blades_in_ten(1 - now.failing) +
                     questioning::format(" within %.3g HRC of that", near_miss_HRC);
  if (better)
    note += ", at " + temperature_text(now.oven.best_degC) + " " + blades_in_ten(now.oven.best);
  else if (now.verdict != Verdict::pass)
    note += "; no oven does noticeably better, for the wish is narrower than what is known";
  f.notes.insert(f.notes.begin(), note);
}

} // namespace

void hold_by_draws(Finding& f, const Case& asked, const FindOptions& options, Executor& executor,
                   const std::function<bool()>& go_on) {
  if (!f.found || f.settings.empty())
    return;
  const Drawing draw(executor, go_on);
  if (f.question == "timer") {
    take_careful_timer(f, executor);
    return;
  }
  if (f.question.starts_with("temper")) {
    land_in_wish(f, options, draw);
    return;
  }
  const std::vector<Walk> walks = walks_of(f, asked, options);
  if (walks.empty())
    return;
  f.by_draws = walk_all(f, walks, asked, options, draw) ? Held::holds : Held::only_as_stated;
  if (f.by_draws == Held::only_as_stated) {
    f.notes.insert(f.notes.begin(),
                   "by the draws no such setting passes: what stands here holds for the case "
                   "as stated alone, and nine blades in ten want another change");
    return;
  }
  follow(f, asked, options, executor, go_on);
}

} // namespace tq::answers
