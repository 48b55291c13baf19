// The command that holds readings against a case: explain.
#include "answers/explain.hpp"
#include "output/explanation.hpp"
#include "program/commands.hpp"
#include "program/interrupt.hpp"
#include "program/material_library.hpp"
#include "program/open_case.hpp"
#include "program/progress.hpp"
#include "program/terminal.hpp"
#include "program/thread_pool.hpp"
#include "program/values.hpp"
#include "records/document.hpp"
#include "records/read_faults.hpp"
#include "shop/journal.hpp"

#include <algorithm>
#include <iostream>
#include <stdexcept>

namespace tq::program {
namespace {

std::vector<std::string> places() {
  std::vector<std::string> out;
  for (std::size_t z = 0; z < treatment::zone_count; ++z)
    out.emplace_back(treatment::zone_name(static_cast<treatment::Zone>(z)));
  return out;
}

/// "spine 58 HRC, edge 61 HRC"
void add_readings(const char* option, const std::string& text, bool tempered,
                  std::vector<answers::HardnessReading>& to) {
  if (text.empty())
    return;
  const auto read =
      by_option(option, text, [&](const std::string& t) { return shop::read_places(t, tempered); });
  to.insert(to.end(), read.begin(), read.end());
}

/// "skates" (at the edge) or "spine bites, edge just skates"
void add_files(const char* option, const std::string& text, bool ground,
               std::vector<answers::FileReading>& to) {
  const std::vector<std::string> zones = places();
  for (const std::string& one : parted(option, text)) {
    answers::FileReading f{treatment::zone_edge, steel::FileFeel::skates, ground};
    const std::size_t gap = one.find(' ');
    const auto place = std::find(zones.begin(), zones.end(), one.substr(0, gap));
    std::string feel = one;
    if (place != zones.end() && gap != std::string::npos) {
      f.zone = static_cast<std::size_t>(place - zones.begin());
      feel = one.substr(gap + 1);
    }
    f.feel = by_option(option, feel, [](const std::string& t) { return shop::read_file_feel(t); });
    to.push_back(f);
  }
}

records::FaultRecord shipped_faults(const Options& options) {
  const MaterialLibrary library(find_materials(options.materials), {});
  const auto text = library.shipped(treatment::RecordKind::uncertainty, "typical_faults");
  if (!text)
    throw records::InputError("the shipped usual faults (typical_faults.toml) cannot be read");
  return records::read_faults(text->text, text->file);
}

answers::Reading told_reading(const ExplainOptions& told) {
  answers::Reading reading;
  add_readings("--quenched", told.quenched, false, reading.hardness);
  add_readings("--tempered", told.tempered, true, reading.hardness);
  add_files("--file", told.file, false, reading.files);
  add_files("--file-ground", told.file_ground, true, reading.files);
  reading.ground = told.ground;
  if (reading.hardness.empty() && reading.files.empty())
    throw UsageError("explain: what was read is missing, like --quenched 'spine 58 HRC' or --file bites");
  if (!told.tester.empty())
    reading.tester_HRC = value_of("--tester", told.tester, "hardness_HRC", {0.1, 10});
  return reading;
}

} // namespace

void explain(const Options& options) {
  const ExplainOptions& told = options.explain;
  answers::Reading reading = told_reading(told);
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
  const records::FaultRecord faults = shipped_faults(options);
  const InterruptWatch watch;
  ThreadPool pool;
  ProgressLine line(is_terminal(Stream::err) ? ProgressLine::Style::redrawn : ProgressLine::Style::none);
  constexpr double first_part = 0.6; // of the time; the rest are draws that the readings ask for
  answers::FaultSample sample =
      answers::draw_faults(c, reading.station, faults, pool, told.members, told.seed, [&](double share) {
        line.show(first_part * share, "faults");
        return !watch.interrupted();
      });
  const answers::Explanation explanation = answers::explain_closely(sample, reading, pool, [&](double share) {
    line.show(first_part + (1 - first_part) * share, "what fits");
    return !watch.interrupted();
  });
  line.wipe();
  if (options.json)
    std::cout << output::explanation_json(c, sample, reading, explanation);
  else
    output::print_explanation(std::cout, c, sample, reading, explanation);
}

} // namespace tq::program
