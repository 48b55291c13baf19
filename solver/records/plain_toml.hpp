// The plain part of TOML, in which cases and records are written, read in a thirtieth of toml11's time.
#pragma once

#include "records/tree.hpp"

#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace tq::records {

/// The tree of a text that has nothing in it but comments, headings and keys of bare words, texts in " with
/// \", \\, \n, \t (over several lines between three of them, with \ at an end of line), texts in ', plain
/// numbers, true, false, lists and tables in braces, all in ASCII. Nothing when there is anything else or any
/// fault: then the text belongs to toml11, which knows the rest and can say what is wrong. What is read here
/// is what toml11 would have read, to the last bit.
std::optional<Value> read_plain(std::string_view text, const std::shared_ptr<const std::string>& file);

} // namespace tq::records
