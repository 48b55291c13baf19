// Starts a program, feeds it, may interrupt it, and collects what it said on each stream.
#pragma once

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

/// A folder of its own that is removed again.
class TemporaryFolder {
 public:
  TemporaryFolder();
  ~TemporaryFolder();
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

std::string read_file(const std::filesystem::path& file);
void write_file(const std::filesystem::path& file, const std::string& text);

} // namespace tq::test
