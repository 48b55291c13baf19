#include "output/html.hpp"

#include "output/sha256.hpp"
#include "output/text.hpp"

#include <cctype>

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
  std::string_view written;
  const char* shown;
  bool metric, temperature;
};
// What the texts of the program write, and what people read.
constexpr Unit units_written[] = {{"degC", "°C", true, true},  {"K", "K", true, true},
                                  {"degF", "°F", false, true}, {"mm", "mm", true, false},
                                  {"um", "µm", true, false},   {"L", "L", true, false},
                                  {"g", "g", true, false},     {"in", "in", false, false},
                                  {"oz", "oz", false, false},  {"US gal", "US gal", false, false}};

/// A number or a range with its unit at the start of a text.
struct Written {
  std::size_t length = 0; ///< of both; 0 when none stands there
  std::string shown;
  const Unit* unit = nullptr;
};

Written quantity_at(std::string_view text) {
  for (const bool range : {true, false})
    if (const std::size_t n = number_length(text, range); n > 0 && text.substr(n).starts_with(" "))
      for (const Unit& unit : units_written) {
        const std::string_view after = text.substr(n + 1);
        const std::size_t end = unit.written.size();
        if (after.starts_with(unit.written) &&
            (after.size() == end || !std::isalnum(static_cast<unsigned char>(after[end]))))
          return {n + 1 + end, xml_escaped(text.substr(0, n)) + " " + unit.shown, &unit};
      }
  return {};
}

std::string told_pair(const Written& first, const Written& second, bool wrap) {
  if (!wrap)
    return first.shown + " (" + second.shown + ")";
  const auto wrapped = [](const Written& one) {
    const Unit& u = *one.unit;
    return span(u.temperature ? u.metric ? "tC" : "tF" : u.metric ? "tM" : "tI", one.shown);
  };
  const char* both = first.unit->temperature ? "both" : "bothL";
  return wrapped(first) + span(both, " (") + wrapped(second) + span(both, ")");
}

/// Sets the signs of units and the pairs of them; no number is made of another.
std::string marked_up(std::string_view text, bool wrap) {
  std::string out;
  std::size_t k = 0;
  const auto quantity = [&]() -> bool {
    if (k > 0 &&
        (std::isalnum(static_cast<unsigned char>(text[k - 1])) || text[k - 1] == '.' || text[k - 1] == '#'))
      return false;
    const Written first = quantity_at(text.substr(k));
    if (first.length == 0)
      return false;
    k += first.length;
    if (text.substr(k).starts_with(" ("))
      if (const Written second = quantity_at(text.substr(k + 2));
          second.length > 0 && text.substr(k + 2 + second.length).starts_with(")") &&
          second.unit->metric != first.unit->metric && second.unit->temperature == first.unit->temperature) {
        out += told_pair(first, second, wrap);
        k += second.length + 3;
        return true;
      }
    out += first.shown;
    return true;
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
