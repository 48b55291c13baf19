// How far the inputs of a treatment are usually off: materials/typical_uncertainty.toml. What belongs to one
// material (the oil's heat transfer, the gap of a foil, the times of a steel) stands in its own record.
#pragma once

#include "records/provenance.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace tq::records {

/// How well a shop knows one of its figures.
enum class Knowledge { measured, typical, from_memory };
inline constexpr int knowledge_count = 3;

/// Form of the distribution round the stated value. Every width is half of the band that holds 90 %, but for
/// `uniform` and `triangular`, whose width is half of the whole range; that of `lognormal` is a factor.
enum class Spread { normal, lognormal, uniform, triangular };

/// One uncertain input: what it is called and how far it may be off.
struct UncertainInputRecord {
  std::string key;       ///< as in the case's [uncertainty], for example "furnace_reading"
  std::string name;      ///< for sentences, after "mostly": "the furnace's reading"
  std::string dimension; ///< of the width (units/quantity.hpp); "factor" for lognormal
  Spread spread = Spread::normal;
  std::array<std::optional<double>, knowledge_count> width; ///< by Knowledge; nothing: the material's record
  std::string source;
};

/// The whole file, in its order.
struct UncertaintyRecord {
  std::vector<UncertainInputRecord> inputs;
  std::vector<Provenance> provenance;
};

} // namespace tq::records
