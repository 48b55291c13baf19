#include "output/explanation.hpp"

#include "answers/local_codes.hpp"
#include "output/json.hpp"
#include "output/text.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <ostream>

namespace tq::output {
namespace {

using answers::Explanation;
using answers::FaultSample;
using answers::Forecast;
using answers::Reading;
using Json = nlohmann::ordered_json;

constexpr double told = 0.03; ///< causes less likely are told together

void print_folded(std::ostream& out, std::string start, const std::string& text) {
  for (const std::string& line : folded(text, page_width - start.size())) {
    out << start << line << "\n";
    start = std::string(start.size(), ' ');
  }
}

std::string forecast_text(const Forecast& f) {
  return hrc_text(f.middle) + " HRC, nine in ten from " + hrc_text(f.low) + " to " + hrc_text(f.high);
}

std::string place_name(const treatment::Case& c, const Reading& reading, std::size_t zone) {
  const std::string name = treatment::zone_name(static_cast<treatment::Zone>(zone));
  return c.blade.stations.size() > 1 ? c.blade.stations[reading.station].name + ", " + name : name;
}

std::string how_likely(double share) {
  return share >= 0.005 ? formatted("%3.0f %%", 100 * share) : std::string("< 1 %");
}

std::string in_ten(double share) { return formatted("%.0f times in 10", 10 * share); }

const char* effort_text(int effort) {
  return effort <= 1 ? "minutes" : effort == 2 ? "an hour, or a tool" : "another heat";
}

std::string fault_name(const FaultSample& sample, const std::string& key) {
  const std::size_t f = sample.fault_index(key);
  const std::string& name = sample.faults[f].entry.name;
  return name.substr(0, name.find(':'));
}

/// Whether a cause is one of those that make this happen.
bool of_group(const FaultSample& sample, const std::string& cause, const std::string& group) {
  const std::size_t f = sample.fault_index(cause);
  return f < sample.faults.size() ? sample.faults[f].entry.group == group
                                  : cause == group || (cause == "at_limit" && group == "quench");
}

Json forecast_json(const Forecast& f) {
  return {{"middle", number(f.middle)}, {"low", number(f.low)}, {"high", number(f.high)}};
}

void print_answer(std::ostream& out, const FaultSample& sample, const Explanation& e) {
  const Explanation::Cause& first = e.causes.front();
  if (!e.explained) {
    print_folded(out, "! ",
                 std::string("NO CAUSE EXPLAINS WHAT WAS READ: ") +
                     (e.fit < answers::least_fit
                          ? "of blades as computed hardly one reads so far off, whatever went wrong with it"
                          : "something that is not on the list below fits better than all that is"));
    print_folded(out, "  next: ", sample.record.reading.something_else_remedy);
    return;
  }
  const Explanation::Group& happened = e.groups.front();
  print_folded(out, "MOST LIKELY (" + formatted("%.0f %%", 100 * happened.share) + "): ", happened.name);
  if (first.name != happened.name)
    print_folded(out,
                 formatted("  first suspect (%.0f %%%s): ", 100 * first.share,
                           of_group(sample, first.key, happened.key) ? "" : ", of another kind"),
                 first.name);
  if (e.next) {
    const records::FaultTest& test = sample.record.tests[e.next->test];
    print_folded(out, "  next: ",
                 test.text + " (" + effort_text(test.effort) + "; the cause named first is then right " +
                     in_ten(e.next->with) + ", now " + in_ten(e.next->without) + ")");
  } else {
    for (const records::FaultTest& test : sample.record.tests)
      if (std::find(test.finds.begin(), test.finds.end(), first.key) != test.finds.end()) {
        print_folded(out, "  to make sure: ", test.text + " (" + effort_text(test.effort) + ")");
        break;
      }
  }
  print_folded(out, "  cure: ", first.remedy);
}

void print_read(std::ostream& out, const treatment::Case& c, const FaultSample& sample,
                const Reading& reading, const Explanation& e) {
  out << "\nREAD\n";
  for (std::size_t i = 0; i < reading.hardness.size(); ++i) {
    const auto& r = reading.hardness[i];
    print_folded(out, "  ",
                 place_name(c, reading, r.zone) + (r.tempered ? " after the temper: " : " as quenched: ") +
                     hrc_text(r.hrc) + " HRC; to be expected: " + forecast_text(e.expected[i]) +
                     (sample.tester_valid[r.zone]
                          ? ""
                          : "; too thin or too tapered there for a Rockwell tester, it reads too low"));
  }
  for (const answers::FileReading& f : reading.files)
    print_folded(out, "  ",
                 "the file " + std::string(steel::file_feel_name(f.feel)) + ": " +
                     place_name(c, reading, f.zone) + " as quenched" + (f.ground ? ", skin ground off" : "") +
                     "; to be expected there: " + hrc_text(sample.middle.quenched[f.zone]) +
                     " HRC, where it " +
                     steel::file_feel_name(steel::file_feel(sample.middle.quenched[f.zone])));
}

void print_causes(std::ostream& out, const FaultSample& sample, const Explanation& e) {
  if (e.explained) {
    out << "\nWHAT HAPPENED\n";
    for (const Explanation::Group& group : e.groups)
      if (group.share >= told)
        print_folded(out, "  " + how_likely(group.share) + "  ", group.name);
  }
  out << (e.explained ? "\nWHAT FITS, MOST LIKELY FIRST\n" : "\nNEAREST, BUT NONE FITS\n");
  const auto share_text = [&](double share) {
    return e.explained ? how_likely(share) : std::string("    -");
  };
  double rest = 0;
  for (const Explanation::Cause& cause : e.causes) {
    if (cause.share < told || (!e.explained && cause.key == "something_else")) {
      rest += cause.share;
      continue;
    }
    print_folded(out, "  " + share_text(cause.share) + "  ", cause.name);
    if (!e.explained)
      continue;
    if (!cause.with.empty())
      print_folded(out, "         ",
                   "of it " + formatted("%.0f %%", 100 * cause.with_share) +
                       " together with another: " + fault_name(sample, cause.with));
    if (cause.parting) {
      const records::FaultTest& test = sample.record.tests[cause.parting->test];
      print_folded(out, "         test: ",
                   test.text + " (" + effort_text(test.effort) + "; tells it from the next " +
                       in_ten(cause.parting->with) + ", without it " + in_ten(cause.parting->without) + ")");
    }
    print_folded(out, "         then: ", cause.remedy);
  }
  if (rest > 0 && e.explained)
    print_folded(out, "  " + how_likely(rest) + "  ", "all others together");
}

void print_next_blade(std::ostream& out, const treatment::Case& c, const Reading& reading,
                      const Explanation& e) {
  out << "\nTHE NEXT BLADE, MADE THE SAME WAY (" << place_name(c, reading, e.next_zone) << ")\n";
  const auto line = [&](const char* what, const Forecast& before, const Forecast& after) {
    if (!std::isfinite(after.middle))
      return;
    print_folded(out, "  ", std::string(what) + ": " + forecast_text(after));
    print_folded(out, "    ", "before the reading: " + forecast_text(before));
  };
  line("as quenched", e.quenched_before, e.quenched_after);
  line("after the temper", e.tempered_before, e.tempered_after);
  if (e.oven_degC)
    print_folded(out, "  ",
                 "oven for the middle of " + hrc_text(c.hardness_wish(reading.station).from) + " to " +
                     hrc_text(c.hardness_wish(reading.station).to) + " HRC: " +
                     temperature_text(*e.oven_degC) + " instead of " + temperature_text(c.oven().oven_degC));
}

void print_notes(std::ostream& out, const treatment::Case& c, const FaultSample& sample,
                 const Reading& reading, const Explanation& e) {
  const Explanation::Cause& first = e.causes.front();
  out << "\nNOTE\n";
  if (e.explained && first.key != "none")
    print_folded(out, "  - ",
                 first.stays ? "what is most likely stays until it is cured: cure it before the next blade"
                             : "what is most likely was of this blade alone: the next one need not have it");
  if (c.uncertainty.learnt)
    print_folded(out, "  - ",
                 "furnace, foil, oil, oven and steel are as the shop's journal teaches, " +
                     c.uncertainty.learnt->from + " (--no-shop leaves it out)");
  print_folded(out, "  - ",
               formatted("from %zu blades computed with one fault or two, worth %.0f equal ones", e.draws,
                         e.effective_draws) +
                   (e.smoothing < 1
                        ? "; few came near what was read, so the shares are smoothed: take them as "
                          "rough, or draw more (--members)"
                        : ""));
  print_folded(
      out, "  - ",
      formatted("assumed: the tester is within %.2g HRC nine times in ten, the file within %.2g; how "
                "common each fault is stands in typical_faults.toml (common practice, no source); two "
                "at once come by chance, their shares count for both; what was off stays off in the "
                "next blade, but for faults of one blade",
                reading.tester_HRC.value_or(sample.record.reading.tester_HRC),
                sample.record.reading.file_HRC));
}

} // namespace

void print_explanation(std::ostream& out, const treatment::Case& c, const FaultSample& sample,
                       const Reading& reading, const Explanation& e) {
  out << (c.title.empty() ? "What the readings say" : c.title) << "\n! " << answers::local_codes << "\n\n";
  print_answer(out, sample, e);
  print_read(out, c, sample, reading, e);
  print_causes(out, sample, e);
  if (e.explained && !e.shifts.empty()) {
    out << "\nWHAT IT SAYS OF THE INPUTS\n";
    for (const auto& s : e.shifts)
      print_folded(out, "  - ",
                   s.name + ": " + (s.moved < 0 ? "lower" : "higher") + " than stated, by about " +
                       formatted("%.0f %%", 100 * std::abs(s.moved)) + " of its doubt");
  }
  if (e.explained)
    print_next_blade(out, c, reading, e);
  print_notes(out, c, sample, reading, e);
}

std::string explanation_json(const treatment::Case& c, const FaultSample& sample, const Reading& reading,
                             const Explanation& e) {
  Json readings = Json::array(), files = Json::array(), groups = Json::array(), causes = Json::array(),
       shifts = Json::array();
  for (std::size_t i = 0; i < reading.hardness.size(); ++i) {
    const auto& r = reading.hardness[i];
    readings.push_back({{"zone", treatment::zone_name(static_cast<treatment::Zone>(r.zone))},
                        {"HRC", r.hrc},
                        {"tempered", r.tempered},
                        {"expected", forecast_json(e.expected[i])},
                        {"place_valid", sample.tester_valid[r.zone]}});
  }
  for (const auto& f : reading.files)
    files.push_back({{"zone", treatment::zone_name(static_cast<treatment::Zone>(f.zone))},
                     {"feel", steel::file_feel_name(f.feel)},
                     {"ground", f.ground}});
  const auto parting = [&](const std::optional<Explanation::Parting>& p) {
    if (!p)
      return Json(nullptr);
    const records::FaultTest& test = sample.record.tests[p->test];
    return Json{
        {"test", test.text}, {"effort", test.effort}, {"right_without", p->without}, {"right_with", p->with}};
  };
  for (const auto& cause : e.causes)
    causes.push_back({{"fault", cause.key},
                      {"name", cause.name},
                      {"share", cause.share},
                      {"alone", cause.alone},
                      {"with", cause.with.empty() ? Json(nullptr) : Json(cause.with)},
                      {"with_share", cause.with_share},
                      {"parting", parting(cause.parting)},
                      {"remedy", cause.remedy},
                      {"stays", cause.stays}});
  for (const auto& g : e.groups)
    groups.push_back({{"group", g.key}, {"name", g.name}, {"share", g.share}});
  for (const auto& s : e.shifts)
    shifts.push_back({{"input", s.name}, {"moved", s.moved}});
  Json document = {{"schema", "thinquench-explain"},
                   {"schema_version", 2},
                   {"station", c.blade.stations[reading.station].name},
                   {"readings", readings},
                   {"files", files},
                   {"explained", e.explained},
                   {"fit", number(e.fit)},
                   {"groups", groups},
                   {"causes", causes},
                   {"next", parting(e.next)},
                   {"assumed", c.defaults},
                   {"draws", e.draws},
                   {"effective_draws", number(e.effective_draws)},
                   {"smoothing", e.smoothing},
                   {"inputs", shifts},
                   {"next_blade",
                    {{"zone", treatment::zone_name(static_cast<treatment::Zone>(e.next_zone))},
                     {"as_quenched_before", forecast_json(e.quenched_before)},
                     {"as_quenched", forecast_json(e.quenched_after)},
                     {"tempered_before", forecast_json(e.tempered_before)},
                     {"tempered", forecast_json(e.tempered_after)},
                     {"oven", e.oven_degC ? Json(*e.oven_degC) : Json(nullptr)}}}};
  return json_text(document);
}

} // namespace tq::output
