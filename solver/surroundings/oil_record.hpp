// A recovered bath as the text of a record (TOML, as in materials/coolants).
#pragma once

#include "records/coolant_record.hpp"
#include "surroundings/probe_inverse.hpp"

#include <optional>
#include <string>

namespace tq::surroundings {

/// What the record says besides its table.
struct OilFacts {
  std::string name, description;
  std::string source; ///< of the table: which test, which figures
  std::string range, note;
  records::CoolantRecord
      like; ///< lends density, specific heat and the corrections, never flash or smoke point
  std::optional<double> flash_degC; ///< as the seller states it
};

/// The record's text; read_coolant() reads it. The table is local, log-interpolated, with its band in `low`
/// and `high`.
std::string oil_record_text(const RecoveredHtc& recovered, const OilFacts& facts);

/// Relative standard deviation of h over 300 to 700 degC: what the test leaves, and 20 % for the finish and
/// oxide of the surface that is quenched in the end (from memory: 20-30 %).
double overall_spread(const RecoveredHtc& recovered);

/// Lumped values of the standard probe, h over the temperature of its centre, as the curve that they stand
/// for: readings every 0.1 s, from the probe's start down to 40 K above the bath.
TraceReadings curve_of_lumped(const Probe& probe, const records::Table& lumped_W_m2K, double bath_degC);

} // namespace tq::surroundings
