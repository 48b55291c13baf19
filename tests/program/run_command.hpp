// Starts a program, feeds it, may interrupt it, and collects what it said on each stream.
#pragma once

#include "../support/temporary_folder.hpp"

#include <cstddef>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace tq::test {

struct Request {
  std::string program;
  std::vector<std::string> arguments;
  std::map<std::string, std::string> environment; ///< added to the inherited one
  std::string input;                              ///< standard input
  std::filesystem::path folder;                   ///< working folder, empty = the current one
  std::string out_to;                             ///< standard output goes to this file instead of a pipe
  int signal = 0;                                 ///< sent as soon as something stands on standard error
  bool on_terminal = false;   ///< standard output and error are one pseudo-terminal (in out)
  unsigned short columns = 0; ///< of that terminal; 0: it does not say
};

struct Outcome {
  int exit_code = -1; ///< -signal when it was killed by one
  std::string out, err;
};

/// Runs it to its end; kills it and throws after two minutes.
Outcome run_command(const Request& request);
/// The program with these arguments.
Outcome thinquench(std::vector<std::string> arguments, std::map<std::string, std::string> environment = {},
                   const std::filesystem::path& folder = {});

std::ptrdiff_t line_count(const std::string& text);
/// Exit 2, nothing on standard output, one line on standard error that starts with the program's name and
/// holds `part`.
void expect_refused(const Outcome& outcome, const std::string& part, std::ptrdiff_t lines = 1);

std::string read_file(const std::filesystem::path& file);
void write_file(const std::filesystem::path& file, const std::string& text);

} // namespace tq::test
