#include "output/explanation.hpp"

#include "answers/local_codes.hpp"
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

constexpr std::size_t page_width = 100;
constexpr double told = 0.03;    ///< causes less likely are told together
constexpr double farthest = 3.0; ///< standard deviations beyond which nothing explains a reading

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

Json number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }
Json forecast_json(const Forecast& f) {
  return {{"middle", number(f.middle)}, {"low", number(f.low)}, {"high", number(f.high)}};
}

} // namespace

void print_explanation(std::ostream& out, const treatment::Case& c, const FaultSample& sample,
                       const Reading& reading, const Explanation& e) {
  out << (c.title.empty() ? "What the readings say" : c.title) << "\n! " << answers::local_codes
      << "\n\nREAD\n";
  for (std::size_t i = 0; i < reading.hardness.size(); ++i) {
    const auto& r = reading.hardness[i];
    print_folded(out, "  ",
                 place_name(c, reading, r.zone) + (r.tempered ? " after the temper: " : " as quenched: ") +
                     hrc_text(r.hrc) + " HRC; to be expected: " + forecast_text(e.expected[i]) +
                     (sample.tester_valid[r.zone]
                          ? ""
                          : "; too thin or too tapered there for a Rockwell tester, it reads too low"));
  }
  if (reading.file)
    print_folded(out, "  ",
                 std::string("the file ") + steel::file_feel_name(*reading.file) +
                     " at the edge as quenched; " + "to be expected there: " +
                     hrc_text(sample.stated.quenched[treatment::zone_edge]) + " HRC, where it " +
                     steel::file_feel_name(steel::file_feel(sample.stated.quenched[treatment::zone_edge])));
  out << "\nWHAT FITS, MOST LIKELY FIRST\n";
  double rest = 0;
  for (const auto& cause : e.causes) {
    const answers::Fault& f = sample.faults[cause.fault];
    if (cause.probability < told) {
      rest += cause.probability;
      continue;
    }
    print_folded(out, "  " + how_likely(cause.probability) + "  ", f.name);
    print_folded(out, "         test: ", f.test);
    print_folded(out, "         then: ", f.remedy);
  }
  if (rest > 0)
    print_folded(out, "  " + how_likely(rest) + "  ", "all others together");
  if (e.farthest > farthest)
    print_folded(out, "  ! ", "none of these explains what was read: read again, on a test block first");
  if (!e.shifts.empty()) {
    out << "\nWHAT IT SAYS OF THE INPUTS\n";
    for (const auto& s : e.shifts)
      print_folded(out, "  - ",
                   s.name + ": " + (s.moved < 0 ? "lower" : "higher") + " than stated, by about " +
                       formatted("%.0f %%", 100 * std::abs(s.moved)) + " of its doubt");
  }
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
                 "oven for the middle of " + hrc_text(c.wishes.hrc_from) + " to " +
                     hrc_text(c.wishes.hrc_to) + " HRC: " + temperature_text(*e.oven_degC) + " instead of " +
                     temperature_text(c.oven().oven_degC));
  const answers::Fault& first = sample.faults[e.causes.front().fault];
  out << "\nNOTE\n";
  if (first.key != "none")
    print_folded(out, "  - ",
                 first.stays ? "what is most likely stays until it is cured: cure it before the next blade"
                             : "what is most likely was of this blade alone: the next one need not have it");
  print_folded(out, "  - ",
               formatted("assumed: the tester is within %.2g HRC nine times in ten; before any reading each "
                         "fault is as likely as the next and that nothing went wrong five times as likely; "
                         "one fault at a time; what was off stays off in the next blade, but for faults of "
                         "one blade (all common practice, no source)",
                         reading.tester_HRC));
}

std::string explanation_json(const treatment::Case& c, const FaultSample& sample, const Reading& reading,
                             const Explanation& e) {
  Json readings = Json::array(), causes = Json::array(), shifts = Json::array();
  for (std::size_t i = 0; i < reading.hardness.size(); ++i) {
    const auto& r = reading.hardness[i];
    readings.push_back({{"zone", treatment::zone_name(static_cast<treatment::Zone>(r.zone))},
                        {"HRC", r.hrc},
                        {"tempered", r.tempered},
                        {"expected", forecast_json(e.expected[i])},
                        {"place_valid", sample.tester_valid[r.zone]}});
  }
  for (const auto& cause : e.causes) {
    const answers::Fault& f = sample.faults[cause.fault];
    causes.push_back({{"fault", f.key},
                      {"name", f.name},
                      {"probability", cause.probability},
                      {"test", f.test},
                      {"remedy", f.remedy},
                      {"stays", f.stays}});
  }
  for (const auto& s : e.shifts)
    shifts.push_back({{"input", s.name}, {"moved", s.moved}});
  Json document = {{"schema", "thinquench-explain"},
                   {"schema_version", 1},
                   {"station", c.blade.stations[reading.station].name},
                   {"readings", readings},
                   {"file", reading.file ? Json(steel::file_feel_name(*reading.file)) : Json(nullptr)},
                   {"causes", causes},
                   {"farthest", number(e.farthest)},
                   {"inputs", shifts},
                   {"next_blade",
                    {{"zone", treatment::zone_name(static_cast<treatment::Zone>(e.next_zone))},
                     {"as_quenched_before", forecast_json(e.quenched_before)},
                     {"as_quenched", forecast_json(e.quenched_after)},
                     {"tempered_before", forecast_json(e.tempered_before)},
                     {"tempered", forecast_json(e.tempered_after)},
                     {"oven", e.oven_degC ? Json(*e.oven_degC) : Json(nullptr)}}}};
  return document.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace tq::output
