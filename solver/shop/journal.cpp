#include "shop/journal.hpp"

#include "records/characters.hpp"
#include "shop/piece.hpp"
#include "units/quantity.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

namespace tq::shop {
namespace {

using answers::HardnessReading;
using records::InputError;
using records::Node;
using records::toml_string;
using units::formatted, units::trimmed;

// What may stand in an entry: wide enough for any shop, narrow enough to catch a wrong unit or a slip.
constexpr records::Range way_s{0, 600, true}, oil_degC{-40, 400}, bow_range_m{0, 0.5},
    temper_range_degC{80, 720}, hold_range_s{60, 48 * 3600.0}, harden_range_degC{650, 1300},
    soak_range_s{0, 8 * 3600.0}, hrc_range{15, 70}, within_range{0.05, 3},
    piece_range_m{thinnest_piece_m, thickest_piece_m};
constexpr int most_cycles = 20;
constexpr int most_dents = 20;
constexpr const char* firing_word = "[[firing]]";
constexpr const char* coupon_word = "[[coupon]]";

/// Calls f(line, its number from 1) for every line.
template <class F>
void for_each_line(std::string_view text, const F& f) {
  int number = 1;
  for (std::size_t begin = 0; begin < text.size(); ++number) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    f(text.substr(begin, end - begin), number);
    begin = end + 1;
  }
}

/// FNV-1a, 64 bits (Fowler, Noll & Vo): tells whether an entry was changed, protects against nothing.
class Digest {
 public:
  void add(std::string_view text) {
    for (const char ch : text)
      step(static_cast<unsigned char>(ch));
    step('\n');
  }
  std::uint64_t value() const { return value_; }

 private:
  void step(unsigned char byte) {
    value_ ^= byte;
    value_ *= 0x100000001b3ULL;
  }
  std::uint64_t value_ = 0xcbf29ce484222325ULL;
};

/// The only table in the text of an entry. `counted`: the lines before it stand empty, so that messages count
/// as the reader of the file does.
Node table_of(const Journal& journal, const Entry& entry, bool counted) {
  const char* word = entry.kind == Entry::Kind::firing ? "firing" : "coupon";
  const std::string text =
      counted ? std::string(static_cast<std::size_t>(entry.line - 1), '\n') + entry.text : entry.text;
  const Node root = records::parse_document(text, journal.file);
  for (const std::string& key : root.keys())
    if (key != word)
      root.fail(key,
                std::string("has no place behind a [[") + word + "]]; the head of the journal stands first");
  return root.tables(word).at(0);
}

/// What `read` makes of the table of an entry. Parsing empty lines takes longer than the entry far down in a
/// long journal, so they are there only when something is wrong and its line is to be told.
template <class Read>
auto of_table(const Journal& journal, const Entry& entry, const Read& read) {
  try {
    return read(table_of(journal, entry, false));
  } catch (const InputError&) {
    return read(table_of(journal, entry, true));
  }
}

/// A text of the entry, read by `read`; what that throws is told with the key.
template <class Read>
auto by(const Node& at, const char* key, const std::string& text, const Read& read) {
  try {
    return read(text);
  } catch (const std::invalid_argument& error) {
    at.fail(key, error.what());
  }
}

std::vector<HardnessReading> places(const Node& at, const char* key, const std::string& text, bool tempered) {
  return by(at, key, text, [&](const std::string& t) { return read_places(t, tempered); });
}

bool is_date(std::string_view text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-')
    return false;
  for (const std::size_t i : {0, 1, 2, 3, 5, 6, 8, 9})
    if (text[i] < '0' || text[i] > '9')
      return false;
  const int month = (text[5] - '0') * 10 + text[6] - '0', day = (text[8] - '0') * 10 + text[9] - '0';
  return month >= 1 && month <= 12 && day >= 1 && day <= 31;
}

void check_date(const std::string& date, std::vector<std::string>& wrong) {
  if (!date.empty() && !is_date(date))
    wrong.push_back("date: '" + date + "' is no day; write 2026-03-14");
}

std::string places_text(const std::vector<HardnessReading>& readings) {
  std::string text;
  for (const HardnessReading& r : readings)
    text += (text.empty() ? "" : ", ") +
            std::string(treatment::zone_name(static_cast<treatment::Zone>(r.zone))) + " " +
            units::format_number(r.hrc) + " HRC";
  return text;
}

class EntryText {
 public:
  explicit EntryText(const char* word) : text_(std::string("\n") + word + "\n") {}
  void put(const char* key, const std::string& text) {
    if (!text.empty())
      text_ += std::string(key) + " = " + toml_string(text) + "\n";
  }
  void put(const char* key, const std::optional<double>& value, const char* dimension, const char* unit) {
    if (value)
      put(key, units::format_quantity(*value, dimension, unit));
  }
  void put_list(const char* key, const std::vector<std::string>& texts) {
    if (texts.empty())
      return;
    std::string list;
    for (const std::string& text : texts)
      list += (list.empty() ? "" : ", ") + toml_string(text);
    text_ += std::string(key) + " = [" + list + "]\n";
  }
  void put_bare(const std::string& line) { text_ += line + "\n"; }
  std::string text() && { return std::move(text_); }

