// What a logger wrote of a blade beside what was computed of it, with the band of the draws.
#pragma once

#include "answers/executor.hpp"
#include "records/log_record.hpp"
#include "treatment/case.hpp"

#include <string>
#include <vector>

namespace tq::answers {

struct LogBeside {
  std::string name;                           ///< "packet of petty 1"
  std::string since;                          ///< "the beginning", "700 degC"
  std::vector<double> time_s;                 ///< from there
  std::vector<double> low, middle, high;      ///< [degC] of 5, 50 and 95 % of the draws
  std::vector<double> read_time_s, read_degC; ///< of the log
  double inside = 0;                          ///< share of the log's readings between low and high
};

/// What of the blade the log is of.
enum class LogOf { packet, quench, oven };

/// The thickest place of a station in the furnace or through the bath, or the air of the first oven of the
/// case, over the draws of its uncertain inputs on the coarse grid. Nobody knows on a logger's clock when the
/// blade left the furnace: a quench is compared from the fall through 700 degC on (20 K below the hottest
/// reading where that is less). Nothing when the case has no such step, or the log does not fall so. Throws
/// treatment::SolverError when the solver gives up at all of them.
std::vector<LogBeside> log_beside(const treatment::Case& c, std::size_t station, LogOf what, std::string name,
                                  const records::LogRecord& log, Executor& executor, int draws = 48);

} // namespace tq::answers
