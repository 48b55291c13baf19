#include "answers/find.hpp"

#include "answers/careful_timer.hpp"
#include "answers/cautions.hpp"
#include "answers/find_parts.hpp"
#include "answers/telling.hpp"
#include "answers/timer.hpp"
#include "records/document.hpp"
#include "steel/grain.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <cmath>
#include <cstdarg>
#include <cstdio>

namespace tq::answers {

using treatment::Case;
using treatment::Part;

namespace {

using namespace questioning;

struct Entry {
  Question question;
  Finding (*answer)(const Asked&);
};

const std::vector<Entry>& entries() {
  static const std::vector<Entry> all = {
      {{"timer", "Which timer gives the wanted soak?", "the soak, default: the case's", "time",
        "up to whole minutes: a minute too long does less harm than one too short"},
       find_timer},
      {{"out", "When is the earliest and the latest to take it out?", "", "",
        "earliest up, latest down to whole minutes"},
       find_out},
      {{"setpoint", "What to set the furnace to?",
        "hardness as quenched wanted at least; default: a sound soak, in the middle of what allows it",
        "hardness_HRC", "to 5 degrees, inside the window: its lowest rounded up, its highest down"},
       find_setpoint},
      {{"programme", "Which lines does the furnace's programme need, and where does the blade go in?",
        "the soak, default: the case's", "time", "holds up to whole minutes"},
       find_programme},
      {{"transfer", "How long may the way from furnace to bath take?", "", "", "down to half seconds"},
       find_transfer},
      {{"oil-volume", "How little oil will do?", "rise of the oil allowed, default 20 K",
        "temperature_difference", "up to half litres"},
       find_oil_volume},
      {{"oil-temperature", "How hot should the oil be?", "", "",
        "to 5 degrees, inside the window: its lowest rounded up, its highest down"},
       find_oil_temperature},
      {{"foil-gap", "How loose may foil be that stays on in the oil?", "", "",
        "down to 5 um: a tighter foil cools faster"},
       find_foil_gap},
      {{"spine", "How thick a spine does this bath still harden?", "", "", "down to 0.05 mm"}, find_spine},
      {{"edge", "How thin may the edge be before hardening?", "", "",
        "up to 0.05 mm: what is too thick can be ground"},
       find_edge},
      {{"lift", "After how many seconds may it be lifted out of the oil?", "", "", "up to half seconds"},
       find_lift},
      {{"interrupt", "When to lift it out to straighten, and how long is the window?", "", "",
        "earliest up, latest and window down to half seconds"},
       find_interrupt},
      {{"cool-to", "How cold must it be before the temper?",
        "retained austenite allowed, default: 2 points above what 20 degC leaves", "percent",
        "down to 5 degrees: colder leaves less austenite"},
       find_cool_to},
      {{"temper", "Which oven temperature gives the wanted hardness?",
        "the hardness, default: the middle of the case's; with --spine-at-most it holds at the edge",
        "hardness_HRC", "down to 5 degrees: what is too hard can be tempered again"},
       find_temper},
      {{"temper-time", "How long in this oven gives the wanted hardness?",
        "the hardness, default: the middle of the case's", "hardness_HRC",
        "down to 5 minutes: what is too hard can be tempered again"},
       find_temper_time},
      {{"temper-cycles", "How many tempers give the wanted hardness?",
        "the hardness, default: the middle of the case's", "hardness_HRC",
        "down: what is too hard can be tempered again"},
       find_temper_cycles},
      {{"batch", "Several blades in one firing: in which order, with what waits?", "", "",
        "waits up to whole minutes"},
       find_batch},
      {{"reharden", "Can it be hardened once more?", "", "", "skin up, as for one heat"}, find_reharden},
      {{"normalise", "Should it be normalised first, and does it harden in air?", "", "", ""},
       find_normalise},
  };
  return all;
}

/// What may be wished for, as in a case: beyond it a search would only find that there is nothing, after
/// hours.
void check_wish(const Asked& asked, const std::string& dimension) {
  const records::Range range = dimension == "time"           ? records::Range{0, 100 * 3600.0, true}
                               : dimension == "hardness_HRC" ? records::Range{20, 68}
                               : dimension == "percent"      ? records::Range{0, 1}
                                                             : records::Range{0, 200, true};
  if (const double wish = *asked.options.wish; !range.holds(wish))
    asked.refuse("a wish of " + units::format_quantity(wish, dimension) +
                 "; allowed: " + records::allowed(range, dimension));
}

} // namespace

namespace questioning {

std::string format(const char* pattern, ...) {
  char text[600];
  va_list list;
  va_start(list, pattern);
  std::vsnprintf(text, sizeof text, pattern, list);
  va_end(list);
  return text;
}

std::string Asked::degrees_text(double degC) const {
  return options.fahrenheit ? format("%.0f degF (%.0f degC)", degC * 1.8 + 32, degC) : temperature_text(degC);
}

void Asked::refuse(const std::string& why) const { throw records::InputError("find " + key + ": " + why); }

void Asked::require(Part stage) const {
  if (!c.has(stage))
    refuse(std::string("the case has no ") + treatment::part_name(stage) +
           " stage, so there is nothing to ask");
}

void Asked::require_steel() const {
  if (c.steel.inert)
    refuse("the case's steel does not transform, so there is nothing to harden");
}

void Asked::for_each(std::size_t n, const Executor::Work& work) const {
  executor.for_each_index(n, work, [&](std::size_t) { return !go_on || go_on(); });
}

Finding begin(const Asked& a, std::string asked_text) {
  Finding f;
  f.question = a.key;
  f.asked = std::move(asked_text);
  f.with_setting = a.c;
  return f;
}

void take_outcome(Finding& f, Experiment& trial) {
  f.outcome = trial.outcome();
  f.with_setting = trial.settings();
  f.soak = soak_verdict(f.with_setting, f.outcome);
  f.quench = quench_verdict(f.with_setting, f.outcome);
  f.hardness = hardness_verdict(f.with_setting, f.outcome);
}

void finish(Finding& f, const Asked& a, Experiment& trial, const std::vector<std::string>& places) {
  compute(a, {&trial}, Part::temper);
  take_outcome(f, trial);
  for (Caution& caution : cautions_for(f.with_setting))
    if (caution.beside == "all" || std::find(places.begin(), places.end(), caution.beside) != places.end())
      f.cautions.push_back(std::move(caution));
}

void give_up(Finding& f, const Asked& a, std::string because) {
  f.found = false;
  f.because = std::move(because);
  f.with_setting = a.c;
}

Setting minutes(std::string name, std::string key, std::string case_key, double s) {
  return {std::move(name), std::move(key), std::move(case_key), s, "time", "min"};
}
Setting seconds(std::string name, std::string key, std::string case_key, double s) {
  return {std::move(name), std::move(key), std::move(case_key), s, "time", "s"};
}
Setting temperature(const Asked& a, std::string name, std::string key, std::string case_key, double degC) {
  return {std::move(name), std::move(key), std::move(case_key), degC, "temperature", a.degrees_unit()};
}
Setting length(std::string name, std::string key, std::string case_key, double m) {
  return {std::move(name), std::move(key), std::move(case_key), m, "length", m < 1e-4 ? "um" : "mm"};
}
Setting volume(std::string name, std::string key, std::string case_key, double m3) {
  return {std::move(name), std::move(key), std::move(case_key), m3, "volume", "L"};
}
Setting count(std::string name, std::string key, std::string case_key, double n) {
  return {std::move(name), std::move(key), std::move(case_key), n, "count", ""};
}
Setting hardness(std::string name, std::string key, double hrc) {
  return {std::move(name), std::move(key), "", hrc, "hardness_HRC", "HRC"};
}
Setting share(std::string name, std::string key, double value) {
  return {std::move(name), std::move(key), "", value, "percent", "%"};
}

std::string soft_zone(const Case& c, const Outcome& o) {
  return format("%s turns %.3g %% to pearlite or bainite, %.3g %% is allowed", o.limiting_name(c).c_str(),
                100 * o.transformed(), 100 * c.thresholds.transformed_pass);
}

void let_timer_follow(Case& c) {
  if (!c.heated() || c.wishes.soak_s <= 0)
    return;
  const double timer = careful_timer(c).careful_s;
  if (std::isnan(timer))
    return;
  set_timer_from_door(c, timer);
}

double grain_number(Experiment& trial, std::size_t station) {
  trial.outcome(Part::furnace);
  const treatment::Run& run = trial.run(station);
  const treatment::StepSpan* furnace = treatment::span_of(run, Part::furnace);
  if (furnace == nullptr)
    return ZoneAnswer::none;
  const std::vector<double>& T = run.zones[treatment::zone_edge].temperature;
  std::vector<steel::HistoryPoint> thinned;
  steel::HistoryPoint last;
  for (std::size_t k = 0; k < run.time_s.size() && run.time_s[k] <= furnace->to_s; ++k) {
    if (run.time_s[k] < furnace->from_s)
      continue;
    last = {run.time_s[k] - furnace->from_s, T[k]};
    if (thinned.empty() || std::abs(last.T_degC - thinned.back().T_degC) >= 1 ||
        last.time_s - thinned.back().time_s >= 120)
      thinned.push_back(last);
  }
  if (last.time_s > thinned.back().time_s)
    thinned.push_back(last);
  const Case& c = trial.settings();
  return steel::grain_number(steel::soak_over(thinned, c.steel, c.blade.start_state).grain_m);
}

} // namespace questioning

const std::vector<Question>& questions() {
  static const std::vector<Question> list = [] {
    std::vector<Question> out;
    for (const Entry& e : entries())
      out.push_back(e.question);
    return out;
  }();
  return list;
}

Finding find(const Case& c, const std::string& question, const FindOptions& options, Executor* executor,
             const std::function<bool()>& go_on) {
  SerialExecutor serial;
  std::vector<std::string> keys;
  for (const Entry& e : entries()) {
    if (e.question.key == question) {
      const Asked asked{c, options, question, executor != nullptr ? *executor : serial, go_on};
      if (options.wish && e.question.wish.empty())
        asked.refuse("takes no wish");
      if (options.wish)
        check_wish(asked, e.question.wish_dimension);
      if (options.spine_at_most_HRC && question != "temper")
        asked.refuse("takes no ceiling at the spine; temper does");
      if (options.blades && question != "batch" && question != "oil-volume")
        asked.refuse("takes no number of blades; batch and oil-volume do");
      return e.answer(asked);
    }
    keys.push_back(e.question.key);
  }
  const std::string near = records::nearest(question, keys);
  throw records::InputError("find: '" + question + "' is no question; " +
                            (near.empty() ? "see thinquench find --list" : "did you mean '" + near + "'?"));
}

} // namespace tq::answers
