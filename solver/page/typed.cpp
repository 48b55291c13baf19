#include "page/typed.hpp"

#include "records/document.hpp"
#include "units/text.hpp"

#include <algorithm>

namespace tq::page {
namespace {

using units::lower_case;

std::string trimmed(std::string_view text) { return std::string(units::trimmed(text)); }

bool is_digit(char c) { return c >= '0' && c <= '9'; }

void replace_all(std::string& text, std::string_view what, std::string_view by) {
  for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos; at += by.size())
    text.replace(at, what.size(), by);
}

/// A comma between two digits is a point where there is just one and no point.
void comma_to_point(std::string& text) {
  if (std::count(text.begin(), text.end(), ',') != 1 || text.find('.') != std::string::npos)
    return;
  const auto at = text.find(',');
  if (at > 0 && at + 1 < text.size() && is_digit(text[at - 1]) && is_digit(text[at + 1]))
    text[at] = '.';
}

bool bare(const std::string& text) {
  return text.find_first_of("0123456789") != std::string::npos &&
         text.find_first_not_of("0123456789+-./ ") == std::string::npos;
}

std::string quantity(std::string text, const Typing& field) {
  comma_to_point(text);
  replace_all(text, "\u00b0", "deg");
  replace_all(text, "deg ", "deg");
  replace_all(text, "\u2033", " in");
  replace_all(text, "\"", " in");
  if (bare(text))
    return field.usual_unit.empty() ? text : text + " " + field.usual_unit;
  const bool warmth = field.dimension == "temperature" || field.dimension == "temperature_difference";
  const char scale = text.back();
  if (warmth && (scale == 'F' || scale == 'C' || scale == 'f' || scale == 'c') && text.size() > 1 &&
      (is_digit(text[text.size() - 2]) || text[text.size() - 2] == ' ' ||
       (text.size() > 3 && text.compare(text.size() - 4, 3, "deg") == 0))) {
    std::string number = text.substr(0, text.size() - 1);
    if (number.size() > 3 && number.compare(number.size() - 3, 3, "deg") == 0)
      number.resize(number.size() - 3);
    return trimmed(number) + (scale == 'F' || scale == 'f' ? " degF" : " degC");
  }
  return text;
}

/// "60", "60-62 HRC", "60 to 62" as the list that a case has.
std::string hardness(std::string text) {
  replace_all(text, "HRC", "");
  replace_all(text, "hrc", "");
  replace_all(text, " to ", "-");
  replace_all(text, "\u2013", "-");
  std::string number;
  std::vector<std::string> values;
  for (const char c : text + "-")
    if (c == '-') {
      if (const std::string one = trimmed(number); !one.empty())
        values.push_back(one);
      number.clear();
    } else
      number += c;
  for (std::string& value : values)
    comma_to_point(value);
  if (values.empty() || values.size() > 2)
    return records::toml_string(text);
  return "[" + records::toml_string(values.front() + " HRC") + ", " +
         records::toml_string(values.back() + " HRC") + "]";
}

} // namespace

std::string unit_of(std::string_view sample, std::string_view dimension, bool imperial) {
  if (imperial && dimension == "length")
    return "in";
  if (imperial && (dimension == "temperature" || dimension == "temperature_difference"))
    return "degF";
  if (imperial && dimension == "volume")
    return "gal";
  std::size_t at = 0;
  while (at < sample.size() &&
         (is_digit(sample[at]) || std::string_view("+-./ ").find(sample[at]) != std::string_view::npos))
    ++at;
  const std::string unit = at == 0 ? "" : trimmed(sample.substr(at));
  if (!unit.empty())
    return unit;
  return dimension == "length"                   ? "mm"
         : dimension == "temperature"            ? "degC"
         : dimension == "temperature_difference" ? "K"
         : dimension == "time"                   ? "s"
         : dimension == "volume"                 ? "L"
         : dimension == "percent"                ? "%"
         : dimension == "hardness_HRC"           ? "HRC"
                                                 : "";
}

std::string toml_value(std::string_view typed, const Typing& field) {
  std::string text = trimmed(typed);
  for (const std::string& word : field.words)
    if (lower_case(text) == lower_case(word))
      return records::toml_string(word);
  switch (field.kind) {
  case Kind::quantity:
    return records::toml_string(quantity(text, field));
  case Kind::number:
  case Kind::integer:
    comma_to_point(text);
    if (text.find_first_not_of("0123456789+-.eE") != std::string::npos || !is_digit(text.back()) ||
        text.find_first_of("0123456789") == std::string::npos || text.front() == '.')
      return records::toml_string(text);
    if (text.size() > 1 && text.front() == '0' && is_digit(text[1])) // TOML knows no leading zeros
      text.erase(0, std::min(text.find_first_not_of('0'), text.size() - 1));
    return text;
  case Kind::flag:
    if (const std::string word = lower_case(text);
        word == "yes" || word == "true" || word == "no" || word == "false")
      return word == "yes" || word == "true" ? "true" : "false";
    return records::toml_string(text);
  case Kind::hardness:
    return hardness(text);
  case Kind::doubt:
    comma_to_point(text);
    return bare(text) && text.find('/') == std::string::npos ? text : records::toml_string(text);
  case Kind::choice:
  case Kind::text:
    break;
  }
  return records::toml_string(text);
}

std::string field_text(std::string_view toml) {
  std::string text(toml);
  if (text.size() >= 2 && text.front() == '"' && text.back() == '"') {
    std::string out;
    for (std::size_t i = 1; i + 1 < text.size(); ++i) {
      if (text[i] == '\\' && i + 2 < text.size())
        ++i;
      out += text[i];
    }
    return out;
  }
  if (text.size() < 2 || text.front() != '[')
    return text;
  // a range: the unit once
  std::vector<std::string> parts;
  std::string one;
  for (const char c : text.substr(1, text.size() - 2) + ",")
    if (c == ',') {
      parts.push_back(field_text(trimmed(one)));
      one.clear();
    } else
      one += c;
  constexpr std::string_view unit = " HRC";
  const auto is_hardness = [&](const std::string& part) {
    return part.size() > unit.size() && part.compare(part.size() - unit.size(), unit.size(), unit) == 0;
  };
  if (parts.size() != 2 || !is_hardness(parts[0]) || !is_hardness(parts[1]))
    return text;
  return parts[0].substr(0, parts[0].size() - unit.size()) + "-" + parts[1];
}

} // namespace tq::page
