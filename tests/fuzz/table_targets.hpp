// Tables: rows of questions, cooling curves, logs, what a shop has learnt.
#pragma once

#include <string_view>

namespace tq::test {

void read_as_rows(std::string_view text);
void read_as_trace(std::string_view text);
void read_as_log(std::string_view text);
void read_as_belief(std::string_view text);

} // namespace tq::test
