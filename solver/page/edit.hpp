// Changing one value in the text of a case, so that remarks, order and everything else stay as they were
// written.
#pragma once

#include <map>
#include <string>
#include <string_view>

namespace tq::page {

/// The text with the key at `path` ("furnace.setpoint", "blade.station[1].spine") set to this TOML value, or
/// without it when the value is empty. A key that is not there is added to its table, a table that is not
/// there at the end. Throws records::InputError, with the path, when the text is written in a way in which
/// that cannot be done (inline tables and the like): then the text itself is to be changed.
std::string edited(std::string_view text, const std::string& path, const std::string& value);

/// The text without the table at `path` ("blade.station[2]") and the tables in it; as it is when there is
/// none.
std::string without_table(std::string_view text, const std::string& path);

/// The values of a text that is known to be a case, by path, as they stand there; without what stands in
/// tables on one line. Some twenty times as quick as reading it.
std::map<std::string, std::string> values_of(std::string_view text);

} // namespace tq::page
