// The command that holds readings against a case: explain.
#include "answers/explain.hpp"
#include "output/explanation.hpp"
#include "program/commands.hpp"
#include "program/interrupt.hpp"
#include "program/open_case.hpp"
#include "program/progress.hpp"
#include "program/terminal.hpp"
#include "program/thread_pool.hpp"
#include "program/values.hpp"

#include <algorithm>
#include <iostream>

namespace tq::program {
namespace {

/// "spine 58 HRC, edge 61 HRC"
void add_readings(const std::string& option, const std::string& text, bool tempered,
                  std::vector<answers::HardnessReading>& to) {
  for (std::size_t begin = 0; !text.empty() && begin <= text.size();) {
    const std::size_t end = std::min(text.find(',', begin), text.size());
    std::string one = text.substr(begin, end - begin);
    begin = end + 1;
    one.erase(0, std::min(one.find_first_not_of(' '), one.size()));
    const std::size_t gap = one.find(' ');
    const std::string place = one.substr(0, gap);
    answers::HardnessReading r;
    r.tempered = tempered;
    std::vector<std::string> places;
    for (std::size_t z = 0; z < treatment::zone_count; ++z)
      places.emplace_back(treatment::zone_name(static_cast<treatment::Zone>(z)));
    const auto found = std::find(places.begin(), places.end(), place);
    if (found == places.end() || gap == std::string::npos)
      throw UsageError(option + ": '" + one +
                       "'; a place and a hardness are expected, like 'spine 58 HRC'; places: " + places[0] +
                       ", " + places[1] + ", " + places[2] + ", " + places[3]);
    r.zone = static_cast<std::size_t>(found - places.begin());
    r.hrc = value_of(option, one.substr(gap + 1), "hardness_HRC");
    to.push_back(r);
  }
}

steel::FileFeel file_feel_named(const std::string& text) {
  for (const auto feel : {steel::FileFeel::skates, steel::FileFeel::just_skates, steel::FileFeel::bites})
    if (text == steel::file_feel_name(feel))
      return feel;
  throw UsageError("--file: '" + text + "'; allowed: skates, 'just skates', bites");
}

} // namespace

void explain(const Options& options) {
  const ExplainOptions& told = options.explain;
  answers::Reading reading;
  add_readings("--quenched", told.quenched, false, reading.hardness);
  add_readings("--tempered", told.tempered, true, reading.hardness);
  if (!told.file.empty())
    reading.file = file_feel_named(told.file);
  reading.ground = told.ground;
  if (reading.hardness.empty() && !reading.file)
    throw UsageError("explain: what was read is missing, like --quenched 'spine 58 HRC' or --file bites");
  if (!told.tester.empty())
    reading.tester_HRC = value_of("--tester", told.tester, "hardness_HRC", {0.1, 10});
  const OpenedCase opened = open_case_or_line(options, "explain");
  const treatment::Case& c = opened.contents;
  if (!told.station.empty()) {
    const auto& all = c.blade.stations;
    const auto at =
        std::find_if(all.begin(), all.end(), [&](const auto& s) { return s.name == told.station; });
    if (at == all.end())
      throw UsageError("--station: the case has none called '" + told.station + "'");
    reading.station = static_cast<std::size_t>(at - all.begin());
  }
  const InterruptWatch watch;
  ThreadPool pool;
  const answers::FaultSample sample = [&] {
    ProgressLine line(is_terminal(Stream::err) ? ProgressLine::Style::redrawn : ProgressLine::Style::none);
    return answers::draw_faults(c, reading.station, pool, answers::usual_fault_members, 1, [&](double share) {
      line.show(share, "faults");
      return !watch.interrupted();
    });
  }();
  const answers::Explanation explanation = answers::explain(c, sample, reading);
  if (options.json)
    std::cout << output::explanation_json(c, sample, reading, explanation);
  else
    output::print_explanation(std::cout, c, sample, reading, explanation);
}

} // namespace tq::program
