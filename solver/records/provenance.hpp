// Where a value of a record comes from: kept beside the number through the whole program.
#pragma once

#include <string>
#include <vector>

namespace tq::records {

/// One value of a record with its origin, as text for listings and for the files written.
struct Provenance {
  std::string key;         ///< dotted key inside the record, for example "transformation.pearlite_factor"
  std::string value;       ///< the value as read, with its unit
  std::string source;      ///< citation, "from memory" or "common practice, no source"
  std::string range;       ///< range of validity, may be empty
  std::string uncertainty; ///< stated uncertainty, may be empty
  std::string note;        ///< anything else worth knowing, may be empty
};

} // namespace tq::records
