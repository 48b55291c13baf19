// What of a shop stays from blade to blade and what is another each time.
#pragma once

#include "treatment/case.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace tq::shop {

/// Share of the variance of an uncertain input (key of materials/typical_uncertainty.toml) that stays as long
/// as the thing it belongs to is the same; 0 for what is measured anew each time.
double share_that_stays(std::string_view input);

/// The thing that the input belongs to, as this case has it: "furnace", "foil, gap 0.3 mm", "medium-oil",
/// "O1, bar 7". What is learnt of one holds for no other.
std::string belongs_to(std::string_view input, const treatment::Case& c, const std::string& bar);

/// What stays of a tester's and of a thermocouple's error, as names of their own.
inline constexpr const char* tester_offset = "tester";
inline constexpr const char* couple_offset = "thermocouple";
/// The same couple through the oil: hundreds of kelvin lower its error is another, and what it does to the
/// times of a quench is no measure of what it reads in the furnace.
inline constexpr const char* couple_oil_offset = "thermocouple in the oil";

} // namespace tq::shop
