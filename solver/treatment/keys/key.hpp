// How a key of the case is declared: once, as a line of a table. The table of a struct reads it, writes it
// out resolved, prints it in `thinquench blank` and on the page of all keys, and tells what was assumed.
// Tables do not say where they stand: the same one serves [furnace] and a [[step]] of that kind.
#pragma once

#include "records/document.hpp"
#include "treatment/case_reader.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <set>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

namespace tq::treatment::keys {

using records::Node;
using records::Range;

class Scope;
struct Table;

/// Where the value of a key goes: a member of the struct that the table fills.
struct Slot {
  enum class Holds { own, number, integer, flag, choice, text, list, faces, table, tables };
  Holds holds = Holds::own;
  bool optional = false;                  ///< may stay without a value
  std::function<void*(void*)> address;    ///< of a text, list, array; makes and gives one for tables
  std::function<void(void*, double)> set; ///< of everything that is one value
  std::function<double(const void*)> get; ///< nan: without a value

  Slot() = default;
  template <class S, class V>
  Slot(V S::*member) { // implicit: a key names its member
    const auto at = [member](void* s) -> V& { return static_cast<S*>(s)->*member; };
    address = [at](void* s) -> void* { return &at(s); };
    if constexpr (std::is_same_v<V, std::string>)
      holds = Holds::text;
    else if constexpr (std::is_same_v<V, std::vector<double>>)
      holds = Holds::list;
    else if constexpr (std::is_same_v<V, std::array<double, face_count>>)
      holds = Holds::faces;
    else if constexpr (std::is_same_v<V, std::optional<double>>) {
      holds = Holds::number;
      optional = true;
      set = [at](void* s, double v) { at(s) = v; };
      get = [member](const void* s) {
        return (static_cast<const S*>(s)->*member).value_or(std::numeric_limits<double>::quiet_NaN());
      };
    } else if constexpr (std::is_arithmetic_v<V> || std::is_enum_v<V>) {
      holds = std::is_same_v<V, bool>  ? Holds::flag
              : std::is_same_v<V, int> ? Holds::integer
              : std::is_enum_v<V>      ? Holds::choice
                                       : Holds::number;
      set = [at](void* s, double v) {
        if constexpr (std::is_enum_v<V>)
          at(s) = static_cast<V>(static_cast<int>(v));
        else
          at(s) = static_cast<V>(v);
      };
      get = [member](const void* s) { return static_cast<double>(static_cast<const S*>(s)->*member); };
    } else
      holds = Holds::table;
  }
  template <class S, class T>
  Slot(std::optional<T> S::*member) requires(!std::is_same_v<T, double>)
      : holds(Holds::table), optional(true),
        address([member](void* s) -> void* { return &(static_cast<S*>(s)->*member).emplace(); }) {}
  template <class S, class T>
  Slot(std::vector<T> S::*member) requires(!std::is_same_v<T, double>)
      : holds(Holds::tables),
        address([member](void* s) -> void* { return &(static_cast<S*>(s)->*member).emplace_back(); }) {}
};

inline constexpr std::array<const char*, face_count> face_keys = {"flank_a", "flank_b", "spine", "edge"};

/// The member of a base of S.
template <class S, class B, class V>
Slot in(V B::*member) {
  return Slot(static_cast<V S::*>(member));
}
/// A member that keeps what it has when the key is left out.
inline Slot may(Slot slot) {
  slot.optional = true;
  return slot;
}
/// A member that is told by one of several words.
inline Slot worded(Slot slot) {
  slot.holds = Slot::Holds::choice;
  return slot;
}

/// A word and the value that it stands for (that of the enumeration, or a number).
struct Word {
  const char* word;
  double value;
};
/// Words that stand for 0, 1, 2 ...
std::vector<Word> words(std::initializer_list<const char*> list);
inline std::vector<Word> words(std::initializer_list<Word> list) { return list; }

/// Whether a key has its place beside what else the case says: "" when it has, else why not.
struct Place {
  const char* of =
      nullptr; ///< keys it depends on, parted by spaces; from the top of the case with a "/" before
  std::string (*refused)(const Scope&) = nullptr;
  bool (*holds)(const Scope&) = nullptr; ///< in place of `refused`: whether it has its place ...
  const char* otherwise = "";            ///< ... and what is said when it has not
};

enum class Shown {
  always,
  aside, ///< in the blank case behind a #
  quiet  ///< so too, and left out of the resolved case while it has its default
};

/// One key. Left out it gets `otherwise`, else `usual`; a key with neither is needed, unless its member is
/// optional. Table::key() makes it of the parts below.
struct Key {
  const char* name = "";
  Slot to;
  const char* dimension = ""; ///< of quantities and lists, see units::dimensions(); "" for bare numbers
  Range range{-std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity()};
  std::vector<Word> words;      ///< of a choice; words that may stand for a number
  const char* usual = nullptr;  ///< the default, as a case would write it (without quotes)
  const char* sample = nullptr; ///< what the blank case shows when it is not the default; of keys with a
                                ///< reader of their own as TOML
  Shown shown = Shown::always;
  const char* says = "";                       ///< the explanation
  double (*otherwise)(const Scope&) = nullptr; ///< default by rule
  Place place;
  const char* missing = nullptr;        ///< the message when it is needed, in place of the general one
  bool (*told)(const Scope&) = nullptr; ///< whether it is told what was taken when it was left out ...
  std::string (*assumed)(const Scope&) = nullptr; ///< ... in these lines ("": none), or in this one
  const char* assumption = "";
  Range plausible{0, 0}; ///< a temperature outside of it that would be inside on the other scale is told
  bool (*written)(const Scope&) = nullptr; ///< whether it stands in the resolved case; nothing: yes
  const char* unset = nullptr;             ///< remark in the resolved case when it has no value
  const char* doubt = nullptr;             ///< its key in materials/typical_uncertainty.toml
  const Table& (*table)() = nullptr;       ///< of its sub-tables
  /// Reads a key with a value of its own kind, gives its text in the resolved case ("": it is not written).
  std::string (*own)(Scope&) = nullptr;
  const char* block = nullptr; ///< lines of the blank case in place of its own
};

/// Puts a value into one member of a Key.
template <class T>
struct Piece {
  T Key::*member;
  T value;
};
inline Piece<const char*> as(const char* dimension) { return {&Key::dimension, dimension}; }
inline Piece<Range> from(double least, double most) { return {&Key::range, {least, most}}; }
inline Piece<Range> above(double least, double most) { return {&Key::range, {least, most, true}}; }
inline Piece<Range> plausible(double least, double most) { return {&Key::plausible, {least, most}}; }
inline Piece<const char*> usual(const char* text) { return {&Key::usual, text}; }
inline Piece<const char*> sample(const char* text) { return {&Key::sample, text}; }
inline Piece<double (*)(const Scope&)> rule(double (*f)(const Scope&)) { return {&Key::otherwise, f}; }
inline Place only(const char* of, std::string (*refused)(const Scope&)) { return {of, refused}; }
inline Place only(const char* of, bool (*holds)(const Scope&), const char* otherwise) {
  return {of, nullptr, holds, otherwise};
}
inline Piece<const char*> missing(const char* message) { return {&Key::missing, message}; }
inline Piece<bool (*)(const Scope&)> written(bool (*f)(const Scope&)) { return {&Key::written, f}; }
inline Piece<const char*> unset(const char* remark) { return {&Key::unset, remark}; }
inline Piece<const char*> doubt(const char* key) { return {&Key::doubt, key}; }
inline Piece<const Table& (*)()> below(const Table& (*table)()) { return {&Key::table, table}; }
inline Piece<std::string (*)(Scope&)> own(std::string (*f)(Scope&)) { return {&Key::own, f}; }
inline Piece<const char*> block(const char* lines) { return {&Key::block, lines}; }
struct Tells {
  bool (*when)(const Scope&);
  std::string (*line)(const Scope&);
  const char* text;
};
inline Tells tells(bool (*when)(const Scope&), std::string (*line)(const Scope&)) { return {when, line, ""}; }
inline Tells tells(bool (*when)(const Scope&), const char* text) { return {when, nullptr, text}; }
struct Look {
  Shown shown;
  const char* sample;
};
inline Look aside(const char* sample = nullptr) { return {Shown::aside, sample}; }
inline Look quiet(const char* sample) { return {Shown::quiet, sample}; }

inline void put(Key& k, Slot slot) { k.to = std::move(slot); }
template <class S, class V>
void put(Key& k, V S::*member) {
  k.to = Slot(member);
}
inline void put(Key& k, Range range) { k.range = range; }
inline void put(Key& k, std::vector<Word> words) { k.words = std::move(words); }
inline void put(Key& k, Place place) { k.place = place; }
inline void put(Key& k, const char* says) { k.says = says; }
inline void put(Key& k, Tells t) { k.told = t.when, k.assumed = t.line, k.assumption = t.text; }
inline void put(Key& k, Look look) { k.shown = look.shown, k.sample = look.sample; }
template <class T>
void put(Key& k, Piece<T> part) {
  k.*part.member = part.value;
}
/// A check of several keys. Not made when one of them could not be read.
struct Rule {
  const char* name;
  const char* of; ///< as in Place
  void (*check)(const Scope&);
};

struct Table {
  const char* head = "";   ///< lines above it in the blank case
  const char* remark = ""; ///< behind its heading
  std::vector<Key> keys;
  std::vector<Rule> rules;
  /// Whether it counts although the case does not have it (nothing: yes). Else its defaults are filled in
  /// without a word ...
  bool (*stands)(const Scope&) = nullptr;
  bool whole = false;                             ///< ... or, as a whole, nothing is
  std::string (*assumed)(const Scope&) = nullptr; ///< lines about the table as a whole

