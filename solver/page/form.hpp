// The form of a case, made from the table of keys, and what a text of a case says in it.
#pragma once

#include "page/shelf.hpp"
#include "page/typed.hpp"

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

namespace tq::page {

/// One key that has a field. Lists, outlines and steps have none: they are changed in the text of the case.
struct Field {
  std::string path, table; ///< "furnace.setpoint", "furnace"; of stations the first, "blade.station[1]"
  Typing typing;
  std::string says, sample, allowed, usual;
  std::string stock; ///< "steel", "coolant", "foil": the words are the shipped records of it
};
/// In the order of the table of keys.
const std::vector<Field>& fields();
/// The field of a path; null when it has none. That of a further station ("blade.station[2].spine") is the
/// first one's.
const Field* field_of(const std::string& path);
/// Of a key of a listed step ("step[3].timer"), which the form does not draw: the field of that key where the
/// usual list has a table for such a step. Null when none has it.
const Field* field_of_step(const std::string& path);

/// Everything that is needed to draw the form, as JSON: fields, stocks, examples, questions.
std::string form_json(const Shelf& shelf);

/// A message of the readers, taken apart.
struct Problem {
  int line = 0;
  std::string path, message;
};
std::vector<Problem> problems_of(const std::string& messages, const std::string& file);

/// The fields as this text of a case gives them: `values` as typed; of a text that is no TOML nothing.
nlohmann::ordered_json values_json(const std::string& text);
/// The same of quantities and of defaults, each with both of its units: "3.20 mm (0.126 in)".
nlohmann::ordered_json echoes_json(const std::string& resolved);

} // namespace tq::page
