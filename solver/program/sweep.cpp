// sweep and join: the cases of a plan, all of them or a shard, into a file of rows that only grows; the rows
// of all parts into one result.
#include "output/files/files.hpp"
#include "output/files/rows_file.hpp"
#include "output/files/sweep_file.hpp"
#include "output/text.hpp"
#include "program/commands.hpp"
#include "program/interrupt.hpp"
#include "program/open_case.hpp"
#include "program/open_plan.hpp"
#include "program/progress.hpp"
#include "program/shop_file.hpp"
#include "program/terminal.hpp"
#include "program/thread_pool.hpp"
#include "records/document.hpp"
#include "sweep/run_sweep.hpp"
#include "treatment/run.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cmath>
#include <fstream>
#include <iostream>
#include <optional>

namespace tq::program {

namespace {

namespace fs = std::filesystem;
using output::RowsFile;
using output::RowsHead;
using output::RowsReader;

/// "3/8".
sweep::Shard shard_of(const std::string& text) {
  sweep::Shard out;
  if (text.empty())
    return out;
  const char* const end = text.data() + text.size();
  const auto [slash, bad] = std::from_chars(text.data(), end, out.number);
  const auto [last, worse] = slash < end && *slash == '/'
                                 ? std::from_chars(slash + 1, end, out.of)
                                 : std::from_chars_result{slash, std::errc::invalid_argument};
  constexpr std::size_t most = 1'000'000;
  if (bad != std::errc() || worse != std::errc() || last != end || out.number < 1 || out.number > out.of ||
      out.of > most)
    throw UsageError("--shard: '" + text + "' is no part of a whole; write 3/8 for the third of eight");
  return out;
}

/// "3 min", "2 h 10 min" for people who wait.
std::string wait_text(double s) {
  if (s < 90)
    return output::formatted("%.0f s", std::ceil(s));
  const double minutes = std::ceil(s / 60);
  return minutes < 90
             ? output::formatted("%.0f min", minutes)
             : output::formatted("%.0f h %02.0f min", std::floor(minutes / 60), std::fmod(minutes, 60));
}

/// Share done and the time that the rest will take.
class Remaining {
 public:
  Remaining(bool quiet, std::size_t there, std::size_t all)
      : line_(quiet                      ? ProgressLine::Style::none
              : is_terminal(Stream::err) ? ProgressLine::Style::redrawn
                                         : ProgressLine::Style::lines),
        there_(there), all_(all) {}
  void show(std::size_t kept) {
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start_).count();
    const std::size_t done = there_ + kept;
    std::string text = output::formatted("%zu of %zu cases", done, all_);
    if (kept > 0 && done < all_)
      text +=
          ", " + wait_text(seconds / static_cast<double>(kept) * static_cast<double>(all_ - done)) + " left";
    line_.show(static_cast<double>(done) / static_cast<double>(std::max<std::size_t>(1, all_)), text.c_str());
  }

