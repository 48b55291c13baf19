// The program with an engine that fails in the way that TQ_FAILURE names.
#include "program/program.hpp"

#include <chrono>
#include <cstdlib>
#include <stdexcept>
#include <string>
#include <thread>

namespace {

/// Reports progress until somebody stops it or the time is over.
void work_slowly(const tq::treatment::Progress& progress, std::chrono::milliseconds length) {
  const auto begin = std::chrono::steady_clock::now();
  for (auto spent = std::chrono::steady_clock::duration::zero(); spent < length;
       spent = std::chrono::steady_clock::now() - begin) {
    const double share = std::chrono::duration<double>(spent) / std::chrono::duration<double>(length);
    if (!progress(share, tq::treatment::Part::furnace))
      throw tq::treatment::Interrupted();
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
}

tq::answers::Answers engine(const tq::treatment::Case&, std::vector<tq::treatment::Run>&,
                            const tq::treatment::Progress& progress, tq::answers::Executor*,
                            const tq::answers::Stated&) {
  const char* wish = std::getenv("TQ_FAILURE");
  const std::string failure = wish == nullptr ? "" : wish;
  if (failure == "solver")
    throw tq::treatment::SolverError(
        "the solver gave up in the furnace: the step fell below 1 us;\ntry a larger tolerance");
  if (failure == "internal")
    throw std::logic_error("a figure that cannot be");
  if (failure == "stranger")
    throw 42;
  if (failure == "slow")
    work_slowly(progress, std::chrono::seconds(8));
  if (failure == "slow then solver") {
    work_slowly(progress, std::chrono::milliseconds(1500));
    throw tq::treatment::SolverError("bath, 3 s: no convergence");
  }
  throw std::invalid_argument("TQ_FAILURE names no failure");
}

} // namespace

int main(int argc, char** argv) { return tq::program::run(argc, argv, engine); }
