#include "program/open_plan.hpp"

#include "output/files/sweep_file.hpp"
#include "output/sha256.hpp"
#include "records/document.hpp"

#include <algorithm>

namespace tq::program {

namespace fs = std::filesystem;

namespace {

constexpr std::size_t most_tried = 100; ///< cases of some 30 kB

std::string key_of(const std::vector<records::Setting>& settings) {
  std::string key;
  for (const records::Setting& s : settings)
    key += s.path + '\0' + s.value + '\0';
  return key;
}

/// A key that the plan changes may not be set beside it: one of the two would be lost.
void refuse_axes(const OpenedPlan& opened) {
  for (const records::Setting& setting : opened.set)
    for (const sweep::Factor& factor : opened.plan.factors)
      for (const sweep::AxisKey& key : factor.keys)
        if (key.key == setting.path || std::count(key.paths.begin(), key.paths.end(), setting.path) > 0)
          throw records::InputError("--set: '" + setting.path + "' is what the plan changes (" +
                                    opened.plan.file + ":" + std::to_string(key.line) +
                                    "); leave out one of them");
}

} // namespace

void TriedCases::keep(const std::vector<records::Setting>& settings, treatment::Case c) {
  const std::lock_guard lock(guard_);
  if (kept_.size() < most_tried)
    kept_.emplace(key_of(settings), std::move(c));
}

std::optional<treatment::Case> TriedCases::take(const std::vector<records::Setting>& settings) {
  const std::lock_guard lock(guard_);
  auto found = kept_.empty() ? kept_.end() : kept_.find(key_of(settings));
  if (found == kept_.end())
    return {};
  std::optional<treatment::Case> out(std::move(found->second));
  kept_.erase(found);
  return out;
}

OpenedPlan open_plan(const std::string& name, const std::optional<fs::path>& materials,
                     std::vector<records::Setting> set) {
  OpenedPlan out;
  out.set = std::move(set);
  out.tried = std::make_unique<TriedCases>();
  const std::string text = read_case_text(name);
  const fs::path folder = fs::path(name).parent_path();
  const auto beside = [&](const std::string& file) { return (folder / file).string(); };
  const auto table = [&](const std::string& file) {
    expect_named(beside(file), ".csv");
    out.tables.push_back({beside(file), read_case_text(beside(file))});
    return out.tables.back().text;
  };
  const auto stations = [&](const std::string& path) {
    out.case_file = beside(path);
    expect_named(out.case_file, ".toml");
    out.case_text = read_case_text(out.case_file);
    out.library =
        std::make_unique<MaterialLibrary>(find_materials(materials), fs::path(out.case_file).parent_path());
    out.records = std::make_unique<sweep::KeptRecords>(*out.library);
    out.base = out.read({});
    return out.base.blade.stations.size();
  };
  out.plan = sweep::read_plan(text, name, table, stations);
  refuse_axes(out);
  out.columns = sweep::columns_of(out.plan);
  sweep::try_values(out.plan, [&](const auto& settings) {
    treatment::Case c = out.read(settings);
    out.tried->keep(settings, c);
    return c;
  });
  return out;
}

namespace {

/// Of all that makes the rows what they are: a program with another solver may give other digits, and rows of
/// two would stand side by side in one result.
std::string hash_of(const OpenedPlan& opened) {
  std::string all = output::solver_digest() + '\0' + opened.plan.text + '\0' + opened.case_text + '\0';
  for (const output::InputFile& table : opened.tables)
    all += table.text + '\0';
  all += key_of(opened.set);
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

} // namespace

output::RowsHead rows_head(const OpenedPlan& opened, const sweep::Shard& shard,
                           const std::string& command_line) {
  return {hash_of(opened),
          opened.plan.cases(),
          sweep::row_width(opened.columns, opened.base.blade.stations.size()),
          shard.number,
          shard.of,
          details_of(opened, command_line).json()};
}

} // namespace tq::program
