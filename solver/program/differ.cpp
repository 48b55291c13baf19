// Two cases side by side: only the lines in which they and their answers differ.
#include "answers/ledger.hpp"
#include "output/json.hpp"
#include "output/judged.hpp"
#include "output/text.hpp"
#include "program/commands.hpp"
#include "program/interrupt.hpp"
#include "program/open_case.hpp"
#include "program/thread_pool.hpp"

#include <algorithm>
#include <iostream>
#include <map>
#include <nlohmann/json.hpp>

namespace tq::program {
namespace {

using Json = nlohmann::ordered_json;

/// One line of the sheet; empty where a case does not have it.
struct Line {
  std::string what, first, second;
};

/// "furnace.setpoint" -> its value, in the order of the text; headings that repeat are numbered.
std::vector<std::pair<std::string, std::string>> flattened(const std::string& resolved) {
  std::vector<std::pair<std::string, std::string>> out;
  std::map<std::string, int> seen;
  std::string heading;
  std::size_t begin = 0;
  while (begin < resolved.size()) {
    const std::size_t end = std::min(resolved.find('\n', begin), resolved.size());
    const std::string line = resolved.substr(begin, end - begin);
    begin = end + 1;
    if (line.empty() || line[0] == '#')
      continue;
    if (line[0] == '[') {
      const std::string name =
          line.substr(line.find_first_not_of('['), line.find(']') - line.find_first_not_of('['));
      const int nth = ++seen[name];
      heading = name + (line[1] == '[' && nth > 1 ? " " + std::to_string(nth) : "") + ".";
      continue;
    }
    const std::size_t equals = line.find(" = ");
    if (equals == std::string::npos)
      continue;
    std::string value = line.substr(equals + 3);
    value.erase(std::remove(value.begin(), value.end(), '"'), value.end());
    out.emplace_back(heading + line.substr(0, equals), value);
  }
  return out;
}

std::vector<Line> differing_inputs(const treatment::Case& a, const treatment::Case& b) {
  const auto first = flattened(a.resolved_text), second = flattened(b.resolved_text);
  const auto value_in = [](const auto& list, const std::string& key) {
    const auto found = std::find_if(list.begin(), list.end(), [&](const auto& k) { return k.first == key; });
    return found == list.end() ? std::string() : found->second;
  };
  std::vector<Line> out;
  for (const auto& entry : first)
    if (entry.first != "title" && value_in(second, entry.first) != entry.second)
      out.push_back({entry.first, entry.second, value_in(second, entry.first)});
  for (const auto& entry : second)
    if (entry.first != "title" && value_in(first, entry.first).empty() && !entry.second.empty())
      out.push_back({entry.first, "", entry.second});
  return out;
}

/// The lines of the recipe and of what comes of it: verdicts, then every figure of a station that has a
/// label.
std::vector<std::pair<std::string, std::string>> answer_lines(const answers::Answers& a) {
  const answers::Ledger ledger = answers::ledger_of(a, nullptr, nullptr);
  std::vector<std::pair<std::string, std::string>> out;
  for (const answers::VerdictEntry& v : ledger.verdicts)
    if (v.station == answers::whole_blade)
      out.emplace_back(v.key, std::string(answers::verdict_name(v.judgement.verdict)) +
                                  (v.judgement.reason.empty() ? "" : ": " + v.judgement.reason.text()));
  for (const answers::FigureEntry& f : ledger.figures)
    if (f.zone == answers::no_zone && *f.figure->label != '\0')
      out.emplace_back(
          (a.stations.size() > 1 ? a.stations[static_cast<std::size_t>(f.station)].name + ": " : "") +
              f.figure->label,
          answers::told(f.figure->show, f.stated));
  return out;
}

std::vector<Line> differing_answers(const std::vector<std::pair<std::string, std::string>>& a,
                                    const std::vector<std::pair<std::string, std::string>>& b) {
  std::vector<Line> out;
  for (const auto& line : a) {
    const auto other = std::find_if(b.begin(), b.end(), [&](const auto& k) { return k.first == line.first; });
    const std::string text = other == b.end() ? "" : other->second;
    if (text != line.second)
      out.push_back({line.first, line.second, text});
  }
  for (const auto& line : b)
    if (std::none_of(a.begin(), a.end(), [&](const auto& k) { return k.first == line.first; }))
      out.push_back({line.first, "", line.second});
  return out;
}

void print_lines(const std::vector<Line>& lines) {
  constexpr std::size_t first = 34, width = 32;
  for (const Line& line : lines) {
    const auto left = output::folded(line.what, first - 3),
               a = output::folded(line.first.empty() ? "-" : line.first, width),
               b = output::folded(line.second.empty() ? "-" : line.second, width);
    for (std::size_t i = 0; i < std::max({left.size(), a.size(), b.size()}); ++i)
      std::cout << "  " << output::padded(i < left.size() ? left[i] : "", first - 2)
                << output::padded(i < a.size() ? a[i] : "", width + 1) << (i < b.size() ? b[i] : "") << "\n";
  }
}

Json lines_json(const std::vector<Line>& lines) {
  Json out = Json::array();
  for (const Line& line : lines)
    out.push_back({{"what", line.what}, {"first", line.first}, {"second", line.second}});
  return out;
}

} // namespace

void differ(const Options& options, const Engine& engine) {
  if (options.case_path == "-" && options.other_case_path == "-")
    throw UsageError("differ: only one of the two cases can come from standard input");
  if (options.other_case_path.empty() && options.settings.empty())
    throw UsageError("differ: a second case file is expected, or --set (see thinquench differ --help)");
  const bool alone = options.other_case_path.empty();
  if (alone && options.case_path == "-")
    throw UsageError("differ: standard input can be read once; name the file");
  const OpenedCase first = open_case(options, options.case_path, false),
                   second = open_case(options, alone ? options.case_path : options.other_case_path);
  const InterruptWatch watch;
  std::vector<treatment::Run> runs;
  const auto go_on = [&](double, treatment::Part) { return !watch.interrupted(); };
  ThreadPool pool;
  const answers::Answers a = engine(first.contents, runs, go_on, &pool, {}),
                         b = engine(second.contents, runs, go_on, &pool, {});
  const std::vector<Line> inputs = differing_inputs(first.contents, second.contents),
                          outcomes = differing_answers(answer_lines(a), answer_lines(b));
  if (options.json) {
    const Json document = {{"schema", "thinquench-difference"},
                           {"schema_version", 1},
                           {"judged_by_draws", 0},
                           {"first", first.name},
                           {"second", second.name},
                           {"inputs", lines_json(inputs)},
                           {"answers", lines_json(outcomes)}};
    std::cout << output::json_text(document);
    return;
  }
  const auto name = [](const OpenedCase& k) { return k.contents.title.empty() ? k.name : k.contents.title; };
  std::cout << "first   " << name(first) << "\nsecond  " << name(second) << "\n\nWHAT IS SET\n";
  if (inputs.empty())
    std::cout << "  nothing differs\n";
  print_lines(inputs);
  std::cout << "\nWHAT COMES OF IT (" << output::judged_in_shop(second.contents, 0) << ")\n";
  if (outcomes.empty())
    std::cout << "  nothing differs\n";
  print_lines(outcomes);
}

} // namespace tq::program
