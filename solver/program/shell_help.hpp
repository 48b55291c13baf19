// Manual page and completion for the shells, made from the table of the options, so that they cannot say
// other things than --help.
#pragma once

#include <string>
#include <vector>

namespace tq::program {

/// One option or place of the command line.
struct HelpOption {
  std::vector<std::string> names; ///< "-o", "--output"; of a place its name, "CASE"
  std::string type;               ///< of its value; empty: a flag
  std::string text;               ///< what it does
  std::vector<std::string> words; ///< the values that are allowed, when they are few
};
struct HelpCommand {
  std::string name, summary, examples;
  std::vector<HelpOption> options, places;
};
struct HelpTable {
  std::string description, examples, footer;
  std::vector<HelpOption> common; ///< options of every command
  std::vector<HelpCommand> commands;
};

enum class Shell { bash, zsh, fish };

/// The page thinquench(1) in roff, for `man`.
std::string manual_page(const HelpTable& table);
/// What completes a command line; `questions` are those of find.
std::string completion(const HelpTable& table, Shell shell, const std::vector<std::string>& questions);

} // namespace tq::program
