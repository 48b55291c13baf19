// What is read of the quench itself: a thermocouple's log through the oil, and how hard a coupon is of which
// it is known how it cooled. Part of readings.hpp.
#pragma once

#include "shop/readings.hpp"

namespace tq::shop {

/// How long the log took from one temperature to the next one below, as logarithms. `piece_m`: of a coupon of
/// that thickness; 0: of the blade at its thickest place.
void add_quench_log(const records::LogRecord& log, double piece_m, std::vector<Observed>& out);

/// A coupon that cooled as logged and reads `hrc` as quenched: how much of it must have turned on the way,
/// against what the steel makes of that very cooling curve, whatever cooled it.
void add_coupon_hardness(const records::LogRecord& log, double hrc, const treatment::Case& made,
                         std::vector<Observed>& out);

} // namespace tq::shop
