// Changes a TOML text the way people and accidents do: lines lost, doubled, moved, values of another kind,
// unit or size, keys of other tables.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace tq::test {

/// The text with one change drawn from `seed`.
std::string mutated_toml(std::string_view text, std::uint64_t seed);

} // namespace tq::test
