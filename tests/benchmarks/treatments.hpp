// Whole treatments of a shipped case: time, threads, memory.
#pragma once

#include "treatment/case.hpp"

#include <functional>
#include <string>

namespace tq::test {

/// cases/drop_point_o1.toml: heat in foil, transfer, quench, two temper cycles; `coarse`: on the grid and at
/// the tolerance on which margins are computed.
treatment::Case drop_point(bool coarse);

/// Median processor time [ms]; prints a line of a table.
double treatment_ms(const treatment::Case& c, const char* name, int repeats);

/// Prints treatments a second against the number of threads.
void thread_scaling(const treatment::Case& c);

/// Prints what the grid and the tolerance change in drop_point(): temperature in the oil [K], hardness [HRC].
void grid_error();

/// Prints a line of a table: what the grid of a case changes, against six times as many lines both ways, and
/// what these cost; all stations.
void grid_error_of(const std::string& path);

/// Peak of the memory [MB] of a process that does `work`.
double peak_MB(const std::function<void()>& work);

} // namespace tq::test
