// The commands that search and vary: find, what-if, compare.
#include "answers/bands.hpp"
#include "answers/careful_find.hpp"
#include "output/finding.hpp"
#include "program/commands.hpp"
#include "program/compare_steels.hpp"
#include "program/interrupt.hpp"
#include "program/material_library.hpp"
#include "program/open_case.hpp"
#include "program/thread_pool.hpp"
#include "program/values.hpp"
#include "records/document.hpp"
#include "records/read_coolant.hpp"
#include "treatment/record_names.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <iostream>

namespace tq::program {
namespace {

std::vector<double> values_of(const std::string& option, const std::string& list,
                              const std::string& dimension) {
  std::vector<double> out;
  for (const std::string& text : parted(option, list)) {
    out.push_back(value_of(option, text, dimension));
    if (std::count(out.begin(), out.end(), out.back()) > 1)
      throw UsageError(option + ": '" + text + "' stands twice");
  }
  return out;
}

int whole_number(const std::string& option, const std::string& text) {
  if (text.empty() || text.size() > 4 ||
      !std::all_of(text.begin(), text.end(), [](unsigned char k) { return k >= '0' && k <= '9'; }))
    throw UsageError(option + ": '" + text + "' is no whole number");
  return std::stoi(text);
}

/// True when the case speaks of its temperatures in degrees Fahrenheit only.
bool in_fahrenheit(const treatment::Case& c) {
  return c.source_text.find("degF") != std::string::npos && c.source_text.find("degC") == std::string::npos;
}

/// "60-62 HRC", "60 to 62": two numbers, where one is a wish of its own.
bool is_range(const std::string& wish) {
  const auto digit = [&](std::size_t k) { return k < wish.size() && wish[k] >= '0' && wish[k] <= '9'; };
  std::size_t at = 0;
  while (digit(at) || (at > 0 && wish[at] == '.' && digit(at + 1)))
    ++at;
  return wish.find_first_of("0123456789", at) != std::string::npos;
}

} // namespace

void find(const Options& options) {
  const SearchOptions& asked = options.search;
  if (asked.list) {
    if (options.json)
      std::cout << output::questions_json();
    else
      output::print_questions(std::cout);
    return;
  }
  const auto& known = answers::questions();
  if (asked.question.empty())
    throw UsageError("find: what to find is missing (thinquench find --list tells the questions)");
  const auto question =
      std::find_if(known.begin(), known.end(), [&](const auto& q) { return q.key == asked.question; });
  answers::FindOptions wishes;
  Options with_range = options;
  if (question != known.end()) {
    if (!asked.wish.empty()) {
      if (question->wish.empty())
        throw UsageError("find " + question->key + ": takes no --wish");
      if (question->key == "temper" && is_range(asked.wish))
        with_range.settings.push_back("wish.hardness=" + hardness_range("--wish", asked.wish));
      else
        wishes.wish = value_of("--wish", asked.wish, question->wish_dimension);
    }
    if (!asked.spine_at_most.empty())
      wishes.spine_at_most_HRC = value_of("--spine-at-most", asked.spine_at_most, "hardness_HRC");
    if (!asked.blades.empty())
      wishes.blades = whole_number("--blades", asked.blades);
  } else {
    answers::find({}, asked.question); // says what is wrong with it
  }
  OpenedCase opened = open_case_or_line(with_range, "find");
  wishes.fahrenheit = asked.fahrenheit || in_fahrenheit(opened.contents);
  const InterruptWatch watch;
  ThreadPool executor;
  const auto go_on_asking = [&] { return !watch.interrupted(); };
  answers::Finding found = answers::find(opened.contents, asked.question, wishes, &executor, go_on_asking);
  answers::hold_by_draws(found, opened.contents, wishes, executor, go_on_asking);
  std::optional<answers::Bands> bands;
  if (asked.bands && found.found) {
    std::vector<treatment::Run> runs;
    const auto go_on = [&](double, treatment::Part) { return !watch.interrupted(); };
    const answers::Answers nominal = answers::answer(found.with_setting, runs, go_on, &executor);
    bands = answers::bands(found.with_setting, nominal, {}, executor,
                           [&](double) { return !watch.interrupted(); });
  }
  if (watch.interrupted())
    throw treatment::Interrupted();
  const answers::Bands* spread = bands ? &*bands : nullptr;
  if (options.json)
    std::cout << output::finding_json(found, spread);
  else
    output::print_finding(std::cout, found, spread);
}

void what_if(const Options& options) {
  const OpenedCase opened = open_case_or_line(options, "what-if");
  const InterruptWatch watch;
  ThreadPool pool;
  const auto strips = answers::what_if(
      opened.contents, [&](double) { return !watch.interrupted(); }, &pool);
  if (options.json)
    std::cout << output::what_if_json(opened.contents, strips);
  else
    output::print_what_if(std::cout, opened.contents, strips);
}

void compare(const Options& options) {
  const SearchOptions& asked = options.search;
  answers::CompareAxes axes;
  axes.bath_degC = values_of("--bath-temperatures", asked.baths, "temperature");
  axes.transfer_s = values_of("--transfers", asked.transfers, "time");
  axes.spine_m = values_of("--spines", asked.spines, "length");
  for (const double s : axes.transfer_s)
    if (s < 0 || s > 3600)
      throw UsageError("--transfers: " + units::format_quantity(s, "time") + "; allowed: 0 s to 1 h");
  for (const double T : axes.bath_degC)
    if (T < -100 || T > 400)
      throw UsageError("--bath-temperatures: " + units::format_quantity(T, "temperature") +
                       "; allowed: -100 degC to 400 degC");
  Options with_steel = options;
  if (options.case_path.empty() && options.one_line.steel.empty() && !asked.steels.empty())
    with_steel.one_line.steel = asked.steels.substr(0, asked.steels.find(',')); // each takes its turn
  const OpenedCase opened = open_case_or_line(with_steel, "compare");
  const bool in_folder = !options.case_path.empty() && options.case_path != "-";
  const MaterialLibrary library(find_materials(options.materials),
                                in_folder ? std::filesystem::path(options.case_path).parent_path()
                                          : std::filesystem::path());
  for (const std::string& name : parted("--oils", asked.oils)) {
    constexpr auto kind = treatment::RecordKind::coolant;
    auto text = treatment::is_record_path(name) ? library.at_path(kind, name) : library.shipped(kind, name);
    if (const std::string key = text ? "" : treatment::key_by_title(library, kind, name); !key.empty())
      text = library.shipped(kind, key);
    if (!text)
      throw no_such_record("--oils", name, "coolant", library.keys(kind));
    axes.coolants.push_back(records::read_coolant(text->text, text->file));
    if (std::count_if(axes.coolants.begin(), axes.coolants.end(),
                      [&](const auto& k) { return k.key == axes.coolants.back().key; }) > 1)
      throw UsageError("--oils: '" + name + "' stands twice");
  }
  const InterruptWatch watch;
  ThreadPool executor;
  if (!asked.steels.empty()) {
    if (!(asked.oils + asked.baths + asked.transfers + asked.spines).empty())
      throw UsageError("compare: --steels stands alone; choose the steel first, then compare baths");
    compare_steels(options, opened, library, parted("--steels", asked.steels), watch, executor);
    return;
  }
  const auto table = answers::compare(opened.contents, axes, &executor, [&] { return !watch.interrupted(); });
  if (options.json)
    std::cout << output::comparison_json(opened.contents, table);
  else
    output::print_comparison(std::cout, opened.contents, table);
}

} // namespace tq::program
