#include "program/commands.hpp"

#include "answers/bands.hpp"
#include "answers/risks.hpp"
#include "answers/what_if.hpp"
#include "output/band_words.hpp"
#include "output/files/files.hpp"
#include "output/files/write_results.hpp"
#include "output/json.hpp"
#include "output/risk_words.hpp"
#include "output/terminal.hpp"
#include "output/terminal_chart.hpp"
#include "output/text.hpp"
#include "program/interrupt.hpp"
#include "program/open_case.hpp"
#include "program/progress.hpp"
#include "program/shop_learning.hpp"
#include "program/terminal.hpp"
#include "program/thread_pool.hpp"
#include "records/document.hpp"
#include "treatment/case_reader.hpp"
#include "treatment/run.hpp"
#include "units/text.hpp"

#include <chrono>
#include <cmath>
#include <fstream>
#include <functional>
#include <iostream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <optional>

namespace tq::program {
namespace {

namespace fs = std::filesystem;

ProgressLine::Style progress_style(bool quiet) {
  if (quiet)
    return ProgressLine::Style::none;
  return is_terminal(Stream::err) ? ProgressLine::Style::redrawn : ProgressLine::Style::lines;
}

/// The case file that the results in `json` say they are of; nothing when there are none.
std::string case_of_results(const fs::path& json) {
  std::ifstream in(json, std::ios::binary);
  const nlohmann::ordered_json document =
      output::parsed_json(std::string(std::istreambuf_iterator<char>(in), {}));
  const auto provenance = document.is_object() ? document.find("provenance") : document.end();
  return document.is_object() && provenance != document.end() && provenance->is_object()
             ? provenance->value("case_file", std::string())
             : std::string();
}

/// True when both names can mean one file, seen from different folders: the shorter is the end of the longer.
/// Names of two files that are both there tell for certain.
bool may_be_one_file(const fs::path& a, const fs::path& b) {
  std::error_code none;
  if (fs::exists(a, none) && fs::exists(b, none))
    return fs::equivalent(a, b, none);
  const fs::path one = a.lexically_normal(), other = b.lexically_normal();
  auto i = one.end(), j = other.end();
  while (i != one.begin() && j != other.begin())
    if (*--i != *--j)
      return false;
  return true;
}

/// Throws InputError when the results of `opened` would take the place of another case's. The shop sheet of x
/// is x_sheet.html, which is also the report of x_sheet.
void require_own_place(const fs::path& folder, const OpenedCase& opened) {
  const auto refuse = [&](const std::string& name, const std::string& other) {
    throw records::InputError("--output " + folder.string() + ": " + (folder / name).string() +
                              " belongs to the results of " + other + "; choose another folder");
  };
  constexpr std::string_view sheet = "_sheet";
  const std::string& stem = opened.stem;
  const fs::path same = folder / (stem + ".json"), its_sheet = folder / (stem + "_sheet.json");
  if (opened.name != "standard input")
    if (const std::string other = case_of_results(same);
        !other.empty() && other != "standard input" && !may_be_one_file(other, opened.name))
      refuse(stem + ".json", other);
  std::error_code none;
  if (fs::exists(its_sheet, none))
    refuse(stem + "_sheet.html", stem + "_sheet.toml");
  if (stem.size() > sheet.size() && stem.ends_with(sheet)) {
    const std::string without = stem.substr(0, stem.size() - sheet.size());
    if (fs::exists(folder / (without + ".json"), none))
      refuse(stem + ".html", without + ".toml");
  }
}

/// Throws VerdictError when a verdict is as bad as `options.fail_on` says or worse.
void mind_the_verdicts(const Options& options, const answers::Answers& a, const answers::Risks* risks) {
  if (options.fail_on.empty())
    return;
  for (const answers::NamedVerdict& v : answers::all_verdicts(a, risks))
    if (v.judgement->verdict == answers::Verdict::fail ||
        (v.judgement->verdict == answers::Verdict::marginal && options.fail_on == "marginal"))
      throw VerdictError(std::string(v.name) + " is " +
                         output::upper_case(answers::verdict_name(v.judgement->verdict)) +
                         ", and --fail-on " + options.fail_on + " was given");
}

} // namespace

void require_writable(const std::string& option, const fs::path& folder) {
  try {
    output::require_writable_folder(folder.empty() ? "." : folder);
  } catch (const output::WriteError& error) {
    throw records::InputError(option + ": " + error.what());
  }
}

void require_file(const std::string& option, const fs::path& file) {
  std::error_code none;
  const fs::file_status there = fs::status(file, none);
  if (file.filename().empty() || file == "-" || fs::is_directory(there))
    throw UsageError(option + ": '" + file.string() + "' is no name of a file");
  if (fs::is_character_file(there) || fs::is_block_file(there))
    throw UsageError(option + ": '" + file.string() + "' is a device; name a file");
  require_writable(option, file.parent_path());
}

void require_drawing(const std::string& option, const fs::path& file) {
  if (file.empty())
    return;
  if (file.extension() != ".svg")
    throw UsageError(option + ": '" + file.string() + "'; allowed: a name that ends in .svg");
  require_file(option, file);
}

namespace {

/// A word to the one who will have to wait.
void foretell(const treatment::Case& c) {
  constexpr double long_s = 60;
  if (const double foreseen = treatment::foreseen_seconds(c); foreseen > long_s)
    std::cerr << "thinquench: this grid and these steps take about "
              << units::formatted("%.0f", std::ceil(foreseen / 60)) << " minutes of processor time or more ("
              << c.solver.along << " x " << c.solver.across << " intervals)\n";
}

answers::Bands drawn_bands(const Options& options, const treatment::Case& c, const answers::Answers& answers,
                           ThreadPool& pool, const InterruptWatch& watch) {
  ProgressLine line(progress_style(options.quiet));
  return answers::bands(c, answers, {options.members, options.seed, false}, pool, [&](double share) {
    line.show(share, "bands");
    return !watch.interrupted();
  });
}

/// The bands of the case as it was before the shop's journal moved it; the same timer as in the case.
std::optional<answers::Bands> bands_before(const Options& options, const OpenedCase& opened, bool wanted,
                                           ThreadPool& pool, const InterruptWatch& watch) {
  if (!wanted || !opened.unlearnt)
    return {};
  std::vector<treatment::Run> runs;
  const answers::Answers stated = answers::answer(*opened.unlearnt, runs, {}, &pool);
  return drawn_bands(options, *opened.unlearnt, stated, pool, watch);
}

std::vector<answers::WhatIfStrip> strips_of(const Options& options, const treatment::Case& c,
                                            ThreadPool& pool, const InterruptWatch& watch) {
  ProgressLine line(progress_style(options.quiet));
  return answers::what_if(
      c,
      [&](double share) {
        line.show(share, "what if");
        return !watch.interrupted();
      },
      &pool);
}

std::function<void(const std::string&)> json_teller(bool wanted) {
  if (!wanted)
    return {};
  return [](const std::string& json) { std::cout << json << std::flush; };
}

void print_names(const std::vector<fs::path>& written) {
  std::string names;
  for (const fs::path& file : written)
    names +=
        (names.empty() ? written.front().parent_path().string() + "/: " : " ") + file.filename().string();
  std::cout << "\n";
  std::string label = "written  ";
  for (const std::string& text : output::folded(names, 100 - label.size())) {
    std::cout << label << text << "\n";
    label.assign(label.size(), ' ');
  }
}

} // namespace

namespace {

/// The answers as stated, with a line of progress; what a person waits for is told at once: margins, the
/// verdicts of the draws, bow and files take longer.
answers::Answers stated_answers(const Options& options, const Engine& engine, const treatment::Case& c,
                                std::vector<treatment::Run>& runs, ThreadPool& pool,
                                const InterruptWatch& watch, bool tables, bool draws) {
  ProgressLine line(progress_style(options.quiet));
  const auto tell_stated = [&](const answers::Answers& stated) {
    line.wipe();
    if (tables)
      output::print_heading(std::cout, c, stated, options.full);
    if (tables && draws)
      output::print_as_stated(std::cout, c, stated);
    std::cout.flush();
  };
  return engine(
      c, runs,
      [&](double share, treatment::Part stage) {
        line.show(share, treatment::part_name(stage));
        return !watch.interrupted();
      },
      &pool, tell_stated);
}

} // namespace

void harden(const Options& options, const Engine& engine, const std::string& command_line) {
  const OpenedCase opened = open_case_or_line(options, "harden");
  if (options.files.any()) {
    require_writable("--output", options.output);
    require_own_place(options.output, opened);
  }
  foretell(opened.contents);

  const auto begin = std::chrono::steady_clock::now();
  const InterruptWatch watch;
  ThreadPool pool(options.threads);
  const bool tables = !options.json && !options.quiet, colour = may_colour(Stream::out, options.no_color);
  const bool draws = options.bands && (!options.quiet || options.members_asked);
  const bool one_line = options.quiet && !options.json;
  std::vector<treatment::Run> runs;
  const answers::Answers answers =
      stated_answers(options, engine, opened.contents, runs, pool, watch, tables, draws);
  if (watch.interrupted())
    throw treatment::Interrupted();

  std::optional<answers::Bands> bands;
  if (draws)
    bands = drawn_bands(options, opened.contents, answers, pool, watch);
  if (watch.interrupted())
    throw treatment::Interrupted();
  const answers::Answers judged = bands ? answers::judged_by(answers, *bands) : answers;
  // of the answers as stated
  const answers::Risks risks =
      answers::risks(opened.contents, answers, &pool, [&](std::size_t) { return !watch.interrupted(); });
  if (tables && !options.full) {
    output::print_brief(std::cout, opened.contents, judged, &risks, colour);
  } else if (tables) {
    output::print_answers(std::cout, opened.contents, runs, judged, &risks, colour);
    if (bands)
      output::print_bands(std::cout, opened.contents, *bands);
    output::print_risks(std::cout, opened.contents, risks, colour);
    if (is_terminal(Stream::out)) // of use to people only
      for (const treatment::Run& run : runs)
        output::print_cooling_chart(std::cout, opened.contents, run);
  } else if (one_line) {
    output::print_short(std::cout, opened.contents, judged, &risks);
  }
  std::cout.flush();

  std::optional<std::vector<answers::WhatIfStrip>> strips;
  if (options.what_if && !options.quiet && options.files.report) // only the report shows them
    strips = strips_of(options, opened.contents, pool, watch);

  const bool page = options.files.report && !options.quiet;
  const std::optional<answers::Bands> unlearnt = bands_before(options, opened, page && bands, pool, watch);
  std::vector<answers::LogBeside> logs;
  if (page && opened.shop_file && opened.name != "standard input")
    logs = logs_beside(options, *opened.shop_file, opened.name, pool);

  output::OutputInfo info;
  info.command_line = command_line;
  info.case_file = opened.name;
  info.record_files = opened.records;
  info.wall_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  const std::function<void(const std::string&)> tell_json = json_teller(options.json);
  const std::vector<fs::path> written =
      output::write_results(opened.contents, runs, answers, options.output, opened.stem, info,
                            {bands ? &*bands : nullptr, strips ? &*strips : nullptr, &risks,
                             unlearnt ? &*unlearnt : nullptr, &logs},
                            tell_json, options.files, &pool);

  if (tables && !written.empty())
    print_names(written);
  mind_the_verdicts(options, judged, &risks);
}

void check(const Options& options) {
  const OpenedCase opened = open_case_or_line(options, "check");
  const treatment::Case& c = opened.contents;
  if (options.json) {
    nlohmann::ordered_json document = {{"schema", "thinquench-check"}, {"schema_version", 1},
                                       {"case_file", opened.name},     {"title", c.title},
                                       {"assumed", c.defaults},        {"resolved_case", c.resolved_text}};
    std::cout << output::json_text(document);
  } else if (!options.quiet) {
    std::cout << c.resolved_text;
    if (!c.defaults.empty())
      std::cout << "\n# Assumed, because the case does not say:\n";
    for (const std::string& line : c.defaults)
      std::cout << "# - " << one_line(line) << "\n";
  }
}

void blank(const Options& options) {
  std::cout << (options.keys ? treatment::key_page() : treatment::case_template());
}

} // namespace tq::program
