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

} // namespace tq::units
