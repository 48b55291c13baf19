#include "program/commands.hpp"

#include "answers/bands.hpp"
#include "answers/risks.hpp"
#include "answers/what_if.hpp"
#include "output/band_words.hpp"
#include "output/files.hpp"
#include "output/risk_words.hpp"
#include "output/terminal.hpp"
#include "output/terminal_chart.hpp"
#include "output/write_results.hpp"
#include "program/interrupt.hpp"
#include "program/open_case.hpp"
#include "program/progress.hpp"
#include "program/terminal.hpp"
#include "program/thread_pool.hpp"
#include "records/document.hpp"
#include "treatment/case_reader.hpp"

#include <chrono>
#include <iostream>
#include <nlohmann/json.hpp>
#include <optional>
#include <unistd.h>

namespace tq::program {
namespace {

namespace fs = std::filesystem;

/// Throws InputError when files cannot be made in `folder`; makes nothing.
void require_writable(const fs::path& folder) {
  fs::path existing = fs::absolute(folder).lexically_normal();
  std::error_code none;
  while (!fs::exists(fs::symlink_status(existing, none)) && existing.has_relative_path())
    existing = existing.parent_path();
  if (!fs::is_directory(existing, none))
    throw records::InputError("--output " + folder.string() + ": " + existing.string() + " is no folder");
  if (access(existing.c_str(), W_OK | X_OK) != 0)
    throw records::InputError("--output " + folder.string() + ": " + existing.string() +
                              " may not be written to");
}

ProgressLine::Style progress_style(bool quiet) {
  if (quiet)
    return ProgressLine::Style::none;
  return is_terminal(Stream::err) ? ProgressLine::Style::redrawn : ProgressLine::Style::lines;
}

} // namespace

void harden(const Options& options, const Engine& engine, const std::string& command_line) {
  const OpenedCase opened = open_case(options, options.case_path);
  require_writable(options.output);

  const auto begin = std::chrono::steady_clock::now();
  const InterruptWatch watch;
  ThreadPool pool(options.threads);
  const bool tables = !options.json && !options.quiet, colour = may_colour(Stream::out, options.no_color);
  const bool draws = options.bands && (!options.quiet || options.members_asked);
  const bool one_line = options.quiet && !options.json;
  std::vector<treatment::Run> runs;
  answers::Answers answers;
  bool line_told = false;
  {
    ProgressLine line(progress_style(options.quiet));
    // What a person waits for is told at once: margins, the verdicts of the draws, bow and files take longer.
    const auto tell_stated = [&](const answers::Answers& stated) {
      line.wipe();
      if (tables)
        output::print_heading(std::cout, opened.contents, stated);
      if (tables && draws)
        output::print_as_stated(std::cout, opened.contents, stated);
      // why it does not harden is known only when the margins are
      line_told = one_line && !draws &&
                  (stated.quench.verdict == answers::Verdict::pass || opened.contents.steel.inert);
      if (line_told)
        output::print_short(std::cout, opened.contents, stated);
      std::cout.flush();
    };
    answers = engine(
        opened.contents, runs,
        [&](double share, treatment::Stage stage) {
          line.show(share, treatment::stage_name(stage));
          return !watch.interrupted();
        },
        &pool, tell_stated);
  }
  if (watch.interrupted())
    throw treatment::Interrupted();

  std::optional<answers::Bands> bands;
  if (draws) {
    ProgressLine line(progress_style(options.quiet));
    bands = answers::bands(opened.contents, answers, {options.members, options.seed, false}, pool,
                           [&](double share) {
                             line.show(share, "bands");
                             return !watch.interrupted();
                           });
  }
  if (watch.interrupted())
    throw treatment::Interrupted();
  const answers::Answers judged = bands ? answers::judged_by(answers, *bands) : answers;
  if (tables) {
    output::print_answers(std::cout, opened.contents, runs, judged, colour);
    if (bands)
      output::print_bands(std::cout, opened.contents, *bands);
    if (is_terminal(Stream::out)) // of use to people only
      for (const treatment::Run& run : runs)
        output::print_cooling_chart(std::cout, opened.contents, run);
  } else if (one_line && !line_told)
    output::print_short(std::cout, opened.contents, judged);
  std::cout.flush();

  std::optional<answers::Risks> risks; // of the answers as stated
  if (!options.quiet)
    risks =
        answers::risks(opened.contents, answers, &pool, [&](std::size_t) { return !watch.interrupted(); });
  if (tables && risks)
    output::print_risks(std::cout, opened.contents, *risks, colour);

  std::optional<std::vector<answers::WhatIfStrip>> strips;
  if (options.what_if && !options.quiet) {
    ProgressLine line(progress_style(options.quiet));
    strips = answers::what_if(
        opened.contents,
        [&](double share) {
          line.show(share, "what if");
          return !watch.interrupted();
        },
        &pool);
  }

  output::OutputInfo info;
  info.command_line = command_line;
  info.case_file = opened.name;
  info.record_files = opened.records;
  info.wall_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  const auto tell_json = [&](const std::string& json) {
    if (options.json)
      std::cout << json << std::flush;
  };
  const std::vector<fs::path> written = output::write_results(
      opened.contents, runs, answers, options.output, opened.stem, info,
      {bands ? &*bands : nullptr, strips ? &*strips : nullptr, risks ? &*risks : nullptr}, tell_json);

  if (tables) {
    std::cout << "\nFiles written\n";
    for (const fs::path& file : written)
      std::cout << "  " << file.string() << "\n";
  }
}

void check(const Options& options) {
  const OpenedCase opened = open_case(options, options.case_path);
  const treatment::Case& c = opened.contents;
  if (options.json) {
    nlohmann::ordered_json document = {{"schema", "thinquench-check"}, {"schema_version", 1},
                                       {"case_file", opened.name},     {"title", c.title},
                                       {"assumed", c.defaults},        {"resolved_case", c.resolved_text}};
    std::cout << document.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) << "\n";
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