 private:
  ProgressLine line_;
  std::size_t there_, all_;
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

fs::path rows_path(const fs::path& result, const sweep::Shard& shard) {
  fs::path out = result;
  out.replace_extension(shard.of > 1 ? output::formatted(".%zuof%zu.rows", shard.number, shard.of) : ".rows");
  return out;
}

/// Names of files that could surprise are refused before anything is computed: each other's, that of the
/// rows.
void check_names(const fs::path& result, const fs::path& csv, const char* option) {
  require_file(option, result);
  if (result.extension() == ".rows")
    throw UsageError(std::string(option) + ": '" + result.string() +
                     "'; .rows is for the rows under way, a result ends in .h5");
  if (csv.empty())
    return;
  require_file("--csv", csv);
  if (csv.extension() == ".rows" ||
      fs::weakly_canonical(fs::absolute(csv)) == fs::weakly_canonical(fs::absolute(result)))
    throw UsageError("--csv: '" + csv.string() + "' is the place of another file of this sweep");
}

/// The plan that a finished result is of; empty when there is none.
std::string plan_of_result(const fs::path& result) {
  std::error_code none;
  return fs::exists(result, none) ? output::SweepFile(result).plan_sha256 : std::string();
}

void tell(const Options& options, const std::string& text) {
  if (!options.quiet)
    std::cout << text << "\n" << std::flush;
}

void write_result(const Options& options, const fs::path& result, const std::vector<RowsReader>& parts) {
  output::write_sweep_file(result, parts);
  if (!options.sweep.csv.empty())
    output::write_sweep_csv(options.sweep.csv, parts);
  std::size_t failed = 0;
  for (const RowsReader& part : parts)
    failed += static_cast<std::size_t>(
        std::count_if(part.places().begin(), part.places().end(),
                      [&](const RowsReader::Place& place) { return part.failed(place.at); }));
  tell(options,
       output::formatted("%zu cases in ", parts.front().head().cases) + result.string() +
           (failed > 0 ? output::formatted("; %zu failed, see failed_message", failed) : std::string()));
}

/// Computes what is missing of a shard.
void fill(const OpenedPlan& opened, const Options& options, const sweep::Shard& shard, RowsFile& rows) {
  const InterruptWatch watch;
  ThreadPool pool(options.threads);
  const std::size_t all = sweep::cases_of(opened.plan, shard);
  Remaining remaining(options.quiet, rows.rows(), all);
  if (rows.rows() > 0 && rows.rows() < all && !options.quiet)
    std::cerr << "thinquench: " << rows.rows() << " of " << all << " cases are there, going on\n";
  try {
    sweep::run_sweep(
        opened.plan, opened.columns, [&](const auto& settings) { return opened.read(settings); },
        {shard, static_cast<std::size_t>(pool.threads())}, [&](std::size_t n) { return rows.has(n); }, pool,
        [&](const sweep::Row& row) { rows.add(row); },
        [&](std::size_t kept) {
          remaining.show(kept);
          return !watch.interrupted();
        });
  } catch (const treatment::Interrupted&) {
    throw Stopped(output::formatted("interrupted; %zu of %zu cases are kept in ", rows.rows(), all) +
                  rows.path().string() + ", the same command goes on from there");
  }
}

} // namespace

void run_sweep(const Options& options, const std::string& command_line) {
  const SweepOptions& asked = options.sweep;
  if (options.shop.file)
    throw UsageError("--shop: a sweep takes no journal; its rows rest on plan, case and records alone");
  const sweep::Shard shard = shard_of(asked.shard);
  if (shard.of > 1 && !asked.csv.empty())
    throw UsageError("--csv: a shard writes its rows only; give it to thinquench join");
  const fs::path result = asked.result.empty() ? fs::path(asked.plan).stem().string() + ".h5" : asked.result;
  check_names(result, asked.csv, "--output");
  const OpenedPlan opened = open_plan(asked.plan, options.materials, settings_of(options));
  if (const auto journal = find_shop(options, fs::path(opened.case_file).parent_path());
      journal && !options.quiet)
    std::cerr << "thinquench: a sweep leaves out what " << journal->string() << " teaches\n";
  const RowsHead head = rows_head(opened, shard, command_line);
  if (const std::string other = plan_of_result(result); !other.empty() && shard.of == 1) {
    if (other != head.plan_sha256)
      throw records::InputError(
          result.string() +
          ": is of another plan (or this one, its case, a record or the program was changed "
          "since); name another --output, or remove it");
    if (!asked.csv.empty())
      throw UsageError("--csv: " + result.string() +
                       " is there already, and the table is written together with it; remove it, or name "
                       "another --output");
    tell(options, result.string() + " is there, nothing to do");
    return;
  }
  RowsFile rows(rows_path(result, shard), head);
  fill(opened, options, shard, rows);
  if (shard.of > 1) {
    tell(options, output::formatted("%zu cases in ", rows.rows()) + rows.path().string());
    return;
  }
  {
    std::vector<RowsReader> parts;
    parts.emplace_back(rows.path());
    write_result(options, result, parts);
  }
  std::error_code none;
  if (!asked.keep_rows)
    fs::remove(rows.path(), none);
}

void join(const Options& options) {
  const SweepOptions& asked = options.sweep;
  check_names(asked.result, asked.csv, "RESULT");
  std::vector<RowsReader> parts;
  std::vector<bool> there;
  for (const fs::path& path : asked.parts) {
    parts.emplace_back(path);
    const RowsHead& head = parts.back().head();
    const RowsHead& first = parts.front().head();
    if (head.plan_sha256 != first.plan_sha256 || head.cases != first.cases || head.width != first.width)
      throw records::InputError(path.string() + ": is of another plan or program than " +
                                asked.parts.front().string());
    there.resize(head.cases, false);
    for (const RowsReader::Place& place : parts.back().places())
      there[place.number] = true;
  }
  const auto missing = static_cast<std::size_t>(std::count(there.begin(), there.end(), false));
  if (missing > 0 && !asked.partly)
    throw records::InputError(
        output::formatted("%zu of %zu cases are in none of these parts", missing, there.size()) +
        "; compute the shards that are missing or not done, or join with --partly");
  if (const std::string other = plan_of_result(asked.result);
      !other.empty() && other != parts.front().head().plan_sha256)
    throw records::InputError(asked.result + ": is of another plan; name another file, or remove it");
  write_result(options, asked.result, parts);
}

} // namespace tq::program
