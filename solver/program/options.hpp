// The command line: its options, its help and its complaints.
#pragma once

#include "output/files/write_results.hpp"
#include "program/sweep_options.hpp"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <stdexcept>
#include <string>
#include <variant>
#include <vector>

namespace tq::program {

/// A command line that makes no sense; what() is one line. Maps to exit code 2.
class UsageError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// A verdict is as bad as --fail-on says, all else being done. Maps to exit code 4.
class VerdictError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// Ended by Ctrl-C with something kept; what() says what. Maps to exit code 130.
class Stopped : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

enum class Command {
  harden,
  check,
  stock,
  ask,
  blank,
  find,
  what_if,
  compare,
  differ,
  oil,
  explain,
  new_case,
  note,
  shop,
  sweep,
  join,
  map,
  jominy
};

/// Values of ask as they were typed; empty when they were not.
struct AskOptions {
  std::vector<std::string> steel; ///< a key, a path, or the words of a composition
  std::string harden, soak, start, cool_to, temper, hold, flash, flash_time;
  int cycles = 1;
  bool diagram = false; ///< the transformation diagram alone, as CSV
  std::string csv;      ///< file of rows, "-" for standard input
  std::string measured; ///< with csv: its column of measured hardness, which corrects the other rows
};

/// Values of jominy as they were typed; empty when they were not.
struct JominyOptions {
  std::vector<std::string> steel; ///< a key, a path, or the words of a composition; empty: all on the shelf
  std::string harden, drawing;
};

/// A case told on the command line, as it was typed; empty where nothing was said.
struct OneLine {
  std::string steel, spine, edge, width, length, grind, bevel_height;
  std::string setpoint, timer, soak, gap, transfer, oil, bath, volume, oven, temper_time, tempers, hardness;
  bool bare = false, foil_in_oil = false, soft_spine = false;
};

/// Values of find and compare as they were typed.
struct SearchOptions {
  std::string question, wish, spine_at_most, blades;
  bool list = false, fahrenheit = false, bands = false;
  std::string oils, baths, transfers, spines, steels; ///< parted by commas
};

/// Values of oil as they were typed; empty when they were not.
struct OilOptions {
  std::string max_rate, at, rate_300, time_600, time_400, time_200; ///< figures of the sheet
  std::string tests;                                                ///< of which they are means
  std::string ball, bath, flash;
  std::string trace, immersed, start, lag, coupon, material; ///< a measured curve, and in what
  std::string lumped;                                        ///< record with a lumped table to convert
  std::string like, name, out;
};

/// Values of explain as they were typed; empty when they were not.
struct ExplainOptions {
  std::string quenched, tempered; ///< readings parted by commas: "spine 58 HRC, edge 61 HRC"
  std::string file, file_ground;  ///< "skates", or with places: "edge skates, spine bites"
  std::string tester, station;
  bool ground = false;
  int members = 64; ///< times that each fault is drawn
  std::uint64_t seed = 1;
};

/// Values of note as they were typed; empty when they were not.
struct NoteOptions {
  std::string date, blade, bar, station, seconds, oil_before, oil_after, file, quenched, packet_log,
      quench_log, coupon_log, coupon_thickness, coupon_quenched, oven_log, bow, remark;
  std::vector<std::string> tempered; ///< after each temper
  std::string coupon, temper, hold, read, block, block_read, block_within, harden, soak; ///< of a coupon
  int cycles = 1, dents = 1;
  bool ground = false;
};

/// Which journal of a shop is used, and what is asked about it.
struct ShopOptions {
  std::optional<std::filesystem::path> file; ///< when named
  bool none = false;
  std::string bar;  ///< of the steel in hand
  std::string next; ///< shop: the figure that the next reading shall narrow
};

struct Options {
  Command command = Command::harden;
  std::string case_path;             ///< harden, check: the case file, "-" for standard input
  std::string wanted;                ///< stock: a kind of record, a key, or empty for all
  bool keys = false;                 ///< stock: only the keys; blank: the page of all keys
  std::vector<std::string> settings; ///< "key=value" laid on the case
  bool gaps = false;                 ///< stock: what a steel record leaves open
  AskOptions ask;                    ///< ask: the question
  JominyOptions jominy;              ///< jominy: the bar
  OneLine one_line;                  ///< find, what-if, compare: instead of a case file
  SearchOptions search;              ///< find, compare
  std::string other_case_path;       ///< differ: the second case file
  ExplainOptions explain;            ///< explain: what was read
  OilOptions oil;                    ///< oil: the test
  NoteOptions note;                  ///< note: what was set and read
  ShopOptions shop;
  SweepOptions sweep;                             ///< sweep, join, map
  std::filesystem::path output = "out";           ///< harden: folder of the files written
  output::FileChoice files;                       ///< harden: which files are written
  std::optional<std::filesystem::path> materials; ///< folder of the records, when named
  std::string fail_on;                            ///< harden: fail or marginal, the verdict that gives exit 4
  bool bands = true;                              ///< harden: how far the answers may be off
  int members = 128;                              ///< of the bands
  bool members_asked = false;                     ///< then bands are computed in quiet too
  std::uint64_t seed = 1;                         ///< of the bands
  int threads = 0;                                ///< 0 = as many as there are cores
  bool json = false;
  bool quiet = false;
  bool full = false;   ///< harden: all that is known, not the first page alone
  bool what_if = true; ///< work out the what-if strips of the report too
  bool no_color = false;
};

/// The options, or a text to print (help, version) when that was asked for. Throws UsageError.
std::variant<Options, std::string> parse_command_line(int argc, const char* const* argv);

} // namespace tq::program
