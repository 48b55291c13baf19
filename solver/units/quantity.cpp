#include "units/quantity.hpp"

#include "units/math.hpp"
#include "units/temperature.hpp"
#include "units/text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <locale>
#include <optional>
#include <sstream>

namespace tq::units {
namespace {

/// Exponents of m, kg, s, K, mol, HRC, HV. The two hardness scales are kept apart like dimensions.
using Exponents = std::array<int, 7>;

struct Unit {
  std::string_view spelling;
  double factor; ///< SI value of one unit
  Exponents exponents;
  double zero_degC = 0; ///< temperature scales: degC at the scale's zero
};

constexpr Exponents none{};
constexpr Exponents metre{1};
constexpr Exponents kilogram{0, 1};
constexpr Exponents second{0, 0, 1};
constexpr Exponents kelvin_{0, 0, 0, 1};
constexpr Exponents mole{0, 0, 0, 0, 1};
constexpr Exponents hrc{0, 0, 0, 0, 0, 1};
constexpr Exponents hv{0, 0, 0, 0, 0, 0, 1};
constexpr Exponents square_metre{2};
constexpr Exponents cubic_metre{3};
constexpr Exponents watt{2, 1, -3};
constexpr Exponents joule{2, 1, -2};
constexpr Exponents pascal{-1, 1, -2};

// Factors: NIST SP 811 (2008), Appendix B.8; inch, pound and gallon are exact by definition. BTU is BTU_IT.
constexpr double inch = 0.0254, foot = 0.3048, pound = 0.45359237, gallon = 3.785411784e-3;
constexpr double btu = 1055.05585262, degree_F = 5.0 / 9.0, zero_F = -160.0 / 9.0;

constexpr Unit table[] = {
    {"m", 1, metre},
    {"metre", 1, metre},
    {"meter", 1, metre},
    {"cm", 1e-2, metre},
    {"mm", 1e-3, metre},
    {"um", 1e-6, metre},
    {"µm", 1e-6, metre}, // micro sign U+00B5
    {"μm", 1e-6, metre}, // Greek mu U+03BC
    {"micron", 1e-6, metre},
    {"microns", 1e-6, metre},
    {"in", inch, metre},
    {"inch", inch, metre},
    {"inches", inch, metre},
    {"\"", inch, metre},
    {"″", inch, metre},
    {"thou", inch / 1000, metre},
    {"mil", inch / 1000, metre},
    {"mils", inch / 1000, metre},
    {"ft", foot, metre},
    {"foot", foot, metre},
    {"feet", foot, metre},
    {"s", 1, second},
    {"sec", 1, second},
    {"secs", 1, second},
    {"second", 1, second},
    {"seconds", 1, second},
    {"ms", 1e-3, second},
    {"min", 60, second},
    {"mins", 60, second},
    {"minute", 60, second},
    {"minutes", 60, second},
    {"h", 3600, second},
    {"hr", 3600, second},
    {"hrs", 3600, second},
    {"hour", 3600, second},
    {"hours", 3600, second},
    {"K", 1, kelvin_, -celsius_zero_K},
    {"kelvin", 1, kelvin_, -celsius_zero_K},
    {"degC", 1, kelvin_},
    {"°C", 1, kelvin_},
    {"ºC", 1, kelvin_}, // masculine ordinal, often typed for the degree sign
    {"C", 1, kelvin_},
    {"celsius", 1, kelvin_},
    {"Celsius", 1, kelvin_},
    {"degF", degree_F, kelvin_, zero_F},
    {"°F", degree_F, kelvin_, zero_F},
    {"ºF", degree_F, kelvin_, zero_F},
    {"F", degree_F, kelvin_, zero_F},
    {"fahrenheit", degree_F, kelvin_, zero_F},
    {"Fahrenheit", degree_F, kelvin_, zero_F},
    {"kg", 1, kilogram},
    {"g", 1e-3, kilogram},
    {"lb", pound, kilogram},
    {"lbs", pound, kilogram},
    {"pound", pound, kilogram},
    {"pounds", pound, kilogram},
    {"oz", pound / 16, kilogram},
    {"L", 1e-3, cubic_metre},
    {"l", 1e-3, cubic_metre},
    {"litre", 1e-3, cubic_metre},
    {"litres", 1e-3, cubic_metre},
    {"liter", 1e-3, cubic_metre},
    {"liters", 1e-3, cubic_metre},
    {"mL", 1e-6, cubic_metre},
    {"ml", 1e-6, cubic_metre},
    {"gal", gallon, cubic_metre},
    {"gallon", gallon, cubic_metre},
    {"gallons", gallon, cubic_metre},
    {"qt", gallon / 4, cubic_metre},
    {"quart", gallon / 4, cubic_metre},
    {"quarts", gallon / 4, cubic_metre},
    {"W", 1, watt},
    {"kW", 1e3, watt},
    {"J", 1, joule},
    {"kJ", 1e3, joule},
    {"MJ", 1e6, joule},
    {"cal", 4.184, joule}, // thermochemical calorie
    {"kcal", 4184, joule},
    {"BTU", btu, joule},
    {"Btu", btu, joule},
    {"Pa", 1, pascal},
    {"kPa", 1e3, pascal},
    {"MPa", 1e6, pascal},
    {"GPa", 1e9, pascal},
    {"mol", 1, mole},
    {"HRC", 1, hrc},
    {"hrc", 1, hrc},
    {"HRc", 1, hrc},
    {"HV", 1, hv},
    {"hv", 1, hv},
    {"%", 1e-2, none},
    {"percent", 1e-2, none},
};

struct Dimension {
  std::string_view key, words, usual, sample, units;
  Exponents exponents;
  std::string_view also; ///< second unit of the formatter for small values
};

constexpr Dimension dimension_table[] = {
    {"temperature", "a temperature", "degC", "800 degC", "degC, degF, K", kelvin_, ""},
    {"temperature_difference", "a temperature difference", "K", "10 K", "K, degC, degF", kelvin_, ""},
    {"length", "a length", "mm", "3.2 mm", "mm, cm, m, um, in, thou, ft", metre, "um"},
    {"area", "an area", "cm2", "25 cm2", "mm2, cm2, m2, in2, ft2", square_metre, ""},
    {"time", "a time", "s", "25 min", "s, min, h", second, ""},
    {"volume", "a volume", "L", "6 L", "L, mL, m3, qt, gal", cubic_metre, ""},
    {"mass", "a mass", "g", "250 g", "g, kg, oz, lb", kilogram, ""},
    {"heat_transfer_coefficient",
     "a heat transfer coefficient",
     "W/(m2 K)",
     "1200 W/(m2 K)",
     "W/(m2 K), BTU/(h ft2 degF)",
     {0, 1, -3, -1},
     ""},
    {"conductivity",
     "a thermal conductivity",
     "W/(m K)",
     "28 W/(m K)",
     "W/(m K), BTU/(h ft degF)",
     {1, 1, -3, -1},
     ""},
    {"conductivity_slope",
     "a slope of conductivity over temperature",
     "W/(m K2)",
     "0.01 W/(m K2)",
     "W/(m K2)",
     {1, 1, -3, -2},
     ""},
    {"specific_heat",
     "a specific heat",
     "J/(kg K)",
     "600 J/(kg K)",
     "J/(kg K), kJ/(kg K), BTU/(lb degF)",
     {2, 0, -2, -1},
     ""},
    {"specific_heat_slope",
     "a slope of specific heat over temperature",
     "J/(kg K2)",
     "0.15 J/(kg K2)",
     "J/(kg K2)",
     {2, 0, -2, -2},
     ""},
    {"density", "a density", "kg/m3", "7800 kg/m3", "kg/m3, g/cm3, lb/ft3, lb/in3", {-3, 1}, ""},
    {"velocity", "a velocity", "m/s", "0.3 m/s", "m/s, cm/s, ft/s, ft/min", {1, 0, -1}, ""},
    {"heating_rate",
     "a rate of temperature",
     "K/min",
     "10 K/min",
     "K/s, K/min, degC/min, degC/h, degF/h",
     {0, 0, -1, 1},
     ""},
    {"areal_heat_capacity",
     "a heat capacity per area",
     "J/(m2 K)",
     "200 J/(m2 K)",
     "J/(m2 K), kJ/(m2 K)",
     {0, 1, -2, -1},
     ""},
    {"latent_heat", "a latent heat", "kJ/kg", "80 kJ/kg", "J/kg, kJ/kg, J/g", {2, 0, -2}, ""},
    {"energy_per_mole",
     "an energy per mole",
     "kJ/mol",
     "150 kJ/mol",
     "J/mol, kJ/mol, kcal/mol",
     {2, 1, -2, 0, -1},
     ""},
    {"hardness_HRC", "a Rockwell C hardness", "HRC", "60 HRC", "HRC", hrc, ""},
    {"hardness_HV", "a Vickers hardness", "HV", "700 HV", "HV", hv, ""},
    {"per_kelvin", "a value per kelvin", "1/K", "0.011 1/K", "1/K", {0, 0, 0, -1}, ""},
    {"stress", "a stress", "MPa", "200 MPa", "Pa, kPa, MPa, GPa", pascal, ""},
    {"per_stress", "a value per stress", "1/MPa", "7e-5 1/MPa", "1/Pa, 1/MPa, 1/GPa", {1, -1, 2}, ""},
    {"fraction", "a fraction", "", "2 %", "%, or a plain number", none, ""},
    {"percent", "a percentage", "%", "2 %", "%, or a plain number", none, ""},
};

const Dimension& find_dimension(std::string_view key) {
  for (const Dimension& d : dimension_table)
    if (d.key == key)
      return d;
  throw std::logic_error("unknown dimension: " + std::string(key));
}

/// What was read, on one line and of sane length whatever it holds.
std::string in_quotes(std::string_view text) {
  constexpr std::size_t most = 200;
  std::string out;
  for (const char c : text.substr(0, most))
    out += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
  if (text.size() > most) {
    while (!out.empty() && (static_cast<unsigned char>(out.back()) & 0xC0U) == 0x80U)
      out.pop_back(); // within a character of several bytes
    if (!out.empty() && static_cast<unsigned char>(out.back()) >= 0xC0U)
      out.pop_back();
    out += "...";
  }
  return "\"" + out + "\"";
}

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_space(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; }

bool starts_with(std::string_view text, std::string_view prefix) {
  return text.substr(0, prefix.size()) == prefix;
}

/// Decimal at the start of `text`, which is shortened by it. Nothing when there is none.
std::optional<double> take_decimal(std::string_view& text) {
  std::size_t i = 0;
  if (i < text.size() && (text[i] == '+' || text[i] == '-'))
    ++i;
  std::size_t digits = 0;
  for (; i < text.size() && is_digit(text[i]); ++i)
    ++digits;
  if (i < text.size() && text[i] == '.')
    for (++i; i < text.size() && is_digit(text[i]); ++i)
      ++digits;
  if (digits == 0)
    return std::nullopt;
  if (i < text.size() && (text[i] == 'e' || text[i] == 'E')) {
    std::size_t e = i + 1;
    if (e < text.size() && (text[e] == '+' || text[e] == '-'))
      ++e;
    if (e < text.size() && is_digit(text[e])) {
      while (e < text.size() && is_digit(text[e]))
        ++e;
      i = e;
    }
  }
  std::string number(text.substr(0, i));
  if (number.front() == '+')
    number.erase(0, 1);
  std::istringstream in(number);
  in.imbue(std::locale::classic());
  double value = 0;
  if (!(in >> value) || !std::isfinite(value))
    throw QuantityError(in_quotes(number) + " is too large or too small for a number");
  text.remove_prefix(i);
  return value;
}

/// A whole number of digits only at the start of `text`.
std::optional<double> take_whole(std::string_view& text) {
  std::size_t i = 0;
  double value = 0;
  for (; i < text.size() && is_digit(text[i]) && i < 9; ++i)
    value = 10 * value + (text[i] - '0');
  if (i == 0)
    return std::nullopt;
  text.remove_prefix(i);
  return value;
}

/// A fraction "b/c" of whole numbers at the start of `text`.
std::optional<double> take_fraction(std::string_view& text) {
  std::string_view rest = text;
  const auto numerator = take_whole(rest);
  if (!numerator || rest.empty() || rest.front() != '/')
    return std::nullopt;
  rest.remove_prefix(1);
  const auto denominator = take_whole(rest);
  if (!denominator)
    return std::nullopt;
  if (*denominator == 0)
    throw QuantityError(in_quotes(text) + " divides by zero");
  text = rest;
  return *numerator / *denominator;
}

/// The number at the start of `text` ("3.2", "1e-3", "1/8", "1 1/8", "1-1/8"); text is shortened by it.
double take_number(std::string_view& text, const std::string& whole, const std::string& how) {
  const bool negative = !text.empty() && text.front() == '-';
  std::string_view after_sign = text;
  if (!after_sign.empty() && (after_sign.front() == '-' || after_sign.front() == '+'))
    after_sign.remove_prefix(1);
  {
    std::string_view rest = after_sign;
    if (const auto fraction = take_fraction(rest)) {
      text = rest;
      return negative ? -*fraction : *fraction;
    }
    rest = after_sign;
    const auto whole_part = take_whole(rest);
    if (whole_part && !rest.empty() && (rest.front() == ' ' || rest.front() == '-')) {
      std::string_view tail = rest.substr(1);
      if (const auto fraction = take_fraction(tail); fraction && *fraction < 1) {
        text = tail;
        return negative ? -(*whole_part + *fraction) : *whole_part + *fraction;
      }
    }
  }
  std::string lower;
  for (char c : after_sign)
    lower += static_cast<char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
  if (starts_with(lower, "nan") || starts_with(lower, "inf"))
    throw QuantityError(whole + " is no finite number; " + how);
  const auto value = take_decimal(text);
  if (!value)
    throw QuantityError(whole + " does not start with a number; " + how);
  if (!text.empty() && text.front() == ',')
    throw QuantityError(whole + " has a comma; decimals have a point, thousands no mark; " + how);
  return *value;
}

struct Parsed {
  double factor = 1;
  Exponents exponents{};
  const Unit* single = nullptr; ///< the unit when the expression is that unit alone
};

/// Longest known unit at the start of `text`; the whole run of letters is tried first.
const Unit* take_unit(std::string_view& text) {
  const Unit* best = nullptr;
  for (const Unit& u : table)
    if (text.front() == u.spelling.front() && starts_with(text, u.spelling) &&
        (!best || u.spelling.size() > best->spelling.size()))
      best = &u;
  if (best)
    text.remove_prefix(best->spelling.size());
  return best;
}

/// Exponent at the start of `text`: 2, -2, ^2, **2, superscripts; 1 when there is none.
int take_exponent(std::string_view& text) {
  std::string_view rest = text;
  static constexpr std::pair<std::string_view, int> raised[] = {
      {"²", 2}, {"³", 3}, {"⁻¹", -1}, {"⁻²", -2}, {"⁻³", -3}};
  for (const auto& [spelling, power] : raised)
    if (starts_with(rest, spelling)) {
      text.remove_prefix(spelling.size());
      return power;
    }
  if (starts_with(rest, "**"))
    rest.remove_prefix(2);
  else if (starts_with(rest, "^"))
    rest.remove_prefix(1);
  int sign = 1;
  if (!rest.empty() && (rest.front() == '-' || rest.front() == '+')) {
    sign = rest.front() == '-' ? -1 : 1;
    rest.remove_prefix(1);
  }
  if (rest.empty() || !is_digit(rest.front()))
    return 1;
  const int power = sign * (rest.front() - '0');
  rest.remove_prefix(1);
  text = rest;
  return power;
}

/// The unit expression `text`; nothing when some part of it is no unit.
std::optional<Parsed> parse_unit(std::string_view text) {
  Parsed out;
  int parts = 0, sign = 1;
  bool spelled_power = false;
  // "deg C" and "deg F" are written apart by many
  std::string joined(text);
  for (const char* apart : {"deg C", "deg F", "° C", "° F"})
    for (auto at = joined.find(apart); at != std::string::npos; at = joined.find(apart))
      joined.erase(joined.find(' ', at), 1);
  text = joined;
  while (!text.empty()) {
    if (is_space(text.front()) || text.front() == '(' || text.front() == ')' || text.front() == '*') {
      text.remove_prefix(1);
      continue;
    }
    if (starts_with(text, "·")) {
      text.remove_prefix(std::string_view("·").size());
      continue;
    }
    if (text.front() == '/') {
      sign = -1;
      text.remove_prefix(1);
      spelled_power = true;
      continue;
    }
    if (text.front() == '1' && parts == 0) { // "1/K"
      text.remove_prefix(1);
      continue;
    }
    const Unit* unit = take_unit(text);
    if (!unit)
      return std::nullopt;
    const int written = take_exponent(text);
    const int power = sign * written;
    if (written != 1)
      spelled_power = true;
    for (std::size_t i = 0; i < out.exponents.size(); ++i)
      out.exponents[i] += power * unit->exponents[i];
    for (int i = 0; i < std::abs(power); ++i)
      out.factor = power > 0 ? out.factor * unit->factor : out.factor / unit->factor;
    ++parts;
    out.single = parts == 1 ? unit : nullptr;
  }
  if (spelled_power)
    out.single = nullptr;
  return out;
}

/// The known dimension with these exponents, in words; empty when there is none.
std::string words_of(const Exponents& exponents) {
  for (const Dimension& d : dimension_table)
    if (d.exponents == exponents)
      return std::string(d.words);
  return {};
}

/// `number` and the usual unit of the dimension, quoted, as a hint.
std::string spelled(std::string_view number, const Dimension& d) {
  std::string out(number);
  if (out.empty())
    return in_quotes(d.sample);
  if (!d.usual.empty())
    out += " " + std::string(d.sample.substr(d.sample.find(' ') + 1));
  return in_quotes(out);
}

double apply(double value, std::string_view unit_text, const Dimension& d, const std::string& whole,
             std::string_view number_text) {
  const auto unit = parse_unit(unit_text);
  if (!unit)
    throw QuantityError(whole + ": unit " + in_quotes(unit_text) + " is not known; write " +
                        std::string(d.words) + " like " + spelled(number_text, d) + " (" +
                        std::string(d.units) + ")");
  if (unit->exponents != d.exponents) {
    std::string is = words_of(unit->exponents);
    throw QuantityError(whole + (is.empty() ? " has the wrong unit" : " is " + is) + "; wanted is " +
                        std::string(d.words) + " like " + in_quotes(d.sample) + " (" + std::string(d.units) +
                        ")");
  }
  if (d.key != "temperature")
    return value * unit->factor;
  if (!unit->single)
    throw QuantityError(whole + " is no plain temperature; write it like " + in_quotes(d.sample));
  const double degC = unit->single->spelling == "K" || unit->single->spelling == "kelvin"
                          ? value - celsius_zero_K
                          : (unit->single->zero_degC != 0 ? (value - 32) * 5 / 9 : value);
  if (degC < -celsius_zero_K)
    throw QuantityError(whole + " is below absolute zero (-273.15 degC)");
  return degC;
}

std::string digits(double value, int precision) {
  constexpr double whole_below = 1e6; // written with all digits by any precision in use; streams are slow
  if (value == std::floor(value) && std::abs(value) < whole_below && !std::signbit(value))
    return std::to_string(static_cast<long>(value));
  std::ostringstream out;
  out.imbue(std::locale::classic());
  out.precision(precision);
  out << value;
  return out.str();
}

} // namespace

double parse_quantity(std::string_view text, std::string_view dimension) {
  const Dimension& d = find_dimension(dimension);
  const std::string whole = in_quotes(text);
  std::string_view rest = trimmed(text);
  if (rest.empty())
    throw QuantityError("empty text; write " + std::string(d.words) + " like " + in_quotes(d.sample));
  std::string_view at_number = rest;
  const double value =
      take_number(rest, whole, "write " + std::string(d.words) + " like " + in_quotes(d.sample));
  at_number = trimmed(at_number.substr(0, at_number.size() - rest.size()));
  rest = trimmed(rest);
  if (rest.empty()) {
    if (d.exponents == none)
      return value;
    if (d.key == "time" || d.key == "heating_rate") { // the usual one would be believed
      const bool time = d.key == "time";
      const auto with = [&](const char* unit) { return in_quotes(std::string(at_number) + " " + unit); };
      throw QuantityError(whole + " has no unit; is it " + with(time ? "s" : "K/s") + " or " +
                          with(time ? "min" : "K/min") + "? (" + std::string(d.units) + ")");
    }
    if (d.key == "length" && at_number.find('/') != std::string_view::npos)
      throw QuantityError(whole + " has no unit; write it like " + in_quotes(std::string(at_number) + " in") +
                          " (" + std::string(d.units) + ")");
    throw QuantityError(whole + " has no unit; write it like " + spelled(at_number, d) + " (" +
                        std::string(d.units) + ")");
  }
  const double si = apply(value, rest, d, whole, at_number);
  if (!std::isfinite(si))
    throw QuantityError(whole + " is too large for a number");
  return si;
}

double from_unit(double value, std::string_view unit, std::string_view dimension) {
  const Dimension& d = find_dimension(dimension);
  unit = trimmed(unit);
  const std::string whole = in_quotes(format_number(value) + (unit.empty() ? "" : " " + std::string(unit)));
  if (!std::isfinite(value))
    throw QuantityError(whole + " is no finite number");
  if (unit.empty() && d.exponents == none)
    return value;
  return apply(value, unit, d, whole, format_number(value));
}

std::string format_number(double value) {
  // 13 digits: a text read back gives the same 13 digits again, so that an echo of an echo does not drift
  constexpr int precision = 13;
  std::string text = digits(value, precision);
  const double size = std::abs(value);
  if (text.find('e') == std::string::npos || !(size >= 1e-5 && size < 1e15))
    return text;
  // plain notation where people expect it: 0.00005, not 5e-05
  std::ostringstream out;
  out.imbue(std::locale::classic());
  out.setf(std::ios::fixed);
  out.precision(std::max(0, precision - 1 - static_cast<int>(std::floor(math::log10(size)))));
  out << value;
  text = out.str();
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.')
      text.pop_back();
  }
  return text;
}

