// sweep and join: the cases of a plan, all of them or a shard, into a file of rows that only grows; the rows
// of all parts into one result.
#include "output/files/files.hpp"
#include "output/files/rows_file.hpp"
#include "output/files/sweep_file.hpp"
#include "output/origin.hpp"
#include "output/sha256.hpp"
#include "output/text.hpp"
#include "program/commands.hpp"
#include "program/interrupt.hpp"
#include "program/material_library.hpp"
#include "program/progress.hpp"
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

/// A plan with all that its cases need, held in memory.
struct OpenedPlan {
  sweep::Plan plan;
  std::string case_text, case_file;
  std::vector<output::InputFile> tables;
  std::unique_ptr<MaterialLibrary> library;
  std::unique_ptr<sweep::KeptRecords> records;
  treatment::Case base;
  std::vector<sweep::Column> columns;

  treatment::Case read(const std::vector<records::Setting>& settings) const {
    return treatment::read_case(case_text, case_file, *records, settings);
  }
};

OpenedPlan open_plan(const Options& options) {
  OpenedPlan out;
  const std::string& name = options.sweep.plan;
  const std::string text = read_case_text(name);
  const fs::path folder = fs::path(name).parent_path();
  const auto beside = [&](const std::string& file) { return (folder / file).string(); };
  const auto table = [&](const std::string& file) {
    out.tables.push_back({beside(file), read_case_text(beside(file))});
    return out.tables.back().text;
  };
  const auto stations = [&](const std::string& path) {
    out.case_file = beside(path);
    out.case_text = read_case_text(out.case_file);
    out.library = std::make_unique<MaterialLibrary>(find_materials(options.materials),
                                                    fs::path(out.case_file).parent_path());
    out.records = std::make_unique<sweep::KeptRecords>(*out.library);
    out.base = out.read({});
    return out.base.blade.stations.size();
  };
  out.plan = sweep::read_plan(text, name, table, stations);
  out.columns = sweep::columns_of(out.plan);
  sweep::try_values(out.plan, [&](const auto& settings) { return out.read(settings); });
  return out;
}

/// Of all that makes the rows what they are.
std::string hash_of(const OpenedPlan& opened) {
  std::string all = opened.plan.text + '\0' + opened.case_text + '\0';
  for (const output::InputFile& table : opened.tables)
    all += table.text + '\0';
  std::vector<std::string> records;
  for (const output::InputFile& record : opened.library->handed_out())
    records.push_back(output::sha256_hex(record.text));
  std::sort(records.begin(), records.end());
  for (const std::string& record : records)
    all += record;
  return output::sha256_hex(all);
}

std::string scale_word(answers::Scale scale) {
  return scale == answers::Scale::on_scale     ? "temperature: on_scale"
         : scale == answers::Scale::difference ? "temperature: difference"
                                               : "";
}

output::SweepDetails details_of(const OpenedPlan& opened, const std::string& command_line) {
  output::SweepDetails out;
  out.title = opened.plan.title;
  for (const sweep::Factor& factor : opened.plan.factors) {
    output::SweepAxis axis{factor.name, factor.size, {}};
    for (const sweep::AxisKey& key : factor.keys) {
      output::SweepKey one{key.key, key.unit(), key.says, key.numeric ? key.dimension : "", {}, {}};
      if (key.numeric)
        one.values = key.values;
      else
        for (std::size_t i = 0; i < factor.size; ++i)
          one.labels.push_back(key.label(i));
      axis.keys.push_back(std::move(one));
    }
    out.axes.push_back(std::move(axis));
  }
  std::size_t first = 0;
  const std::size_t stations = opened.base.blade.stations.size();
  for (const sweep::Column& c : opened.columns) {
    out.columns.push_back({c.name, c.unit, c.long_name, scale_word(c.scale),
                           c.figure == nullptr && c.aspect == sweep::Aspect::stated, c.by_station, c.by_zone,
                           first});
    first += c.width(stations);
  }
  for (const treatment::Station& station : opened.base.blade.stations)
    out.stations.push_back(station.name);
  for (int z = 0; z < treatment::zone_count; ++z)
    out.zones.push_back(treatment::zone_name(static_cast<treatment::Zone>(z)));
  output::OutputInfo info;
  info.command_line = command_line;
  info.case_file = opened.case_file;
  const output::Origin origin = output::describe_origin(opened.base, {}, {}, info);
  out.provenance = {{"program", origin.program + " " + origin.version + " (" + origin.commit + ")"},
                    {"created", origin.created},
                    {"command_line", command_line},
                    {"plan", opened.plan.text},
                    {"case_file", opened.case_file},
                    {"case", opened.case_text},
                    {"resolved_case", opened.base.resolved_text},
                    {"compiler", origin.compiler + " " + origin.compiler_flags},
                    {"libraries", origin.libraries}};
  for (const output::InputFile& table : opened.tables)
    out.provenance.emplace_back("table", table.text);
  std::string records;
  for (const output::InputFile& record : opened.library->handed_out())
    records += output::sha256_hex(record.text) + "  " + record.name + "\n";
  out.provenance.emplace_back("records_sha256", records);
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
  const sweep::Shard shard = shard_of(asked.shard);
  if (shard.of > 1 && !asked.csv.empty())
    throw UsageError("--csv: a shard writes its rows only; give it to thinquench join");
  const OpenedPlan opened = open_plan(options);
  fs::path result = asked.result.empty() ? fs::path(asked.plan).stem().string() + ".h5" : asked.result;
  require_writable("--output", result.parent_path());
  const std::string hash = hash_of(opened);
  if (const std::string other = plan_of_result(result); !other.empty() && shard.of == 1) {
    if (other != hash)
      throw records::InputError(result.string() +
                                ": is of another plan (or this one, its case or a record was changed since); "
                                "name another --output, or remove it");
    tell(options, result.string() + " is there, nothing to do");
    return;
  }
  RowsHead head{hash,
                opened.plan.cases(),
                sweep::row_width(opened.columns, opened.base.blade.stations.size()),
                shard.number,
                shard.of,
                details_of(opened, command_line).json()};
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
  require_writable("RESULT", fs::path(asked.result).parent_path());
  std::vector<RowsReader> parts;
  std::vector<bool> there;
  for (const fs::path& path : asked.parts) {
    parts.emplace_back(path);
    const RowsHead& head = parts.back().head();
    const RowsHead& first = parts.front().head();
    if (head.plan_sha256 != first.plan_sha256 || head.cases != first.cases || head.width != first.width)
      throw records::InputError(path.string() + ": is of another plan than " + asked.parts.front().string());
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
