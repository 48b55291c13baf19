// The journal of a shop: one TOML text that its owner can read and edit. What stays the same stands at its
// head, then one [[firing]] for every blade and one [[coupon]] for every tempered piece, as they were written
// down. No file is opened here.
#pragma once

#include "answers/explain.hpp"
#include "records/document.hpp"
#include "steel/reading.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tq::shop {

/// One blade: what was set and what was read. Paths count from the folder of the journal.
struct Firing {
  std::string date;                  ///< "2026-03-14", may be empty
  std::string blade;                 ///< its name, may be empty
  std::string case_path;             ///< the case it was made by
  std::string bar;                   ///< of the steel; empty: any bar of its steel
  std::string station;               ///< that was read; empty: the first
  std::vector<records::Setting> set; ///< what was set otherwise than in the case
  std::optional<double> to_oil_s;    ///< from the furnace to the oil, by a watch or a film
  std::optional<double> oil_before_degC, oil_after_degC;
  std::optional<steel::FileFeel> file; ///< at the edge, as quenched
  bool ground = false;                 ///< 0.1 to 0.2 mm of skin was off before it was read
  std::vector<answers::HardnessReading> quenched;
  std::vector<std::vector<answers::HardnessReading>> tempered; ///< after each temper
  std::string packet_log, coupon_log, oven_log;                ///< CSV; empty: none
  std::string quench_log; ///< CSV of a thermocouple on the blade through the oil; empty: none
  /// Of the coupon of coupon_log: its thickness, a flat piece of the bar that went into the oil bare; its
  /// hardness as quenched, however it was cooled.
  std::optional<double> coupon_m, coupon_hrc;
  std::optional<double> bow_m;
  std::string remark;
};

/// A hardened piece that was tempered and read.
struct Coupon {
  std::string date;
  std::string steel; ///< key or path, as in a case
  std::string bar;   ///< empty: any bar of its steel
  double temper_degC = 0, hold_s = 3600;
  int cycles = 1;
  double hrc = 0; ///< the mean of so many dents
  int dents = 1;
  /// A test block: what is written on it and what the tester read of it, beside the coupon.
  std::optional<double> block_hrc, block_read_hrc;
  std::optional<double> block_within_hrc;    ///< uncertainty on its certificate, 95 % (k = 2)
  std::optional<double> harden_degC, soak_s; ///< otherwise the usual ones
  std::string remark;
};

/// An entry as it stands in the journal.
struct Entry {
  enum class Kind { firing, coupon };
  Kind kind = Kind::firing;
  int line = 0;             ///< on which it begins
  std::uint64_t digest = 0; ///< of its lines without blanks and remarks of their own
  std::string text;
};

struct Journal {
  std::string file; ///< for messages
  std::string name; ///< of the shop
  /// Keys of a case, as --set writes them, for what a case does not say itself.
  std::vector<records::Setting> always;
  std::vector<Entry> entries; ///< in the order of the file

  std::size_t count(Entry::Kind kind) const;
};

/// Splits a journal into head and entries; of the entries nothing is read but where they begin, so that a
/// thousand cost no more than the reading of the file. Throws records::InputError where the head is wrong.
Journal read_journal(std::string_view text, std::string file);
/// Throws records::InputError: file, line, key, what was read, what is allowed.
Firing read_firing(const Journal& journal, const Entry& entry);
Coupon read_coupon(const Journal& journal, const Entry& entry);

/// The head of a new journal, every line explained.
std::string new_journal(std::string_view name);
/// An entry as the journal writes it, beginning with an empty line.
std::string entry_text(const Firing& firing);
std::string entry_text(const Coupon& coupon);

/// Why an entry cannot be true, one line each; empty when it can.
std::vector<std::string> nonsense(const Firing& firing);
std::vector<std::string> nonsense(const Coupon& coupon);

/// "spine 58 HRC, edge 61 HRC". Throws std::invalid_argument that says what is wrong.
std::vector<answers::HardnessReading> read_places(std::string_view text, bool tempered);
/// "skates", "just skates", "bites". Throws std::invalid_argument.
steel::FileFeel read_file_feel(std::string_view text);
/// "key = value" as a setting. Throws std::invalid_argument.
records::Setting read_setting(const std::string& text);

/// The settings of `always` that a case with this text leaves open: what it says itself stands, and where it
/// tells its steps one by one nothing is laid under it.
std::vector<records::Setting> left_open(const Journal& journal, std::string_view case_text,
                                        const std::string& case_file);

} // namespace tq::shop
