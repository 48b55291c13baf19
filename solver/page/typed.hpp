// What a maker types into a field, as a value of a case file.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace tq::page {

/// What a field holds.
enum class Kind { text, quantity, number, integer, flag, choice, hardness, doubt };

struct Typing {
  Kind kind = Kind::text;
  std::string dimension;          ///< of a quantity, see units::dimensions()
  std::string usual_unit;         ///< taken for a bare number: "mm", "min"
  std::vector<std::string> words; ///< that may stand instead of a value
};

/// The usual unit of a value written like this one: "min" of "35 min"; in inches and degF when `imperial`.
std::string unit_of(std::string_view sample, std::string_view dimension, bool imperial);

/// The value as TOML. Understood besides what a case file may hold: a comma as decimal point ("3,2 mm"), a
/// bare number (in the usual unit), inch signs (1/8"), F and C alone ("1475 F"), a range of hardness ("60-62
/// HRC"), yes and no. What is not understood goes in as it was typed, so that the reader of cases can say
/// what is wrong with it.
std::string toml_value(std::string_view typed, const Typing& field);

/// The value of a case file as a field shows it: a text without its quotes, a range as "60-62 HRC".
std::string field_text(std::string_view toml);

} // namespace tq::page
