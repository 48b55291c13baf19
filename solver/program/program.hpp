// The program behind main(): reads the command line, does what it asks and maps every failure to an exit
// code.
#pragma once

#include "answers/answers.hpp"

#include <functional>
#include <vector>

namespace tq::program {

enum ExitCode : int {
  exit_ok = 0,
  exit_internal = 1,     ///< a fault of the program or of the machine (disc full, closed output)
  exit_input = 2,        ///< usage, case file, record or output folder
  exit_solver = 3,       ///< the solver gave up
  exit_verdict = 4,      ///< done, but a verdict is as bad as --fail-on says
  exit_interrupted = 130 ///< stopped by Ctrl-C
};

/// What computes a case. Normally answers::answer; the tests pass engines that fail.
using Engine =
    std::function<answers::Answers(const treatment::Case&, std::vector<treatment::Run>&,
                                   const treatment::Progress&, answers::Executor*, const answers::Stated&)>;

/// The whole program; returns its exit code and throws nothing.
int run(int argc, char** argv, const Engine& engine);

} // namespace tq::program
