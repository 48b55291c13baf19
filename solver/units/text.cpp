#include "units/text.hpp"

#include <cstdio>

namespace tq::units {

std::string formatted_list(const char* pattern, std::va_list arguments) {
  std::va_list again;
  va_copy(again, arguments);
  const int length = std::vsnprintf(nullptr, 0, pattern, again);
  va_end(again);
  std::string text(length > 0 ? static_cast<std::size_t>(length) : 0, '\0');
  std::vsnprintf(text.data(), text.size() + 1, pattern, arguments);
  return text;
}

std::string formatted(const char* pattern, ...) {
  std::va_list arguments;
  va_start(arguments, pattern);
  const std::string text = formatted_list(pattern, arguments);
  va_end(arguments);
  return text;
}

std::string_view trimmed(std::string_view text, std::string_view blanks) {
  const auto first = text.find_first_not_of(blanks);
  return first == std::string_view::npos ? std::string_view()
                                         : text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

std::string lower_case(std::string_view ascii) {
  std::string out(ascii);
  for (char& c : out)
    if (c >= 'A' && c <= 'Z')
      c = static_cast<char>(c - 'A' + 'a');
  return out;
}

std::string upper_case(std::string_view ascii) {
  std::string out(ascii);
  for (char& c : out)
    if (c >= 'a' && c <= 'z')
      c = static_cast<char>(c - 'a' + 'A');
  return out;
}

} // namespace tq::units
