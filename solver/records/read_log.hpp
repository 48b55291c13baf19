// Reads the log of a furnace or an oven (CSV).
#pragma once

#include "records/log_record.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace tq::records {

/// What a case says about a log.
struct LogChoice {
  std::string column;         ///< heading of the temperature; "": the only one
  std::string start;          ///< when the step began, as the log writes times; "": its first reading
  double longest_gap_s = 600; ///< without a reading that is bridged by a straight line
};

/// A heading with units ("time_s", "Time [min]", "Furnace (degF)") and rows below it; lines that begin with #
/// are passed over. A column of times without a unit holds the time of day (14:03, 14:03:20, 2:03 PM, with or
/// without a date before it), which may pass midnight. A cell without a digit is a missing reading. With ; or
/// a tabulator between the cells decimals may have a comma.
///
/// Times count from `start` on the logger's own clock. A log of more than 200 readings is thinned out to so
/// many corners, with a remark when that moves it by more than 1 K. Its level is the middle over the time of
/// all that lies within 25 K of its hottest, the hottest minute left aside: where a hold stood, whatever one
/// swing or one bad reading did.
///
/// Throws InputError, one line with the file and its line: no such column, a cell that is no number, times
/// that do not ascend, a temperature outside -50 to 1400 degC or more than 150 K off both its neighbours, a
/// gap longer than the longest, fewer than two readings from `start` on.
LogRecord read_log(std::string_view text, const std::string& file, const LogChoice& choice = {});

} // namespace tq::records
