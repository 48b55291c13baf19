#include "table_targets.hpp"

#include "program/cooling_curve.hpp"
#include "promise.hpp"
#include "records/csv.hpp"
#include "records/read_log.hpp"
#include "shop/belief.hpp"

#include <cmath>

namespace tq::test {

void read_as_rows(std::string_view text) {
  refused_or_read([&] {
    const records::CsvTable table = records::read_csv(text, "f.csv");
    for (const auto& row : table.rows) {
      hold(row.size() == table.heading.size(), "a row has as many cells as the heading");
      for (const std::string& cell : row)
        records::csv_cell(cell, table.separator);
    }
  });
}

void read_as_trace(std::string_view text) {
  refused_or_read([&] {
    const auto readings = program::read_trace(text, "f.csv", 0);
    for (std::size_t n = 1; n < readings.time_s.size(); ++n)
      hold(readings.time_s[n] > readings.time_s[n - 1] && std::abs(readings.sensor_degC[n]) < 2000,
           "times ascend and temperatures are sane");
  });
}

void read_as_log(std::string_view text) {
  refused_or_read([&] {
    const records::LogRecord log = records::read_log(text, "f.csv");
    hold(log.time_s.size() >= 2 && log.time_s.size() <= 200 && log.time_s.front() == 0 &&
             log.temperature_degC.size() == log.time_s.size(),
         "a log has from 2 to 200 corners and begins at 0");
    for (std::size_t n = 0; n < log.time_s.size(); ++n)
      hold((n == 0 || log.time_s[n] > log.time_s[n - 1]) && log.time_s[n] < 2e6 &&
               std::abs(log.temperature_degC[n]) <= 1400,
           "times ascend and temperatures are sane");
    hold(log.level_degC >= -50 && log.level_degC <= 1400, "the level lies among the readings");
  });
}

void read_as_belief(std::string_view text) {
  const shop::Belief belief = shop::read_belief(text, "v");
  hold(static_cast<std::size_t>(belief.mean().size()) == belief.size(), "a belief has a mean for each score");
}

} // namespace tq::test
