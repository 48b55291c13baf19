// Temperature over time as a logger noted it.
#pragma once

#include <string>
#include <vector>

namespace tq::records {

/// Temperature beside the blade, straight between the rows.
struct LogRecord {
  std::vector<double> time_s, temperature_degC; ///< times ascend from 0, the beginning of the step
  double level_degC = 0;                        ///< where it stood near its hottest, see read_log()
  std::vector<std::string> remarks;             ///< what was bridged or thinned out, one line each
};

} // namespace tq::records
