#include "program/program.hpp"

#include "output/files/files.hpp"
#include "program/commands.hpp"
#include "program/options.hpp"
#include "program/terminal.hpp"
#include "records/document.hpp"

#include <cerrno>
#include <csignal>
#include <cstdio>
#include <exception>
#include <fcntl.h>
#include <iostream>
#include <new>
#include <sstream>
#include <unistd.h>

namespace tq::program {
namespace {

std::string command_line_text(int argc, const char* const* argv) {
  std::string text = "thinquench";
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    const bool plain = !word.empty() && word.find_first_of(" \t\n\"'\\$`*?;&|<>()#~") == std::string::npos;
    text += plain ? " " + word : " '" + word + "'";
  }
  return text;
}

/// Streams that the caller closed: without this the next file opened would take their place and be written
/// to.
void fill_closed_streams() {
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO})
    if (::fcntl(stream, F_GETFD) == -1 && errno == EBADF)
      if (::open("/dev/null", stream == STDERR_FILENO ? O_WRONLY : O_RDONLY) < 0)
        return;
}

void obey(int argc, const char* const* argv, const Engine& engine, CleanOutput& out) {
  const std::variant<Options, std::string> parsed = parse_command_line(argc, argv);
  if (const std::string* text = std::get_if<std::string>(&parsed))
    std::cout << *text;
  else {
    const Options& options = std::get<Options>(parsed);
    if (options.command == Command::harden && may_colour(Stream::out, options.no_color))
      out.let_colours_pass();
    switch (options.command) {
    case Command::harden:
      harden(options, engine, command_line_text(argc, argv));
      break;
    case Command::check:
      check(options);
      break;
    case Command::stock:
      stock(options);
      break;
    case Command::ask:
      ask(options);
      break;
    case Command::jominy:
      jominy(options);
      break;
    case Command::oil:
      oil(options);
      break;
    case Command::blank:
      blank(options);
      break;
    case Command::new_case:
      new_case(options, engine, command_line_text(argc, argv));
      break;
    case Command::note:
      note(options);
      break;
    case Command::shop:
      shop_command(options);
      break;
    case Command::find:
      find(options);
      break;
    case Command::what_if:
      what_if(options);
      break;
    case Command::compare:
      compare(options);
      break;
    case Command::explain:
      explain(options);
      break;
    case Command::sweep:
      run_sweep(options, command_line_text(argc, argv));
      break;
    case Command::join:
      join(options);
      break;
    case Command::map:
      map(options);
      break;
    case Command::differ:
      differ(options, engine);
      break;
    }
  }
  if (!std::cout.flush() && !out.reader_gone())
    throw output::WriteError("standard output cannot be written to");
}

int complain(ExitCode code, const std::string& message) {
  std::istringstream lines(message); // a case tells everything that is wrong with it
  constexpr std::size_t most = 1000; // of a line: some repeat what was typed, whatever its length
  for (std::string line; std::getline(lines, line);) {
    if (line.size() > most)
      line = line.substr(0, most / 2) + " ... " + line.substr(line.size() - most / 2);
    std::fprintf(stderr, "thinquench: %s\n", one_line(line).c_str());
  }
  return code;
}

} // namespace

int run(int argc, char** argv, const Engine& engine) {
  fill_closed_streams();
  // A pipe nobody reads and a file that grew too large are errors of a write, not the end of the program.
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);
  CleanOutput out;
  try {
    obey(argc, argv, engine, out);
    return exit_ok;
  } catch (const UsageError& error) {
    return complain(exit_input, error.what());
  } catch (const records::InputError& error) {
    return complain(exit_input, error.what());
  } catch (const VerdictError& error) {
    return complain(exit_verdict, error.what());
  } catch (const treatment::SolverError& error) {
    return complain(exit_solver, error.what());
  } catch (const Stopped& error) {
    return complain(exit_interrupted, error.what());
  } catch (const treatment::Interrupted&) {
    return complain(exit_interrupted, "interrupted, no file was written");
  } catch (const output::WriteError& error) {
    return complain(exit_internal, error.what());
  } catch (const std::bad_alloc&) {
    return complain(exit_internal, "not enough memory");
  } catch (const std::exception& error) {
    return complain(exit_internal, std::string("internal error: ") + error.what());
  } catch (...) {
    return complain(exit_internal, "internal error of an unknown kind");
  }
}

} // namespace tq::program