  /// Declares a key of these parts, in any order; a bare text is its explanation.
  template <class... Parts>
  void key(const char* name, Parts... parts) {
    keys.emplace_back().name = name;
    (put(keys.back(), std::move(parts)), ...);
  }
  void rule(const char* name, const char* of, void (*check)(const Scope&)) {
    rules.push_back({name, of, check});
  }
};

/// The case while it is read.
struct Reading {
  const RecordSource& records;
  std::string_view text;
  std::string file;
  ShortCase c = {};
  std::vector<records::InputError> problems = {};
  std::vector<int> lines = {};       ///< of the case file, one per problem
  std::set<std::string> unread = {}; ///< paths of the keys that could not be read
};

/// A table of the case while it is read: its node (none when the case leaves it out) and the struct it fills.
class Scope {
 public:
  Scope(Reading& all, const Scope* outer, std::optional<Node> at, std::string path, void* filled)
      : c(all.c), node(std::move(at)), all_(all), outer_(outer), path_(std::move(path)), filled_(filled) {}

  ShortCase& c;
  const std::optional<Node> node;

  template <class S>
  S& is() const {
    return *static_cast<S*>(filled_);
  }
  const std::string& path() const { return path_; }
  Reading& all() const { return all_; }
  const Scope& outer() const { return outer_ ? *outer_ : *this; }
  void* filled() const { return filled_; }

