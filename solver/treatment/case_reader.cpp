#include "treatment/case_reader.hpp"

#include "treatment/keys/key.hpp"

#include <algorithm>
#include <numeric>
#include <set>

namespace tq::treatment {

const char* record_kind_name(RecordKind kind) {
  switch (kind) {
  case RecordKind::steel:
    return "steel";
  case RecordKind::coolant:
    return "coolant";
  case RecordKind::foil:
    return "foil";
  case RecordKind::solid:
    return "solid";
  case RecordKind::phases:
    return "phases";
  case RecordKind::uncertainty:
    return "uncertainty";
  case RecordKind::strains:
    return "strains";
  case RecordKind::log:
    return "log";
  case RecordKind::temper_model:
    return "temper_model";
  }
  return "";
}

bool is_record_path(std::string_view name) {
  constexpr std::string_view ending = ".toml";
  return name.find('/') != std::string_view::npos ||
         (name.size() > ending.size() && name.substr(name.size() - ending.size()) == ending);
}

namespace {

/// Everything that was refused, one line each in the order of the file.
[[noreturn]] void refuse(const keys::Reading& reading) {
  std::vector<std::size_t> order(reading.problems.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return reading.lines[a] < reading.lines[b]; });
  std::set<std::string> told;
  std::string text;
  for (std::size_t i : order)
    if (const std::string message = reading.problems[i].what(); told.insert(message).second)
      text += (text.empty() ? "" : "\n") + message;
  throw records::InputError(text);
}

} // namespace

Case read_case(std::string_view text, std::string file, const RecordSource& records,
               const std::vector<records::Setting>& settings) {
  const records::Node root = records::parse_document(text, file, settings);
  keys::Reading reading{records, text, std::move(file)};
  reading.c.source_text = text;
  const keys::Scope scope(reading, nullptr, root, "", &reading.c);
  reading.c.resolved_text = "# A case with every default written out.\n" + scope.fill(keys::case_table(), "");
  for (const records::InputError& unknown : root.unknown_keys()) {
    reading.lines.push_back(keys::order_of(unknown));
    reading.problems.push_back(unknown);
  }
  if (!reading.problems.empty())
    refuse(reading);
  reading.c.furnace.start_degC = reading.c.start.temperature_degC;
  if (!root.has("step"))
    reading.c.steps = usual_steps(reading.c);
  return static_cast<Case&&>(reading.c);
}

std::string case_template() { return keys::blank_text(keys::case_table()); }

std::string key_page() { return keys::page_text(keys::case_table()); }

} // namespace tq::treatment