 private:
  std::string text_;
};

constexpr std::array<const char*, 10> tables_of_a_case = {
    "furnace", "wrap", "surface", "transfer", "bath", "cool", "temper", "wish", "thresholds", "uncertainty"};

void flatten(const Node& table, const std::string& path, std::vector<records::Setting>& out) {
  for (const std::string& key : table.keys()) {
    const std::string value = table.written(key), at = path + "." + key;
    if (!value.empty() && value.front() == '{')
      flatten(table.table(key), at, out);
    else
      out.push_back({at, value});
    table.accept(key);
  }
}

void read_head(std::string_view text, Journal& journal) {
  const Node root = records::parse_document(text, journal.file);
  if (!root.has("format"))
    root.fail("", "is no journal of a shop: format = 1 is missing");
  root.integer("format", {1, 1});
  journal.name = root.text("shop", "");
  if (const auto always = root.optional_table("always"))
    for (const std::string& name : always->keys()) {
      if (std::find(tables_of_a_case.begin(), tables_of_a_case.end(), name) == tables_of_a_case.end()) {
        std::string all;
        for (const char* one : tables_of_a_case)
          all += (all.empty() ? "" : ", ") + std::string(one);
        always->fail(name, "is nothing that stays from blade to blade; allowed: " + all);
      }
      flatten(always->table(name), name, journal.always);
    }
  root.finish();
}

} // namespace

std::size_t Journal::count(Entry::Kind kind) const {
  return static_cast<std::size_t>(
      std::count_if(entries.begin(), entries.end(), [kind](const Entry& e) { return e.kind == kind; }));
}

Journal read_journal(std::string_view text, std::string file) {
  Journal journal;
  journal.file = std::move(file);
  std::string head;
  Digest digest;
  for_each_line(text, [&](std::string_view line, int number) {
    const std::string_view bare = trimmed(line);
    const bool firing = bare.substr(0, 10) == firing_word, coupon = bare.substr(0, 10) == coupon_word;
    if (firing || coupon) {
      Entry entry;
      entry.kind = firing ? Entry::Kind::firing : Entry::Kind::coupon;
      entry.line = number;
      journal.entries.push_back(std::move(entry));
      digest = Digest();
    }
    if (journal.entries.empty()) {
      head.append(line).push_back('\n');
      return;
    }
    Entry& entry = journal.entries.back();
    entry.text.append(line).push_back('\n');
    if (!bare.empty() && bare.front() != '#') {
      digest.add(bare);
      entry.digest = digest.value();
    }
  });
  read_head(head, journal);
  return journal;
}

