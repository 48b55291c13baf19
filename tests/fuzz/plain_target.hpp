// The quick reader of plain TOML against the library that knows all of it.
#pragma once

#include <string_view>

namespace tq::test {

/// What records::read_plain() reads toml11 reads too, to the same tree with the same places.
void read_as_plain(std::string_view text);

} // namespace tq::test