  bool given(std::string_view key) const { return node && node->has(key); }
  bool runs(Part part) const { return std::find(c.stages.begin(), c.stages.end(), part) != c.stages.end(); }
  /// Whether all these keys could be read; as Place::of.
  bool sound(const char* of) const;
  /// Refuses the case because of this key; where the table is left out, because of that.
  [[noreturn]] void fail(std::string_view key, const std::string& message) const;
  /// Does it; what it refuses is kept and told with the rest. `key`: where a record's error is counted.
  bool try_to(std::string_view key, const std::function<void()>& what) const;
  /// Reads a table below this one: its text in the resolved case.
  std::string read(const Table& table, std::optional<Node> at, void* filled, const std::string& heading,
                   std::string name) const;
  /// The text of a record by its key, another name that stands in its title, or its path; the table at
  /// `override_key` laid on it. `name` becomes its key.
  RecordText record(RecordKind kind, std::string_view key, std::string& name,
                    std::string_view override_key) const;

  /// Reads the table of this scope itself; as read().
  std::string fill(const Table& table, const std::string& heading) const;

  mutable std::vector<std::string> told; ///< what was assumed in it

 private:
  Reading& all_;
  const Scope* outer_;
  std::string path_;
  void* filled_;
};

/// Air as a step, with what the case says of the foil.
struct AirForm : Air {
  bool in_foil = false;
};

inline bool always(const Scope&) { return true; }
inline bool heated(const Scope& k) { return k.runs(Part::furnace); }
inline bool moved(const Scope& k) { return k.runs(Part::transfer); }
inline bool quenched(const Scope& k) { return k.runs(Part::bath); }
inline bool cooled(const Scope& k) { return k.runs(Part::cool); }
inline bool tempered(const Scope& k) { return k.runs(Part::temper); }

/// The keys of a log, read by `own`, which calls read_log() when there is one.
void log_keys(Table& table, std::string (*own)(Scope&));
records::LogRecord read_log(const Scope& k);
/// The place of a key that a log takes the place of.
inline Place without_log() {
  return {"log", [](const Scope& k) {
            return std::string(k.given("log") ? "has no place beside a log, which says how hot it was" : "");
          }};
}

/// Reads `hardness`, two values or none: its text in the resolved case.
std::string read_wish(const Scope& k, HardnessWish& wish);
/// Reads `harden`, `soft` and `soft_spine` into `zones`.
void read_wanted_zones(const Scope& k, WantedZones& zones);
/// The zones that are wanted so, as TOML; "" when there are none, or, unless it was `said`, when it goes
/// without saying.
std::string zones_text(const WantedZones& zones, Wanted wanted, bool said = false);

/// Refuses a furnace that is too hot for the foil.
void check_foil_service(const Scope& k);

/// Everything at and below the root.
const Table& case_table();
const Table& start_table();
const Table& blade_table();
const Table& furnace_table();
const Table& wrap_table();
const Table& coat_table();
const Table& surface_table();
const Table& transfer_table();
const Table& bath_table();
const Table& cool_table();
const Table& temper_table();
const Table& wish_table();
const Table& verdict_table();
const Table& uncertainty_table();
const Table& probe_table();
const Table& output_table();
/// Keys of every [[step]].
const Table& step_table();
/// Those of steps that have no table of the short form, with the word for their kind.
std::vector<std::pair<std::string, Table>> step_pages();
/// Every step of the case, read in order: their text in the resolved case.
std::string read_steps(Scope& k);
/// What a step counts as where a key asks for the stages, before it is read.
Part part_of_node(const Node& node);
const Table& solver_table();

/// The table as a part of a case that a person fills in.
std::string blank_text(const Table& table);
/// The table and all below as a page in Markdown.
std::string page_text(const Table& table);

/// The line by which problems are put in order; what was set beside the file comes last.
int order_of(const records::InputError& problem);

/// Four significant digits with the unit, for the lines that people read.
std::string brief(double si, std::string_view dimension, std::string_view unit = {});
/// A temperature in both units: "802.5 degC (1476 degF)".
std::string both_degrees(double degC);
/// A time in the unit in which people say it.
std::string time_text(double s);
/// "a, b, c".
std::string list(const std::vector<std::string>& words);
/// Key and value of one line of the resolved case.
std::string line(std::string_view key, std::string_view value);
/// A list of quantities as TOML.
std::string quantities_text(const std::vector<double>& si, std::string_view dimension);

} // namespace tq::treatment::keys
