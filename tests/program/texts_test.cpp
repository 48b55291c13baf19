// What help and README promise: their commands run, and the output that README shows is real.
#include "run_command.hpp"

#include <gtest/gtest.h>

#include <cctype>
#include <set>
#include <sstream>

using tq::test::Outcome;
using tq::test::read_file;
using tq::test::Request;
using tq::test::run_command;
using tq::test::TemporaryFolder;

namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);)
    lines.push_back(line);
  return lines;
}

/// Commands in a text: what stands behind `prefix` at the start of a line, up to a remark.
std::vector<std::string> commands_in(const std::string& text, const std::string& prefix) {
  std::vector<std::string> commands;
  for (const std::string& line : lines_of(text))
    if (line.rfind(prefix, 0) == 0)
      commands.push_back("thinquench " +
                         line.substr(prefix.size(), line.find("  ", prefix.size()) - prefix.size()));
  return commands;
}

/// Runs them one after the other in one folder with the program on the path.
void expect_commands_run(const std::vector<std::string>& commands) {
  const TemporaryFolder folder;
  Request request;
  request.program = "/bin/sh";
  request.folder = folder.path();
  const std::string programs = std::filesystem::path(TQ_PROGRAM).parent_path();
  request.environment["PATH"] = programs + ":/usr/bin:/bin";
  request.arguments = {"-c", "thinquench blank > my_blade.toml"};
  ASSERT_EQ(run_command(request).exit_code, 0);
  for (const std::string& command : commands) {
    if (command.rfind("thinquench new ", 0) == 0)
      continue; // asks a person, and never overwrites the file that is there
    request.arguments = {"-c", command};
    const Outcome outcome = run_command(request);
    EXPECT_EQ(outcome.exit_code, 0) << command << "\n" << outcome.err;
  }
}

/// A line without its figures, so that the last digit may differ from one processor to the next.
std::string without_figures(const std::string& line) {
  std::string text;
  for (const char c : line) {
    const bool figure = std::isdigit(static_cast<unsigned char>(c)) != 0 || c == '.' || c == ' ' || c == '<';
    if (!figure)
      text += c;
    else if (text.empty() || text.back() != '#')
      text += '#';
  }
  return text;
}

} // namespace

TEST(Help, ItsExamplesRun) {
  for (const std::vector<std::string>& arguments : std::vector<std::vector<std::string>>{
           {"--help"}, {"harden", "--help"}, {"check", "--help"}, {"stock", "--help"}, {"blank", "--help"}}) {
    Request help;
    help.program = TQ_PROGRAM;
    help.arguments = arguments;
    const auto commands = commands_in(run_command(help).out, "  thinquench ");
    EXPECT_FALSE(commands.empty()) << arguments.front();
    expect_commands_run(commands);
  }
}

TEST(Readme, ItsCommandsRun) {
  const auto commands = commands_in(read_file(TQ_SOURCE_DIR "/README.md"), "build/thinquench ");
  EXPECT_GE(commands.size(), 5U);
  expect_commands_run(commands);
}

TEST(Readme, ItsCaseIsWhole) {
  const std::string readme = read_file(TQ_SOURCE_DIR "/README.md"), fence = "```toml\n";
  const std::size_t begin = readme.find(fence) + fence.size();
  Request check;
  check.program = TQ_PROGRAM;
  check.arguments = {"check", "-"};
  check.input = readme.substr(begin, readme.find("```", begin) - begin);
  const Outcome outcome = run_command(check);
  EXPECT_EQ(outcome.exit_code, 0) << check.input << outcome.err;
}

TEST(Readme, ShowsWhatTheDemoPrints) {
  const TemporaryFolder folder;
  Request demo;
  demo.program = TQ_PROGRAM;
  demo.arguments = {"harden", TQ_SOURCE_DIR "/cases/drop_point_o1.toml", "-o", folder.path()};
  std::set<std::string> printed;
  for (const char* how : {"--no-what-if", "--full"}) { // the first page, and all of it
    demo.arguments.push_back(how);
    for (const std::string& line : lines_of(run_command(demo).out))
      printed.insert(without_figures(line));
  }

  bool inside = false;
  int shown = 0;
  for (const std::string& line :
       lines_of(read_file(TQ_SOURCE_DIR "/README.md") + read_file(TQ_SOURCE_DIR "/cases/README.md"))) {
    if (line.rfind("```", 0) == 0) {
      inside = line == "```console";
    } else if (inside && line.rfind("[... ", 0) != 0) { // what was cut is told in square brackets
      ++shown;
      EXPECT_TRUE(printed.count(without_figures(line)))
          << line << "\nscripts/update-readme brings it up to date";
    }
  }
  EXPECT_GT(shown, 30);
}
