// What the faults of materials/typical_faults.toml do to a case. How common they are and how far they go
// stands there; what they change stands here.
#pragma once

#include "records/fault_record.hpp"
#include "treatment/case.hpp"

#include <string>
#include <vector>

namespace tq::answers {

/// How a fault acts.
struct FaultKind {
  const char* key;
  /// The next blade has it too, unless it is cured.
  bool stays;
  /// First part of the hardening that it changes; nothing is changed by one that acts on the reading alone.
  treatment::Part from;
  bool on_reading;
  /// Whether the case can have it.
  bool (*matters)(const treatment::Case&);
  /// `at`: a value of the range of its entry.
  void (*apply)(treatment::Case&, double at);
};

/// All that the program knows.
const std::vector<FaultKind>& fault_kinds();
/// Throws std::logic_error for one that it does not know.
const FaultKind& fault_kind(const std::string& key);
/// Two that cannot be at once: a furnace colder and hotter than it shows.
bool exclude_each_other(const std::string& a, const std::string& b);

} // namespace tq::answers
