// The tempering oven, and the air behind it until the blade is hand-warm.
#pragma once

#include "treatment/steps/furnace.hpp"
#include "treatment/steps/kind.hpp"

#include <optional>

namespace tq::treatment {

enum class OvenKind { still, fan };

struct Oven {
  double oven_degC = 0;
  double time_s = 0;             ///< in the oven, from blade in
  std::optional<double> delay_s; ///< from cold to the oven; nothing: not stated
  /// Measured, in place of set point and swing. `oven_degC` is its level; another one shifts all of it.
  std::optional<records::LogRecord> log;
  OvenKind kind = OvenKind::still;
  double swing_K = 0; ///< amplitude of the oven's swing
  double swing_period_s = 600;
  double edge_extra_K =
      0; ///< how much hotter than the oven air the thin edge is held (radiation from the element)
  double convection_W_m2K = 0; ///< convection of the oven kind, or the plain number given
  double emissivity = 0.35;
};

const char* word(const Oven& oven);
Part counts_as(const Oven& oven);
const keys::Table& key_table(const Oven& oven);
void take(const Oven& oven, Simulation& sim, double seconds, const StepObserver& observer);
double expected_s(const Oven& oven);
std::vector<double> usual_frames(const Oven& oven);
double weight(const Oven& oven);
bool same_on_both_flanks(const Oven& oven);

} // namespace tq::treatment
