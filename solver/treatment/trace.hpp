// Reading a recorded temperature trace between its steps.
#pragma once

#include <vector>

namespace tq::treatment {

/// Value at `t` by monotone cubic interpolation (Fritsch & Carlson 1980, SIAM J. Numer. Anal. 17, 238) of
/// `value` over ascending `time`; the ends hold outside.
double trace_value(const std::vector<double>& time, const std::vector<double>& value, double t);

/// First time in [from, to] at which the trace crosses `level` upwards; NaN when it never does. Already above
/// at `from` counts as `from`.
double first_rise(const std::vector<double>& time, const std::vector<double>& value, double level,
                  double from, double to);
/// Last time in [from, to] at which the trace is at or above `level`; NaN when it is never there or never
/// leaves.
double last_fall(const std::vector<double>& time, const std::vector<double>& value, double level, double from,
                 double to);

} // namespace tq::treatment