std::string format_quantity(double si, std::string_view dimension, std::string_view unit) {
  const Dimension& d = find_dimension(dimension);
  if (unit.empty())
    unit = d.usual;
  if (unit.empty())
    return format_number(si);
  const auto parsed = parse_unit(unit);
  if (!parsed || parsed->exponents != d.exponents)
    throw std::logic_error("unit " + std::string(unit) + " does not belong to " + std::string(dimension));
  double value = si / parsed->factor;
  if (d.key == "temperature" && parsed->single) {
    if (parsed->single->spelling == "K" || parsed->single->spelling == "kelvin")
      value = si + celsius_zero_K;
    else if (parsed->single->zero_degC != 0)
      value = si * 9 / 5 + 32;
  }
  return format_number(value) + " " + std::string(unit);
}

double parse_number(std::string_view text) {
  const std::string whole = in_quotes(text);
  std::string_view rest = trimmed(text);
  const double value = take_number(rest, whole, "write a number like 0.35");
  if (!trimmed(rest).empty())
    throw QuantityError(whole + " is more than a number; write a number like 0.35");
  return value;
}

std::string example(std::string_view dimension) { return std::string(find_dimension(dimension).sample); }

std::string name(std::string_view dimension) { return std::string(find_dimension(dimension).words); }

std::vector<std::string> dimensions() {
  std::vector<std::string> out;
  for (const Dimension& d : dimension_table)
    out.emplace_back(d.key);
  return out;
}

} // namespace tq::units
