#include "program/compare_steels.hpp"

#include "answers/answers.hpp"
#include "answers/crack.hpp"
#include "answers/figures.hpp"
#include "answers/find.hpp"
#include "answers/ledger.hpp"
#include "answers/local_codes.hpp"
#include "output/figures.hpp"
#include "output/json.hpp"
#include "output/judged.hpp"
#include "output/text.hpp"
#include "program/values.hpp"
#include "records/document.hpp"
#include "treatment/record_names.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iostream>
#include <nlohmann/json.hpp>

namespace tq::program {
namespace {

using Json = nlohmann::ordered_json;

using answers::Verdict;
using treatment::RecordKind;

/// One steel with what becomes of the blade in it.
struct SteelColumn {
  std::string key;
  answers::Answers answers;
  Verdict crack = Verdict::not_asked;
  double setpoint_degC = NAN, oven_degC = NAN;
  std::string no_oven; ///< why none gives the wish
};

std::string key_of(const MaterialLibrary& library, const std::string& name) {
  if (treatment::is_record_path(name))
    return name;
  const std::vector<std::string> keys = library.keys(RecordKind::steel);
  if (std::find(keys.begin(), keys.end(), name) != keys.end())
    return name;
  if (const std::string key = treatment::key_by_title(library, RecordKind::steel, name); !key.empty())
    return key;
  throw no_such_record("--steels", name, "steel", keys);
}

/// The case in that steel, at the middle of its usual range, with the timer left to the program.
treatment::Case in_steel(const Options& options, const std::string& key, bool soak_stated) {
  Options other = options;
  other.settings.push_back("blade.steel=" + records::toml_string(key));
  treatment::Case c = options.case_path.empty() ? [&] {
    other.one_line.steel = key;
    return open_case_or_line(other, "compare").contents;
  }()
                                                : open_case(other, options.case_path).contents;
  const auto& usual = c.steel.austenitising;
  if (c.heated()) {
    const double middle = 0.5 * (usual.hardening_from_degC + usual.hardening_to_degC);
    c.furnace().setpoint_degC = 5 * std::round((middle - c.furnace().reading_offset_K) / 5);
    c.furnace().timer_s.reset();
    if (!soak_stated)
      c.wishes.soak_s = usual.asked_soak_s;
  }
  return c;
}

SteelColumn column_of(treatment::Case c, const std::string& key, const InterruptWatch& watch,
                      ThreadPool& executor) {
  SteelColumn out;
  out.key = c.steel.key.empty() ? key : c.steel.key;
  const auto go_on = [&] { return !watch.interrupted(); };
  if (c.tempered() && c.hardness_wished()) {
    const answers::Finding oven = answers::find(c, "temper", {}, &executor, go_on);
    if (oven.found)
      c.for_each_temper([&](treatment::Oven& o) { o.oven_degC = oven.settings.front().value; });
    else
      out.no_oven = oven.because;
  }
  std::vector<treatment::Run> runs;
  out.answers = answers::answer(
      c, runs, [&](double, treatment::Part) { return go_on(); }, &executor);
  if (!go_on())
    throw treatment::Interrupted();
  out.crack = answers::crack_answer(c, out.answers).crack.verdict;
  if (c.heated())
    out.setpoint_degC = c.furnace().setpoint_degC;
  if (c.tempered())
    out.oven_degC = c.oven().oven_degC;
  return out;
}

struct Row {
  std::string label;
  std::function<std::string(const SteelColumn&)> cell;
};

std::vector<Row> rows_of() {
  const auto figure = [](const char* name) {
    return [name](const SteelColumn& k) { return answers::told_of(k.answers.stations, name); };
  };
  const auto verdict = [](Verdict v) {
    return v == Verdict::not_asked ? std::string("-") : std::string(answers::verdict_name(v));
  };
  const auto degrees = [](double T) {
    return std::isnan(T) ? std::string("-") : output::temperature_text(T);
  };
  return {
      {"furnace", [=](const SteelColumn& k) { return degrees(k.setpoint_degC); }},
      {"timer from the door", figure("timer_used")},
      {"SOAK", [=](const SteelColumn& k) { return verdict(k.answers.soak.verdict); }},
      {"QUENCH", [=](const SteelColumn& k) { return verdict(k.answers.quench.verdict); }},
      {"cooling", figure("rate_margin")},
      {"transfer to spare", figure("transfer_to_spare")},
      {"HRC as quenched, least", figure("hardness_as_quenched_least")},
      {"oven",
       [=](const SteelColumn& k) { return k.no_oven.empty() ? degrees(k.oven_degC) : std::string("none"); }},
      {"HRC after tempering, least", figure("hardness_tempered_least")},
      {"HARDNESS", [=](const SteelColumn& k) { return verdict(k.answers.hardness.verdict); }},
      {"CRACK", [=](const SteelColumn& k) { return verdict(k.crack); }}};
}

void print(const treatment::Case& c, const std::vector<SteelColumn>& columns) {
  constexpr std::size_t label_width = 28, width = 23;
  std::cout << (c.title.empty() ? "Steels" : c.title) << " (" << output::judged_in_shop(c, 0) << ")\n! "
            << answers::local_codes << "\n\n"
            << output::padded("", label_width);
  for (const SteelColumn& k : columns)
    std::cout << output::padded(k.key, width, true);
  for (const Row& row : rows_of()) {
    std::cout << "\n" << output::padded(row.label, label_width);
    for (const SteelColumn& k : columns)
      std::cout << output::padded(row.cell(k), width, true);
  }
  std::cout << "\n\n";
  for (const SteelColumn& k : columns)
    if (!k.no_oven.empty())
      for (const std::string& line : output::folded(k.key + ": no oven gives the wish, " + k.no_oven, 100))
        std::cout << line << "\n";
  const std::string oven = c.tempered() && c.hardness_wished() ? " and the oven for the middle of the wish"
                           : c.hardness_wished() ? "; a hardness is wished, but the case has no [temper]"
                                                 : "";
  for (const std::string& line :
       output::folded("Each from the middle of its usual range, with the timer for its soak" + oven +
                          "; blade, foil and bath as in the case.",
                      100))
    std::cout << line << "\n";
}

std::string as_json(const treatment::Case& c, const std::vector<SteelColumn>& columns) {
  using output::number;
  Json list = Json::array();
  for (const SteelColumn& k : columns) {
    const auto worst = [&](const char* name) {
      return number(answers::over_stations(k.answers.stations, name));
    };
    list.push_back({{"steel", k.key},
                    {"setpoint_degC", number(k.setpoint_degC)},
                    {"timer_s", worst("timer_used")},
                    {"soak", output::verdict_key(k.answers.soak.verdict)},
                    {"quench", output::verdict_key(k.answers.quench.verdict)},
                    {"hardness", output::verdict_key(k.answers.hardness.verdict)},
                    {"crack", output::verdict_key(k.crack)},
                    {"rate_margin", worst("rate_margin")},
                    {"transfer_to_spare_s", worst("transfer_to_spare")},
                    {"as_quenched_least_HRC", worst("hardness_as_quenched_least")},
                    {"oven_degC", k.no_oven.empty() ? number(k.oven_degC) : Json(nullptr)},
                    {"tempered_least_HRC", worst("hardness_tempered_least")},
                    {"because", k.no_oven}});
  }
  const Json document = {{"schema", "thinquench-steels"},   {"schema_version", 1}, {"judged_by_draws", 0},
                         {"caution", answers::local_codes}, {"title", c.title},    {"steels", list}};
  return output::json_text(document);
}

} // namespace

void compare_steels(const Options& options, const OpenedCase& opened, const MaterialLibrary& library,
                    const std::vector<std::string>& steels, const InterruptWatch& watch,
                    ThreadPool& executor) {
  std::vector<std::string> keys;
  for (const std::string& name : steels) {
    keys.push_back(key_of(library, name));
    if (std::count(keys.begin(), keys.end(), keys.back()) > 1)
      throw UsageError("--steels: '" + name + "' stands twice");
  }
  if (opened.contents.steel.inert || !opened.contents.heated() || !opened.contents.quenched())
    throw UsageError("compare: --steels wants a case with a furnace, a bath and a steel that hardens");
  // what the case assumes of its own steel is another steel's too
  const auto& assumed = opened.contents.defaults;
  const bool soak_stated = std::none_of(assumed.begin(), assumed.end(), [](const std::string& line) {
    return line.find("asked soak") != std::string::npos;
  });
  std::vector<SteelColumn> columns;
  for (const std::string& key : keys)
    columns.push_back(column_of(in_steel(options, key, soak_stated), key, watch, executor));
  if (options.json)
    std::cout << as_json(opened.contents, columns);
  else
    print(opened.contents, columns);
}

} // namespace tq::program
