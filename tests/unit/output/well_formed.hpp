// Is a text well-formed XML, as far as our own documents need: tags nest and close, attributes are quoted,
// bare signs are escaped.
#pragma once

#include <string>

namespace tq::test {

/// "" when well formed, else what is wrong.
std::string xml_fault(const std::string& text);

} // namespace tq::test
