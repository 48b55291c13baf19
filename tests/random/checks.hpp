// What must hold of every run, whatever the case.
#pragma once

#include "treatment/case.hpp"
#include "treatment/run.hpp"

#include <string>

namespace tq::test {

/// How far a temperature may lie beyond all that could cause it, in solver.tolerance: about three steps'
/// errors of the slow stages, whose tolerance is threefold. Foil may err ten thirds as much as steel.
inline constexpr double most_overshoot = 10, most_foil_overshoot = 33;
inline constexpr long most_steps = 20000; ///< accepted and rejected, of one case
inline constexpr double most_residual = 1e-9;

struct Findings {
  std::string fault;                        ///< the first thing wrong, or nothing
  double overshoot = 0, foil_overshoot = 0; ///< worst of the run, in solver.tolerance
};
Findings inspect(const treatment::Case& c, const treatment::Run& run);

} // namespace tq::test