namespace {

Firing firing_of(const Node& at) {
  Firing f;
  f.date = at.text("date", "");
  f.blade = at.text("blade", "");
  f.case_path = at.text("case");
  f.bar = at.text("bar", "");
  f.station = at.text("station", "");
  if (at.has("set"))
    for (const std::string& text : at.texts("set"))
      f.set.push_back(by(at, "set", text, read_setting));
  f.to_oil_s = at.optional_quantity("seconds_to_oil", "time", way_s);
  f.oil_before_degC = at.optional_quantity("oil_before", "temperature", oil_degC);
  f.oil_after_degC = at.optional_quantity("oil_after", "temperature", oil_degC);
  if (at.has("file"))
    f.file = by(at, "file", at.text("file"), [](const std::string& text) { return read_file_feel(text); });
  f.ground = at.flag("ground", false);
  if (at.has("quenched"))
    f.quenched = places(at, "quenched", at.text("quenched"), false);
  if (at.has("tempered"))
    for (const std::string& text : at.texts("tempered"))
      f.tempered.push_back(places(at, "tempered", text, true));
  f.packet_log = at.text("packet_log", "");
  f.quench_log = at.text("quench_log", "");
  f.coupon_log = at.text("coupon_log", "");
  f.coupon_m = at.optional_quantity("coupon_thickness", "length", piece_range_m);
  f.coupon_hrc = at.optional_quantity("coupon_quenched", "hardness_HRC", hrc_range);
  f.oven_log = at.text("oven_log", "");
  f.bow_m = at.optional_quantity("bow", "length", bow_range_m);
  f.remark = at.text("remark", "");
  at.finish();
  if (const auto wrong = nonsense(f); !wrong.empty())
    at.fail("", wrong.front());
  return f;
}

Coupon coupon_of(const Node& at) {
  Coupon c;
  c.date = at.text("date", "");
  c.steel = at.text("steel");
  c.bar = at.text("bar", "");
  c.temper_degC = at.quantity("temper", "temperature", temper_range_degC);
  c.hold_s = at.quantity("hold", "time", hold_range_s, 3600.0);
  c.cycles = at.integer("cycles", {1, most_cycles}, 1);
  c.hrc = at.quantity("hardness", "hardness_HRC", hrc_range);
  c.dents = at.integer("dents", {1, most_dents}, 1);
  c.block_hrc = at.optional_quantity("block", "hardness_HRC", hrc_range);
  c.block_read_hrc = at.optional_quantity("block_read", "hardness_HRC", hrc_range);
  c.block_within_hrc = at.optional_quantity("block_within", "hardness_HRC", within_range);
  c.harden_degC = at.optional_quantity("harden", "temperature", harden_range_degC);
  c.soak_s = at.optional_quantity("soak", "time", soak_range_s);
  c.remark = at.text("remark", "");
  at.finish();
  if (const auto wrong = nonsense(c); !wrong.empty())
    at.fail("", wrong.front());
  return c;
}

} // namespace

Firing read_firing(const Journal& journal, const Entry& entry) { return of_table(journal, entry, firing_of); }

Coupon read_coupon(const Journal& journal, const Entry& entry) { return of_table(journal, entry, coupon_of); }

std::string new_journal(std::string_view name) {
  return "# The journal of a shop. `thinquench note` writes an entry at its end; anything may be edited.\n"
         "format = 1\nshop = " +
         toml_string(name) +
         "\n\n# What stays from blade to blade, in the words of a case (`thinquench blank`). A case that "
         "says\n"
         "# something else is right, one that says nothing takes it from here. Take the # away:\n"
         "#[always.furnace]\n#setpoint = \"800 degC\"\n#[always.wrap]\n#foil = \"stainless\"\n#fold = \"hand "
         "folded\"\n"
         "#[always.bath]\n#coolant = \"medium-oil\"\n#volume = \"8 L\"\n#[always.temper]\n#oven = \"205 "
         "degC\"\n"
         "#time = \"2 h\"\n#count = 2\n";
}

