#include "targets.hpp"

#include "kept_records.hpp"
#include "plain_target.hpp"
#include "promise.hpp"
#include "quantity_target.hpp"
#include "table_targets.hpp"
#include "typed_targets.hpp"

#include "records/read_coolant.hpp"
#include "records/read_faults.hpp"
#include "records/read_foil.hpp"
#include "records/read_probe.hpp"
#include "records/read_solid.hpp"
#include "records/read_steel.hpp"
#include "records/read_strains.hpp"
#include "records/read_uncertainty.hpp"
#include "shop/journal.hpp"
#include "steel/temper_model.hpp"
#include "treatment/case_reader.hpp"
#include "units/quantity.hpp"

namespace tq::test {
namespace {

void read_as_case(std::string_view text) {
  static const KeptRecords records;
  refused_or_read([&] {
    const treatment::Case c = treatment::read_case(text, "f.toml", records);
    // what is resolved reads back to itself
    const treatment::Case back = treatment::read_case(c.resolved_text, "resolved.toml", records);
    hold(back.resolved_text == c.resolved_text, "a resolved case reads back to itself");
  });
}

void read_as_steel(std::string_view text) {
  static const records::Phases phases = [] {
    const auto record = FileRecords().shipped(treatment::RecordKind::phases, "phases");
    return records::read_phases(record->text, record->file);
  }();
  refused_or_read([&] { records::read_steel(text, "f.toml", phases); });
}

void read_as_journal(std::string_view text) {
  refused_or_read([&] {
    const shop::Journal journal = shop::read_journal(text, "f.toml");
    shop::left_open(journal, "format = 1\n", "case.toml");
    for (const shop::Entry& entry : journal.entries)
      refused_or_read([&] {
        // what is written of an entry reads back to the same
        const auto again = [](const std::string& written) {
          return shop::read_journal("format = 1\n" + written, "again.toml");
        };
        if (entry.kind == shop::Entry::Kind::firing) {
          const std::string written = shop::entry_text(shop::read_firing(journal, entry));
          const shop::Journal back = again(written);
          hold(back.entries.size() == 1 &&
                   shop::entry_text(shop::read_firing(back, back.entries[0])) == written,
               "a firing reads back to itself");
        } else {
          const std::string written = shop::entry_text(shop::read_coupon(journal, entry));
          const shop::Journal back = again(written);
          hold(back.entries.size() == 1 &&
                   shop::entry_text(shop::read_coupon(back, back.entries[0])) == written,
               "a coupon reads back to itself");
        }
      });
  });
}

template <auto Read>
void read_as(std::string_view text) {
  refused_or_read([&] { Read(text, std::string("f.toml")); });
}

void read_as_coolant(std::string_view text) {
  for (const auto state : {records::OilState::fresh, records::OilState::used, records::OilState::old})
    refused_or_read([&] { (void)records::read_coolant(text, "f.toml", state); });
}

} // namespace

const std::array<FuzzTarget, fuzz_targets_count> fuzz_targets{{
    {"case", read_as_case, true},
    {"steel", read_as_steel, true},
    {"coolant", read_as_coolant, true},
    {"foil", read_as<records::read_foil>, true},
    {"probe", read_as<records::read_probe>, true},
    {"solid", read_as<records::read_solid>, true},
    {"strains", read_as<records::read_strains>, true},
    {"uncertainty", read_as<records::read_uncertainty>, true},
    {"faults", read_as<records::read_faults>, true},
    {"plain", read_as_plain, true},
    {"quantity", read_as_quantity, false},
    {"rows", read_as_rows, false},
    {"trace", read_as_trace, false},
    {"log", read_as_log, false},
    {"journal", read_as_journal, true},
    {"belief", read_as_belief, false},
    {"plan", read_as_plan, true},
    {"settings", read_as_settings, false},
    {"readings", read_as_readings, false},
}};

const FuzzTarget* fuzz_target(std::string_view name) {
  for (const FuzzTarget& target : fuzz_targets)
    if (name == target.name)
      return &target;
  return nullptr;
}

} // namespace tq::test
