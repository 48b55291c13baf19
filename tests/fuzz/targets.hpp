// What is fuzzed: every reader of what somebody else may have written.
#pragma once

#include <array>
#include <string_view>

namespace tq::test {

/// Reads `text` as its kind of input. Being refused (records::InputError, units::QuantityError) is no
/// finding; anything else that is thrown, and any broken promise about what was read, is.
struct FuzzTarget {
  const char* name;
  void (*read)(std::string_view text);
  bool toml; ///< its mutations know lines, keys and values
};

/// A quantity is read in one of so many ways; one blank more behind it is another.
inline constexpr std::size_t quantity_ways = 11;

inline constexpr std::size_t fuzz_targets_count = 19;
extern const std::array<FuzzTarget, fuzz_targets_count> fuzz_targets;

/// nullptr when nothing is called so.
const FuzzTarget* fuzz_target(std::string_view name);

} // namespace tq::test