std::string entry_text(const Firing& f) {
  EntryText lines(firing_word);
  lines.put("date", f.date);
  lines.put("blade", f.blade);
  lines.put("case", f.case_path);
  lines.put("bar", f.bar);
  lines.put("station", f.station);
  std::vector<std::string> set, tempered;
  for (const records::Setting& s : f.set)
    set.push_back(s.path + " = " + s.value);
  lines.put_list("set", set);
  lines.put("seconds_to_oil", f.to_oil_s, "time", "s");
  lines.put("oil_before", f.oil_before_degC, "temperature", "degC");
  lines.put("oil_after", f.oil_after_degC, "temperature", "degC");
  if (f.file)
    lines.put("file", steel::file_feel_name(*f.file));
  if (f.ground)
    lines.put_bare("ground = true");
  lines.put("quenched", places_text(f.quenched));
  for (const auto& one : f.tempered)
    tempered.push_back(places_text(one));
  lines.put_list("tempered", tempered);
  lines.put("packet_log", f.packet_log);
  lines.put("quench_log", f.quench_log);
  lines.put("coupon_log", f.coupon_log);
  lines.put("coupon_thickness", f.coupon_m, "length", "mm");
  lines.put("coupon_quenched", f.coupon_hrc, "hardness_HRC", "HRC");
  lines.put("oven_log", f.oven_log);
  lines.put("bow", f.bow_m, "length", "mm");
  lines.put("remark", f.remark);
  return std::move(lines).text();
}

std::string entry_text(const Coupon& c) {
  EntryText lines(coupon_word);
  lines.put("date", c.date);
  lines.put("steel", c.steel);
  lines.put("bar", c.bar);
  lines.put("temper", c.temper_degC, "temperature", "degC");
  lines.put("hold", c.hold_s, "time", "min");
  lines.put_bare("cycles = " + std::to_string(c.cycles));
  lines.put("hardness", units::format_number(c.hrc) + " HRC");
  if (c.dents > 1)
    lines.put_bare("dents = " + std::to_string(c.dents));
  lines.put("block", c.block_hrc, "hardness_HRC", "HRC");
  lines.put("block_read", c.block_read_hrc, "hardness_HRC", "HRC");
  lines.put("block_within", c.block_within_hrc, "hardness_HRC", "HRC");
  lines.put("harden", c.harden_degC, "temperature", "degC");
  lines.put("soak", c.soak_s, "time", "min");
  lines.put("remark", c.remark);
  return std::move(lines).text();
}

namespace {

/// What is read back of an entry must lie in the ranges it is read with.
void check_range(std::optional<double> value, const records::Range& range, const char* key,
                 const char* dimension, std::vector<std::string>& wrong) {
  if (value && !range.holds(*value))
    wrong.push_back(std::string(key) + ": '" + units::format_quantity(*value, dimension) +
                    "' is out of range; allowed: " + records::allowed(range, dimension));
}

/// A name typed in another encoding would make an entry that is never read. Keys with their texts.
void check_texts(std::initializer_list<std::pair<const char*, std::string_view>> texts,
                 std::vector<std::string>& wrong) {
  const auto whole = [](std::string_view text) {
    for (std::size_t at = 0, length = 0; at < text.size(); at += length) {
      length = records::character_at(text, at).length;
      if (length == 0)
        return false;
    }
    return true;
  };
  for (const auto& [key, text] : texts)
    if (!whole(text))
      wrong.push_back(std::string(key) + ": is no text in UTF-8");
}

} // namespace

