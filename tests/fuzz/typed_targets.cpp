#include "typed_targets.hpp"

#include "kept_records.hpp"
#include "promise.hpp"
#include "shop/journal.hpp"
#include "shop/noting.hpp"
#include "sweep/columns.hpp"
#include "sweep/plan.hpp"
#include "treatment/case_reader.hpp"

#include <cmath>
#include <vector>

namespace tq::test {
namespace {

/// At most `most` lines, the last one to the end of the text.
std::vector<std::string> lines_of(std::string_view text, std::size_t most) {
  std::vector<std::string> out;
  while (out.size() < most && !text.empty()) {
    const std::size_t end = out.size() + 1 < most ? std::min(text.find('\n'), text.size()) : text.size();
    out.emplace_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return out;
}

} // namespace

void read_as_plan(std::string_view text) {
  const std::size_t parted = std::min(text.find('\0'), text.size());
  const std::string table(text.substr(std::min(parted + 1, text.size())));
  refused_or_read([&] {
    const sweep::Plan plan = sweep::read_plan(
        text.substr(0, parted), "plan.toml", [&](const std::string&) { return table; },
        [](const std::string&) { return std::size_t{2}; });
    sweep::columns_of(plan);
    const std::size_t last = plan.cases() - 1;
    hold(plan.cases() >= 1 && plan.cases() <= sweep::most_cases, "a plan has from 1 to 1e8 cases");
    hold(plan.number(plan.places(last)) == last, "a case is found again by its place");
    for (const records::Setting& setting : plan.settings(last))
      hold(!setting.path.empty() || !setting.value.empty(), "a setting says something");
    for (const sweep::Factor& factor : plan.factors)
      for (const sweep::AxisKey& key : factor.keys)
        if (key.numeric && !key.values.empty())
          hold(std::isfinite(key.values.front()) && std::isfinite(key.values.back()), "values are finite");
  });
}

void read_as_settings(std::string_view text) {
  static const KeptRecords records;
  static const std::string base =
      without_remarks(read_file(std::filesystem::path(TQ_SOURCE_DIR) / "cases/two_blades_1084.toml").value());
  std::vector<records::Setting> settings;
  for (const std::string& line : lines_of(text, 4)) {
    const std::size_t equals = std::min(line.find('='), line.size());
    settings.push_back({line.substr(0, equals), line.substr(std::min(equals + 1, line.size()))});
  }
  refused_or_read([&] {
    const treatment::Case c = treatment::read_case(base, "f.toml", records, settings);
    hold(treatment::read_case(c.resolved_text, "resolved.toml", records).resolved_text == c.resolved_text,
         "a resolved case reads back to itself");
  });
}

/// Writes down what was typed, line by line, as answers to the questions, and reads it back.
template <class EntryOf, class Read>
void written_and_read(std::string_view text, const std::vector<shop::Asked>& asked, EntryOf entry,
                      Read read) {
  const std::vector<std::string> lines = lines_of(text, asked.size());
  for (std::size_t i = 0; i < lines.size(); ++i)
    try {
      shop::note_down(entry, asked[i], lines[i]);
    } catch (const std::invalid_argument& error) {
      check_message(error.what());
    }
  for (const std::string& why : shop::nonsense(entry))
    check_message(why);
  const std::string written = "format = 1\n" + shop::entry_text(entry);
  try {
    const shop::Journal journal = shop::read_journal(written, "written.toml");
    hold(journal.entries.size() == 1, "one entry is written");
    hold("format = 1\n" + shop::entry_text(read(journal, journal.entries[0])) == written,
         "what is written down reads back to itself");
  } catch (const records::InputError& error) {
    hold(!shop::nonsense(entry).empty(), error.what());
  }
}

void read_as_readings(std::string_view text) {
  shop::Firing firing;
  firing.case_path = "case.toml";
  written_and_read(text, shop::asked_of_a_blade(), firing, shop::read_firing);
  shop::Coupon coupon;
  coupon.steel = "O1";
  written_and_read(text, shop::asked_of_a_coupon(), coupon, shop::read_coupon);
}

} // namespace tq::test
