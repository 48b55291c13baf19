// A steel record with gaps, as a data sheet leaves it: what is missing, and what is assumed instead.
#pragma once

#include "steel/temper_model.hpp"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace tq::steel {

/// One value that a record does not give.
struct Gap {
  std::string key;         ///< dotted, as in the file
  std::string assumed;     ///< what stands in for it, with its unit
  std::string source;      ///< of the assumption
  std::string uncertainty; ///< how far off it may be, beside what a record of its own would have
};

struct FilledRecord {
  std::string text;                 ///< the record with its gaps filled, for records::read_steel()
  std::vector<Gap> gaps;            ///< empty when the record is whole
  std::vector<std::string> outside; ///< what lies outside the steels that the rules were found on
};

/// What the source of every assumed value begins with.
inline constexpr std::string_view gap_source = "assumed, the record does not say";

/// How many values of a record that was read were filled in so.
std::size_t filled_values(const records::SteelRecord& steel);

/// Fills the gaps of a record by the rules of bare_steel() and the composition model of tempering. Compulsory
/// are `format`, `designation` and the carbon; what is given stays as it is. An inert steel comes back
/// unchanged. `file` is for messages. Throws records::InputError.
FilledRecord fill_gaps(std::string_view text, const std::string& file, const records::Phases& phases,
                       const TemperModel& model);

} // namespace tq::steel