std::vector<std::string> nonsense(const Firing& f) {
  std::vector<std::string> wrong;
  check_texts({{"blade", f.blade},
               {"case", f.case_path},
               {"bar", f.bar},
               {"station", f.station},
               {"packet_log", f.packet_log},
               {"quench_log", f.quench_log},
               {"coupon_log", f.coupon_log},
               {"oven_log", f.oven_log},
               {"remark", f.remark}},
              wrong);
  for (const records::Setting& setting : f.set)
    check_texts({{"set", setting.path + setting.value}}, wrong);
  check_date(f.date, wrong);
  if (f.case_path.empty())
    wrong.push_back("case: is missing; the case that the blade was made by is wanted");
  constexpr double cools_K = 2; // a thermometer's reading
  if (f.oil_before_degC && f.oil_after_degC && *f.oil_after_degC < *f.oil_before_degC - cools_K)
    wrong.push_back(
        formatted("oil_after: %g degC is colder than before the blade came (%g degC); no hot blade "
                  "cools its oil",
                  *f.oil_after_degC, *f.oil_before_degC));
  if (f.coupon_log.empty() && (f.coupon_m || f.coupon_hrc))
    wrong.push_back(std::string(f.coupon_m ? "coupon_thickness" : "coupon_quenched") +
                    ": tells nothing without coupon_log, the log of how it cooled");
  if (f.coupon_hrc && !hrc_range.holds(*f.coupon_hrc))
    wrong.push_back(formatted(
        "coupon_quenched: %g HRC is no reading of steel on this scale; allowed: 15 to 70", *f.coupon_hrc));
  check_range(f.coupon_m, piece_range_m, "coupon_thickness", "length", wrong);
  check_range(f.to_oil_s, way_s, "seconds_to_oil", "time", wrong);
  check_range(f.oil_before_degC, oil_degC, "oil_before", "temperature", wrong);
  check_range(f.oil_after_degC, oil_degC, "oil_after", "temperature", wrong);
  check_range(f.bow_m, bow_range_m, "bow", "length", wrong);
  for (const auto* list : {&f.quenched})
    for (const HardnessReading& r : *list)
      if (!hrc_range.holds(r.hrc))
        wrong.push_back(
            formatted("quenched: %g HRC is no reading of steel on this scale; allowed: 15 to 70", r.hrc));
  // no temper hardens but by what its austenite turns to; two readings of one place may differ by 2 HRC
  constexpr double austenite_and_reading_HRC = 4;
  for (const auto& list : f.tempered)
    for (const HardnessReading& r : list) {
      if (r.hrc < hrc_range.least || r.hrc > hrc_range.most)
        wrong.push_back(
            formatted("tempered: %g HRC is no reading of steel on this scale; allowed: 15 to 70", r.hrc));
      for (const HardnessReading& q : f.quenched)
        if (q.zone == r.zone && r.hrc > q.hrc + austenite_and_reading_HRC)
          wrong.push_back(
              formatted("tempered: %g HRC after the temper where %g was read as quenched; no temper "
                        "hardens by so much",
                        r.hrc, q.hrc));
    }
  if (f.file)
    for (const HardnessReading& q : f.quenched)
      if (q.zone == treatment::zone_edge && *f.file == steel::FileFeel::skates && q.hrc < 50)
        wrong.push_back(formatted("file: skates, while the edge reads %g HRC; one of them is wrong", q.hrc));
  return wrong;
}

