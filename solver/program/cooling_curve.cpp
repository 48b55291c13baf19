#include "program/cooling_curve.hpp"

#include "output/text.hpp"
#include "records/csv.hpp"
#include "records/document.hpp"
#include "units/quantity.hpp"

namespace tq::program {
namespace {

using records::CsvTable;
using records::InputError;

/// Column of a measured curve, with the factor of its unit.
struct CsvColumn {
  std::size_t at = 0;
  std::string unit; ///< empty: each cell carries its own
};

CsvColumn column_of(const CsvTable& table, const std::string& file, const std::string& quantity,
                    const std::vector<std::string>& known_units) {
  for (std::size_t i = 0; i < table.heading.size(); ++i) {
    const std::string name = output::lower_case(table.heading[i]);
    if (name == quantity)
      return {i, ""};
    for (const std::string& unit : known_units)
      if (name == quantity + "_" + output::lower_case(unit))
        return {i, unit};
  }
  std::string allowed = quantity;
  for (const std::string& unit : known_units)
    allowed += ", " + quantity + "_" + unit;
  throw InputError(file + ":1: no column of " + quantity + "; allowed: " + allowed);
}

} // namespace

surroundings::TraceReadings read_trace(std::string_view text, const std::string& path, double immersed_s) {
  const CsvTable table = records::read_csv(text, path);
  const CsvColumn time = column_of(table, path, "time", {"s", "min", "ms"}),
                  temperature = column_of(table, path, "temperature", {"degC", "degF", "K"});
  surroundings::TraceReadings out;
  double before = -1e300;
  for (std::size_t n = 0; n < table.rows.size(); ++n) {
    const auto cell = [&](const CsvColumn& column, const char* dimension) {
      const std::string& written = table.rows[n][column.at];
      try {
        return column.unit.empty() ? units::parse_quantity(written, dimension)
                                   : units::from_unit(units::parse_number(written), column.unit, dimension);
      } catch (const units::QuantityError& error) {
        throw InputError(path + ":" + std::to_string(table.lines[n]) + ": " + table.heading[column.at] +
                         ": " + error.what());
      }
    };
    const double t = cell(time, "time"), T = cell(temperature, "temperature");
    if (t <= before)
      throw InputError(path + ":" + std::to_string(table.lines[n]) + ": times must ascend");
    if (T < -50 || T > 1300)
      throw InputError(path + ":" + std::to_string(table.lines[n]) +
                       ": temperature out of range; allowed: -50 to 1300 degC");
    before = t;
    if (t >= immersed_s) {
      out.time_s.push_back(t - immersed_s);
      out.sensor_degC.push_back(T);
    }
  }
  if (out.time_s.size() < 20)
    throw InputError(path + ": " + std::to_string(out.time_s.size()) +
                     " readings from immersion on; allowed: 20 or more");
  return out;
}

} // namespace tq::program
