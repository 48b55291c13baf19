// What is read of the quench itself: a thermocouple's log through the oil, and where a wedge of the bar turns
// soft. Part of readings.hpp.
#pragma once

#include "shop/readings.hpp"

namespace tq::shop {

/// How long the log took from one temperature to the next one below, as logarithms. `piece_m`: of a coupon of
/// that thickness; 0: of the blade at its thickest place.
void add_quench_log(const records::LogRecord& log, double piece_m, std::vector<Observed>& out);

/// The wedge: where half of it turned. The Scheil sum at that thickness against the one at which half turns.
void add_wedge(const WedgeReading& wedge, const treatment::Case& made, std::vector<Observed>& out);

} // namespace tq::shop
