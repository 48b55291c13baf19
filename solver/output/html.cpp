#include "output/html.hpp"

#include "output/sha256.hpp"
#include "output/text.hpp"
#include "units/quantity.hpp"

#include <cctype>
#include <cmath>

namespace tq::output {
namespace {

std::string span(const char* name, const std::string& text) {
  return std::string("<span class=\"") + name + "\">" + text + "</span>";
}

/// Length of the number at the start: "-12.5", "800-820", "800 to 820"; 0 when there is none.
std::size_t number_length(std::string_view text, bool range) {
  const auto plain = [&](std::size_t at) {
    std::size_t k = at;
    if (k < text.size() && text[k] == '-')
      ++k;
    const std::size_t first = k;
    bool point = false;
    while (k < text.size() &&
           (std::isdigit(static_cast<unsigned char>(text[k])) || (text[k] == '.' && !point)))
      point = text[k++] == '.' || point;
    while (k > first && text[k - 1] == '.')
      --k;
    return k > first ? k : at;
  };
  std::size_t end = plain(0);
  if (end == 0 || !range)
    return end;
  for (const std::string_view joint : {"-", " to "})
    if (text.substr(end).starts_with(joint)) {
      const std::size_t second = plain(end + joint.size());
      if (second > end + joint.size() && text[end + joint.size()] != '-')
        return second;
    }
  return end;
}

struct Unit {
  std::string_view written, other;
  const char *shown, *other_shown;
  bool temperature;
};
// What the texts of the program write, and what people read.
constexpr Unit units[] = {{"degC", "degF", "°C", "°F", true},    {"K", "degF", "K", "°F", true},
                          {"mm", "in", "mm", "in", false},       {"um", "in", "µm", "in", false},
                          {"L", "US gal", "L", "US gal", false}, {"g", "oz", "g", "oz", false}};

std::string fahrenheit(std::string_view number) {
  std::string out;
  std::size_t k = 0;
  while (k < number.size()) {
    const std::size_t n = number_length(number.substr(k), false);
    if (n == 0 || (k > 0 && number[k] == '-')) {
      out += number[k++];
      continue;
    }
    out +=
        formatted("%.0f", std::round(units::parse_number(number.substr(k, n)) * 1.8 + 32) + 0.0); // no "-0"
    k += n;
  }
  return out;
}

std::string marked_up(std::string_view text, bool wrap) {
  std::string out;
  const auto pair = [&](const std::string& first, const std::string& second, bool temperature) {
    if (!wrap) {
      out += first + " (" + second + ")";
      return;
    }
    const char* both = temperature ? "both" : "bothL";
    out += span(temperature ? "tC" : "tM", first) + span(both, " (") +
           span(temperature ? "tF" : "tI", second) + span(both, ")");
  };
  std::size_t k = 0;
  const auto quantity = [&]() -> bool {
    if (k > 0 &&
        (std::isalnum(static_cast<unsigned char>(text[k - 1])) || text[k - 1] == '.' || text[k - 1] == '#'))
      return false;
    const std::string_view rest = text.substr(k);
    for (const bool range : {true, false}) {
      const std::size_t n = number_length(rest, range);
      if (n == 0)
        return false;
      for (const Unit& unit : units) {
        std::string_view after = rest.substr(n);
        if (!after.starts_with(" ") || !after.substr(1).starts_with(unit.written))
          continue;
        after.remove_prefix(1 + unit.written.size());
        if (!after.empty() && std::isalnum(static_cast<unsigned char>(after[0])))
          continue;
        const std::string first = xml_escaped(rest.substr(0, n)) + " " + unit.shown;
        if (after.starts_with(" (")) {
          const std::string_view inside = after.substr(2);
          const std::size_t m = number_length(inside, true);
          const std::string tail = " " + std::string(unit.other) + ")";
          if (m > 0 && inside.substr(m).starts_with(tail)) {
            pair(first, xml_escaped(inside.substr(0, m)) + " " + unit.other_shown, unit.temperature);
            k = static_cast<std::size_t>(inside.data() - text.data()) + m + tail.size();
            return true;
          }
        }
        if (unit.written == "degC")
          pair(first, fahrenheit(rest.substr(0, n)) + " °F", true);
        else
          out += first;
        k = static_cast<std::size_t>(after.data() - text.data());
        return true;
      }
    }
    return false;
  };
  const auto replaced = [&](std::string_view from, const char* to) {
    if (!text.substr(k).starts_with(from))
      return false;
    out += to;
    k += from.size();
    return true;
  };
  while (k < text.size()) {
    if ((std::isdigit(static_cast<unsigned char>(text[k])) || text[k] == '-') && quantity())
      continue;
    if (replaced("+/-", "±") || replaced("degC", "°C") || replaced("degF", "°F"))
      continue;
    if (static_cast<unsigned char>(text[k]) < 0x80)
      out += xml_escaped(text.substr(k, 1));
    else
      out += text[k]; // within a letter of several bytes
    ++k;
  }
  return out;
}

} // namespace

std::string with_units(std::string_view text) { return marked_up(clean_utf8(text), true); }
std::string plain_units(std::string_view text) { return marked_up(clean_utf8(text), false); }

std::string page_head(const std::string& title, std::string_view css, std::string_view script) {
  std::string policy = "default-src 'none'; style-src 'sha256-" + sha256_base64(css) + "'";
  if (!script.empty())
    policy += "; script-src 'sha256-" + sha256_base64(script) + "'";
  policy += "; base-uri 'none'; form-action 'none'";
  return "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
         "<meta http-equiv=\"Content-Security-Policy\" content=\"" +
         policy +
         "\"/>\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
         "<title>" +
         xml_escaped(title) + "</title>\n<style>" + std::string(css) + "</style>\n</head>\n<body>\n";
}

std::string page_foot(std::string_view script) {
  return (script.empty() ? "" : "<script>" + std::string(script) + "</script>\n") + "</body>\n</html>\n";
}

} // namespace tq::output
