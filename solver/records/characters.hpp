// Characters that show nothing or do harm where a text is shown: what a case or a record may hold but no
// terminal, page or drawing should be given.
#pragma once

#include <cstddef>
#include <string_view>

namespace tq::records {

/// One character of a UTF-8 text and the bytes it takes.
struct Character {
  char32_t code = 0;
  std::size_t length = 0; ///< 0: no valid UTF-8 begins here
};

/// The character at byte `at`.
inline Character character_at(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(text[k]); };
  const char32_t first = byte(at);
  if (first < 0x80)
    return {first, 1};
  const std::size_t length = first < 0xC2 ? 0 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : first < 0xF5 ? 4 : 0;
  if (length == 0 || length > text.size() - at)
    return {};
  char32_t code = first & (0x7FU >> length);
  for (std::size_t k = 1; k < length; ++k) {
    if ((byte(at + k) & 0xC0U) != 0x80U)
      return {};
    code = code << 6U | (byte(at + k) & 0x3FU);
  }
  const bool overlong = (length == 3 && code < 0x800) || (length == 4 && code < 0x10000);
  const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
  return overlong || surrogate || code > 0x10FFFF ? Character{} : Character{code, length};
}

/// C0 and C1 controls but for tab and line feed, and the separators of lines and paragraphs.
inline bool is_control(char32_t c) {
  return (c < 0x20 && c != '\n' && c != '\t') || (c >= 0x7F && c < 0xA0) || c == 0x2028 || c == 0x2029;
}
/// Turns the direction of writing, so that a line reads otherwise than it is (Unicode 15.1, Bidi_Control).
inline bool is_bidi_control(char32_t c) {
  return c == 0x061C || c == 0x200E || c == 0x200F || (c >= 0x202A && c <= 0x202E) ||
         (c >= 0x2066 && c <= 0x2069);
}
/// Code points that are never characters (Unicode 15.1, Noncharacter_Code_Point); XML 1.0 forbids some of
/// them.
inline bool is_noncharacter(char32_t c) { return (c >= 0xFDD0 && c <= 0xFDEF) || (c & 0xFFFEU) == 0xFFFE; }

} // namespace tq::records
