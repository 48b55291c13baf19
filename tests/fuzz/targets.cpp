#include "targets.hpp"

#include "plain_target.hpp"
#include "promise.hpp"
#include "quantity_target.hpp"

#include "../support/file_records.hpp"
#include "program/cooling_curve.hpp"
#include "records/csv.hpp"
#include "records/read_coolant.hpp"
#include "records/read_faults.hpp"
#include "records/read_foil.hpp"
#include "records/read_log.hpp"
#include "records/read_probe.hpp"
#include "records/read_solid.hpp"
#include "records/read_steel.hpp"
#include "records/read_strains.hpp"
#include "records/read_uncertainty.hpp"
#include "shop/belief.hpp"
#include "shop/journal.hpp"
#include "steel/temper_model.hpp"
#include "treatment/case_reader.hpp"
#include "treatment/read_records.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <map>

namespace tq::test {
namespace {

template <class Read>
void refused_or_read(const Read& read) {
  try {
    read();
  } catch (const records::InputError& error) {
    check_message(error.what(), true);
  } catch (const units::QuantityError& error) {
    check_message(error.what());
  }
}

/// Without the lines that are remarks alone: what is read is the same, and reads in half the time.
std::string without_remarks(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size() - 1) + 1;
    if (text.front() != '#')
      out += text.substr(0, end);
    text.remove_prefix(end);
  }
  return out;
}

/// The shipped records, read from the disk once; nothing of what a case names grows in memory.
class KeptRecords : public treatment::RecordSource {
 public:
  std::optional<treatment::RecordText> shipped(treatment::RecordKind kind,
                                               const std::string& key) const override {
    const auto& texts = texts_of(kind);
    const auto found = texts.find(key);
    return found == texts.end() ? std::nullopt : std::optional(found->second);
  }
  std::optional<treatment::RecordText> at_path(treatment::RecordKind, const std::string&) const override {
    return std::nullopt;
  }
  std::vector<std::string> keys(treatment::RecordKind kind) const override {
    std::vector<std::string> out;
    for (const auto& one : texts_of(kind))
      out.push_back(one.first);
    return out;
  }
  treatment::ReadRecords* kept() const override { return &read_; }

 private:
  using Texts = std::map<std::string, treatment::RecordText>;
  const Texts& texts_of(treatment::RecordKind kind) const {
    const auto place = kept_.try_emplace(kind);
    if (place.second)
      for (const std::string& key : files_.keys(kind))
        if (auto record = files_.shipped(kind, key)) {
          record->text = without_remarks(record->text);
          place.first->second.emplace(key, std::move(*record));
        }
    return place.first->second;
  }

  FileRecords files_;
  mutable std::map<treatment::RecordKind, Texts> kept_;
  mutable treatment::ReadRecords read_;
};

void read_as_case(std::string_view text) {
  static const KeptRecords records;
  refused_or_read([&] {
    const treatment::Case c = treatment::read_case(text, "f.toml", records);
    // what is resolved reads back to itself
    const treatment::Case back = treatment::read_case(c.resolved_text, "resolved.toml", records);
    hold(back.resolved_text == c.resolved_text, "a resolved case reads back to itself");
  });
}

void read_as_rows(std::string_view text) {
  refused_or_read([&] {
    const records::CsvTable table = records::read_csv(text, "f.csv");
    for (const auto& row : table.rows) {
      hold(row.size() == table.heading.size(), "a row has as many cells as the heading");
      for (const std::string& cell : row)
        records::csv_cell(cell, table.separator);
    }
  });
}

void read_as_trace(std::string_view text) {
  refused_or_read([&] {
    const auto readings = program::read_trace(text, "f.csv", 0);
    for (std::size_t n = 1; n < readings.time_s.size(); ++n)
      hold(readings.time_s[n] > readings.time_s[n - 1] && std::abs(readings.sensor_degC[n]) < 2000,
           "times ascend and temperatures are sane");
  });
}

void read_as_log(std::string_view text) {
  refused_or_read([&] {
    const records::LogRecord log = records::read_log(text, "f.csv");
    hold(log.time_s.size() >= 2 && log.time_s.size() <= 200 && log.time_s.front() == 0 &&
             log.temperature_degC.size() == log.time_s.size(),
         "a log has from 2 to 200 corners and begins at 0");
    for (std::size_t n = 0; n < log.time_s.size(); ++n)
      hold((n == 0 || log.time_s[n] > log.time_s[n - 1]) && log.time_s[n] < 2e6 &&
               std::abs(log.temperature_degC[n]) <= 1400,
           "times ascend and temperatures are sane");
    hold(log.level_degC >= -50 && log.level_degC <= 1400, "the level lies among the readings");
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

void read_as_belief(std::string_view text) {
  const shop::Belief belief = shop::read_belief(text, "v");
  hold(static_cast<std::size_t>(belief.mean().size()) == belief.size(), "a belief has a mean for each score");
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
}};

const FuzzTarget* fuzz_target(std::string_view name) {
  for (const FuzzTarget& target : fuzz_targets)
    if (name == target.name)
      return &target;
  return nullptr;
}

} // namespace tq::test
