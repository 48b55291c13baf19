#include "records/read_faults.hpp"

#include "records/document.hpp"
#include "units/math.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tq::records {
namespace {

constexpr Range odds_range{0, 100};
const std::vector<std::string> fault_dimensions{"temperature_difference", "time",  "percent", "factor",
                                                "hardness_HRC",           "number"};
const std::vector<std::string> read_words{"", "file_ground", "file_spine", "tester_thickest"};

std::string with_figure(std::string text, const std::string& mark, const std::string& figure) {
  if (const std::size_t at = text.find(mark); at != std::string::npos)
    text.replace(at, mark.size(), figure);
  return text;
}

FaultEntry read_fault(const Node& all, const std::string& key, const std::vector<std::string>& groups) {
  const Node node = all.table(key);
  FaultEntry f;
  f.key = key;
  f.name = node.text("name");
  f.remedy = node.text("remedy");
  f.group = node.choice("group", groups);
  f.odds = node.number("odds", odds_range);
  f.odds_where_felt = node.number("odds_where_felt", odds_range, f.odds);
  f.tester_share = node.number("tester_share", {0, 1}, 1);
  node.text("source");
  const std::string dimension = node.choice("dimension", fault_dimensions);
  f.ratio = dimension == "factor";
  const bool bare = f.ratio || dimension == "number";
  const auto value = [&](const char* end) {
    return bare                     ? node.number(end, {f.ratio ? 1.0 : 0.0, 1000})
           : dimension == "percent" ? node.quantity(end, dimension, {0, 1})
                                    : node.quantity(end, dimension, {0, 300});
  };
  f.from = value("from");
  f.to = value("to");
  if (!(f.to > f.from))
    node.fail("to", "the end of the range must be more than its beginning");
  const auto figure = [&](double x) {
    return bare ? units::format_number(x) : units::format_quantity(x, dimension);
  };
  // "15 to 60 K", not "15 K to 60 K"
  const std::string to = figure(f.to), unit = to.substr(std::min(to.find(' '), to.size()));
  std::string from = figure(f.from);
  if (!unit.empty() && from.size() > unit.size() &&
      from.compare(from.size() - unit.size(), unit.size(), unit) == 0)
    from.erase(from.size() - unit.size());
  f.name = with_figure(with_figure(f.name, "{from}", from), "{to}", to);
  return f;
}

FaultTest read_test(const Node& all, const std::string& key, const FaultRecord& record) {
  const Node node = all.table(key);
  FaultTest t;
  t.key = key;
  t.text = node.text("text");
  t.effort = node.integer("effort", {1, 3});
  const std::string reads = node.choice("reads", read_words, "");
  t.reads = static_cast<FaultTest::Reads>(std::find(read_words.begin(), read_words.end(), reads) -
                                          read_words.begin());
  if (t.reads != FaultTest::Reads::nothing)
    return t;
  t.finds = node.texts("finds");
  t.sure = node.number("sure", {0.5, 1});
  for (const std::string& found : t.finds)
    if (found != "something_else" && found != "at_limit" && record.find(found) == nullptr)
      node.fail("finds", "'" + found + "' is none of the faults of this file");
  return t;
}

} // namespace

double FaultEntry::at(double share) const {
  return ratio ? from * math::pow(to / from, share) : from + (to - from) * share;
}

const FaultEntry* FaultRecord::find(const std::string& key) const {
  const auto found =
      std::find_if(faults.begin(), faults.end(), [&](const FaultEntry& f) { return f.key == key; });
  return found == faults.end() ? nullptr : &*found;
}

FaultRecord read_faults(std::string_view text, std::string file) {
  const Node root = parse_document(text, std::move(file));
  FaultRecord record;
  const Node reading = root.table("reading");
  record.reading.tester_HRC = reading.quantity("tester", "hardness_HRC", {0.1, 10});
  record.reading.file_HRC = reading.quantity("file", "hardness_HRC", {0.1, 10});
  record.reading.place_HRC = reading.quantity("place", "hardness_HRC", {0, 10});
  record.reading.mixture = reading.quantity("mixture", "percent", {0, 1});
  record.reading.something_else = reading.number("something_else", odds_range);
  record.reading.something_else_remedy = reading.text("something_else_remedy");
  record.reading.at_limit = reading.text("at_limit");
  record.reading.at_limit_remedy = reading.text("at_limit_remedy");
  reading.text("source");
  const Node groups = root.table("group");
  for (const std::string& key : groups.keys())
    record.groups.push_back({key, groups.text(key)});
  if (const auto keys = groups.keys(); std::find(keys.begin(), keys.end(), "quench") == keys.end())
    groups.fail("quench", "missing; a quench at its limit belongs to it");
  const Node faults = root.table("fault"), tests = root.table("test");
  for (const std::string& key : faults.keys())
    record.faults.push_back(read_fault(faults, key, groups.keys()));
  for (const std::string& key : tests.keys())
    record.tests.push_back(read_test(tests, key, record));
  root.finish();
  return record;
}

} // namespace tq::records
