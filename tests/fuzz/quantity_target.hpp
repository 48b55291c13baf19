// The target of quantities stands alone: a program of it and the room of units is several times as fast.
#pragma once

#include <string_view>

namespace tq::test {

/// As one dimension or as a plain number, by the sum of its bytes: all eleven each time would cost eleven
/// refusals. Blanks behind a text lead through all of them.
void read_as_quantity(std::string_view text);

} // namespace tq::test
