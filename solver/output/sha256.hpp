// SHA-256, so that a result can name exactly the input it came from. FIPS 180-4, sections 4.1.2, 4.2.2, 5 and
// 6.2.
#pragma once

#include <string>
#include <string_view>

namespace tq::output {

/// Digest of the bytes as 64 lower-case hexadecimal digits.
std::string sha256_hex(std::string_view bytes);
/// The same digest in base 64, as a content policy names what it allows.
std::string sha256_base64(std::string_view bytes);
/// Bytes in base 64 (RFC 4648, section 4).
std::string base64(std::string_view bytes);

} // namespace tq::output