std::vector<std::string> nonsense(const Coupon& c) {
  std::vector<std::string> wrong;
  check_texts({{"steel", c.steel}, {"bar", c.bar}, {"remark", c.remark}}, wrong);
  check_date(c.date, wrong);
  if (c.steel.empty())
    wrong.push_back("steel: is missing");
  check_range(c.temper_degC, temper_range_degC, "temper", "temperature", wrong);
  check_range(c.hold_s, hold_range_s, "hold", "time", wrong);
  check_range(c.hrc, hrc_range, "hardness", "hardness_HRC", wrong);
  check_range(c.harden_degC, harden_range_degC, "harden", "temperature", wrong);
  check_range(c.soak_s, soak_range_s, "soak", "time", wrong);
  if (c.dents < 1 || c.dents > most_dents)
    wrong.push_back(formatted("dents: %d; allowed: 1 to %d", c.dents, most_dents));
  if (c.block_hrc.has_value() != c.block_read_hrc.has_value())
    wrong.push_back(
        std::string(c.block_hrc ? "block_read" : "block") +
        ": is missing; what is written on the test block and what the tester read of it go together");
  check_range(c.block_within_hrc, within_range, "block_within", "hardness_HRC", wrong);
  if (c.block_within_hrc && !c.block_hrc)
    wrong.push_back("block_within: tells nothing without block and block_read");
  constexpr double broken_HRC = 5;
  if (c.block_hrc && c.block_read_hrc && std::abs(*c.block_hrc - *c.block_read_hrc) > broken_HRC)
    wrong.push_back(
        formatted("block_read: %g HRC on a block of %g HRC; a tester so far off has to be mended first",
                  *c.block_read_hrc, *c.block_hrc));
  if (c.cycles < 1 || c.cycles > most_cycles)
    wrong.push_back(formatted("cycles: %d; allowed: 1 to %d", c.cycles, most_cycles));
  return wrong;
}

std::vector<HardnessReading> read_places(std::string_view text, bool tempered) {
  std::vector<HardnessReading> out;
  for (std::size_t begin = 0; begin <= text.size();) {
    const std::size_t end = std::min(text.find(',', begin), text.size());
    const std::string_view one = trimmed(text.substr(begin, end - begin));
    begin = end + 1;
    const std::size_t gap = one.find(' ');
    std::string names;
    std::optional<std::size_t> zone;
    for (std::size_t z = 0; z < treatment::zone_count; ++z) {
      const std::string name = treatment::zone_name(static_cast<treatment::Zone>(z));
      names += (names.empty() ? "" : ", ") + name;
      if (one.substr(0, gap) == name)
        zone = z;
    }
    if (!zone || gap == std::string_view::npos)
      throw std::invalid_argument(
          "'" + std::string(one) +
          "'; a place and a hardness are expected, like 'spine 58 HRC'; places: " + names);
    HardnessReading r;
    r.zone = *zone;
    r.tempered = tempered;
    r.hrc = units::parse_quantity(one.substr(gap + 1), "hardness_HRC");
    if (r.hrc < hrc_range.least || r.hrc > hrc_range.most)
      throw std::invalid_argument("'" + std::string(one) + "' is no reading of steel; allowed: 15 to 70 HRC");
    out.push_back(r);
  }
  return out;
}

steel::FileFeel read_file_feel(std::string_view text) {
  for (const auto feel : {steel::FileFeel::skates, steel::FileFeel::just_skates, steel::FileFeel::bites})
    if (text == steel::file_feel_name(feel))
      return feel;
  throw std::invalid_argument("'" + std::string(text) + "'; allowed: skates, just skates, bites");
}

records::Setting read_setting(const std::string& text) {
  const auto equals = text.find('=');
  if (equals == std::string::npos || equals == 0)
    throw std::invalid_argument("'" + text + "' is no key=value, like furnace.timer=22 min");
  return {std::string(trimmed(std::string_view(text).substr(0, equals))),
          std::string(trimmed(std::string_view(text).substr(equals + 1)))};
}

std::vector<records::Setting> left_open(const Journal& journal, std::string_view case_text,
                                        const std::string& case_file) {
  std::vector<records::Setting> out;
  if (journal.always.empty())
    return out;
  const Node root = records::parse_document(case_text, case_file);
  if (root.has("step"))
    return out;
  for (const records::Setting& setting : journal.always) {
    const std::size_t dot = setting.path.find('.');
    const std::string table = setting.path.substr(0, dot), key = setting.path.substr(dot + 1);
    const std::string first = key.substr(0, key.find('.'));
    if (root.has(table)) {
      const auto own = root.optional_table(table);
      // a log or a programme says all of its stage
      if (own && (own->has(first) || own->has("log") || own->has("programme")))
        continue;
    }
    out.push_back(setting);
  }
  return out;
}

} // namespace tq::shop
