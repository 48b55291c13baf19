// The command line: its options, its help and its complaints.
#pragma once

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

enum class Command { harden, check, stock, ask, blank };

/// Values of ask as they were typed; empty when they were not.
struct AskOptions {
  std::vector<std::string> steel; ///< a key, a path, or the words of a composition
  std::string harden, soak, start, cool_to, temper, hold;
  int cycles = 1;
  std::string csv; ///< file of rows, "-" for standard input
};

struct Options {
  Command command = Command::harden;
  std::string case_path;                          ///< harden, check: the case file, "-" for standard input
  std::string wanted;                             ///< stock: a kind of record, a key, or empty for all
  AskOptions ask;                                 ///< ask: the question
  std::filesystem::path output = "out";           ///< harden: folder of the files written
  std::optional<std::filesystem::path> materials; ///< folder of the records, when named
  bool bands = true;                              ///< harden: how far the answers may be off
  int members = 128;                              ///< of the bands
  std::uint64_t seed = 1;                         ///< of the bands
  int threads = 0;                                ///< 0 = as many as there are cores
  bool json = false;
  bool quiet = false;
  bool no_color = false;
};

/// The options, or a text to print (help, version) when that was asked for. Throws UsageError.
std::variant<Options, std::string> parse_command_line(int argc, const char* const* argv);

} // namespace tq::program
