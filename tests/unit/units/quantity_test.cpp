#include "units/quantity.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

namespace units = tq::units;
using units::parse_quantity;
using units::QuantityError;

namespace {

struct Fact {
  const char* text;
  const char* dimension;
  double si;
  const char* source;
};

// Conversion factors as printed in NIST Special Publication 811 (2008), Appendix B.8, not as in quantity.cpp.
const Fact facts[] = {
    {"1 in", "length", 2.54e-2, "inch (in), exact"},
    {"1 ft", "length", 3.048e-1, "foot (ft), exact"},
    {"1 thou", "length", 2.54e-5, "mil (0.001 in), exact"},
    {"1 micron", "length", 1e-6, "micron, exact"},
    {"1/8 in", "length", 3.175e-3, "inch"},
    {"1 1/8 in", "length", 2.8575e-2, "inch"},
    {"1-1/8 in", "length", 2.8575e-2, "inch"},
    {"3.2 mm", "length", 3.2e-3, "SI"},
    {"50 µm", "length", 5e-5, "SI"},
    {"50 μm", "length", 5e-5, "SI"},
    {"110mm", "length", 0.11, "SI"},
    {"1 gal", "volume", 3.785412e-3, "gallon (US) (gal)"},
    {"1 qt", "volume", 9.463529e-4, "quart (US liquid) (liq qt)"},
    {"6 L", "volume", 6e-3, "liter"},
    {"250 mL", "volume", 2.5e-4, "SI"},
    {"1 lb", "mass", 4.535924e-1, "pound (avoirdupois) (lb)"},
    {"1 oz", "mass", 2.834952e-2, "ounce (avoirdupois) (oz)"},
    {"2 h", "time", 7200, "hour"},
    {"25 min", "time", 1500, "minute"},
    {"1 BTU/(h ft2 degF)", "heat_transfer_coefficient", 5.678263, "Btu_IT/(h ft2 F)"},
    {"1 BTU/h/ft2/degF", "heat_transfer_coefficient", 5.678263, "Btu_IT/(h ft2 F)"},
    {"1 BTU/(h ft degF)", "conductivity", 1.730735, "Btu_IT ft/(h ft2 F)"},
    {"1 BTU/(lb degF)", "specific_heat", 4.1868e3, "Btu_IT/(lb F)"},
    {"1 BTU/lb", "latent_heat", 2.326e3, "Btu_IT/lb"},
    {"1 lb/ft3", "density", 1.601846e1, "pound per cubic foot"},
    {"1 lb/in3", "density", 2.767990e4, "pound per cubic inch"},
    {"7.8 g/cm3", "density", 7800, "SI"},
    {"1 ft/min", "velocity", 5.08e-3, "foot per minute, exact"},
    {"1 kcal/mol", "energy_per_mole", 4184, "thermochemical calorie, exact"},
    {"18 degF", "temperature_difference", 10, "degree Fahrenheit as an interval, 5/9 K"},
    {"10 degC", "temperature_difference", 10, "interval"},
    {"10 K", "temperature_difference", 10, "interval"},
    {"180 degF/h", "heating_rate", 100.0 / 3600, "interval"},
    {"60 K/min", "heating_rate", 1, "interval"},
    {"0.011 1/K", "per_kelvin", 0.011, "SI"},
    {"0.011 K-1", "per_kelvin", 0.011, "SI"},
    {"1 1/degF", "per_kelvin", 1.8, "interval"},
    {"60 HRC", "hardness_HRC", 60, "scale"},
    {"700 HV", "hardness_HV", 700, "scale"},
    {"2 %", "fraction", 0.02, "per cent"},
    {"0.02", "fraction", 0.02, "plain"},
    {"150 J/(m2 K)", "areal_heat_capacity", 150, "SI"},
    {"80 kJ/kg", "latent_heat", 8e4, "SI"},
    {"80 J/g", "latent_heat", 8e4, "SI"},
};

std::string message(const char* text, const char* dimension) {
  try {
    const double value = parse_quantity(text, dimension);
    return "read as " + std::to_string(value);
  } catch (const QuantityError& e) {
    return e.what();
  }
}

} // namespace

TEST(Units_Quantity, ConversionFacts_AgreeToPrintedDigits) {
  for (const Fact& f : facts)
    EXPECT_NEAR(parse_quantity(f.text, f.dimension), f.si, 4e-7 * std::abs(f.si))
        << f.text << ": " << f.source;
}

TEST(Units_Quantity, TemperatureScales_MeetAtFixedPoints) {
  // Steam and ice points and the point where both scales agree; NIST SP 811 B.8: t/degC = (t/degF - 32)/1.8.
  for (const char* text : {"100 degC", "212 degF", "212 °F", "373.15 K", "212 F", "100 deg C", "100 °C"})
    EXPECT_NEAR(parse_quantity(text, "temperature"), 100, 1e-12) << text;
  for (const char* text : {"0 C", "32 degF", "273.15 K"})
    EXPECT_NEAR(parse_quantity(text, "temperature"), 0, 1e-12) << text;
  EXPECT_DOUBLE_EQ(parse_quantity("-40 degF", "temperature"), -40);
  EXPECT_NEAR(parse_quantity("1475 degF", "temperature"), 801.6667, 1e-4);
}

TEST(Units_Quantity, DifferenceIsNeverShifted) {
  EXPECT_NEAR(parse_quantity("25 degF", "temperature_difference"), 13.8889, 1e-4);
  EXPECT_NEAR(parse_quantity("25 degF", "temperature"), -3.8889, 1e-4);
}

TEST(Units_Quantity, SpellingsOfOneUnit_AreTheSame) {
  for (const char* text :
       {"1200 W/(m2 K)", "1200 W/m2K", "1200 W/m2/K", "1200 W/m^2 K", "1200 W/(m²·K)", "1200 W m-2 K-1",
        "1200 W/(m**2*K)", "1.2 kW/m2K", "1200 W/m2 degC", "1200 W m⁻² K⁻¹"})
    EXPECT_NEAR(parse_quantity(text, "heat_transfer_coefficient"), 1200, 1e-9) << text;
  for (const char* text : {"28 W/mK", "28 W/(m K)", "28 W/m K", "28 W m-1 K-1", "0.28 W/(cm K)"})
    EXPECT_NEAR(parse_quantity(text, "conductivity"), 28, 1e-12) << text;
  for (const char* text : {"0.6 kJ/kgK", "600 J/kg K", "0.6 J/(g K)"})
    EXPECT_NEAR(parse_quantity(text, "specific_heat"), 600, 1e-9) << text;
}

TEST(Units_Quantity, WrongText_SaysHowToWriteIt) {
  EXPECT_EQ(message("3.2", "length"),
            "\"3.2\" has no unit; write it like \"3.2 mm\" (mm, cm, m, um, in, thou, ft)");
  EXPECT_EQ(message("800", "temperature"), "\"800\" has no unit; write it like \"800 degC\" (degC, degF, K)");
  EXPECT_EQ(message("1,5 mm", "length"), "\"1,5 mm\" has a comma; decimals have a point, thousands no mark; "
                                         "write a length like \"3.2 mm\"");
  EXPECT_EQ(message("25 s", "length"),
            "\"25 s\" is a time; wanted is a length like \"3.2 mm\" (mm, cm, m, um, in, thou, ft)");
  EXPECT_EQ(message("5 m", "time"), "\"5 m\" is a length; wanted is a time like \"25 min\" (s, min, h)");
  EXPECT_EQ(message("3 mn", "length"), "\"3 mn\": unit \"mn\" is not known; write a length like \"3 mm\" "
                                       "(mm, cm, m, um, in, thou, ft)");
  EXPECT_EQ(message("60 HV", "hardness_HRC"),
            "\"60 HV\" is a Vickers hardness; wanted is a Rockwell C hardness like \"60 HRC\" (HRC)");
  EXPECT_EQ(message("-300 degC", "temperature"), "\"-300 degC\" is below absolute zero (-273.15 degC)");
  EXPECT_EQ(message("", "time"), "empty text; write a time like \"25 min\"");
}

TEST(Units_Quantity, NonsenseIsRefused) {
  for (const char* text : {"nan mm", "inf mm", "-inf mm", "NaN", "mm", "1e999 mm", "1/0 in", "3.2.1 mm",
                           "--3 mm", "3.2 mm mm", "3.2 /mm", "0x10 mm", "1 2 mm", "3.2 mm;", "3.2 m m"})
    EXPECT_THROW(parse_quantity(text, "length"), QuantityError) << text;
  EXPECT_THROW(units::parse_number("nan"), QuantityError);
  EXPECT_THROW(units::parse_number("1,5"), QuantityError);
  EXPECT_THROW(units::parse_number("1.5 mm"), QuantityError);
  EXPECT_DOUBLE_EQ(units::parse_number(" 1.5 "), 1.5);
  EXPECT_THROW(units::from_unit(std::nan(""), "mm", "length"), QuantityError);
  EXPECT_THROW(parse_quantity("1 mm", "no such dimension"), std::logic_error);
}

TEST(Units_Quantity, FormattedText_ReadsBackInEveryDimension) {
  for (const std::string& dimension : units::dimensions())
    for (double value :
         {0.0, 1.0, -1.0, 0.1, 1.0 / 3.0, 2.0 / 3.0, 1234.5678901, 0.0032, 801.66666666666674, 1e-5}) {
      const std::string text = units::format_quantity(value, dimension);
      EXPECT_NEAR(parse_quantity(text, dimension), value, 1e-11 * std::max(1.0, std::abs(value))) << text;
      EXPECT_EQ(text.find(','), std::string::npos) << text;
    }
  EXPECT_EQ(units::format_quantity(0.0032, "length"), "3.2 mm");
  EXPECT_EQ(units::format_quantity(0.003175, "length", "in"), "0.125 in");
  EXPECT_EQ(units::format_quantity(100, "temperature", "degF"), "212 degF");
  EXPECT_EQ(units::format_quantity(1500, "time", "min"), "25 min");
  EXPECT_EQ(units::format_number(1200), "1200");
  EXPECT_EQ(units::format_number(5e-5), "0.00005");
}

TEST(Units_Quantity, TextOfAText_DoesNotDrift) {
  for (const std::string& dimension : units::dimensions())
    for (int i = 1; i < 400; ++i) {
      const double value = std::exp(0.05 * i - 10) * (i % 7 + 1) / 9;
      const std::string once = units::format_quantity(value, dimension);
      EXPECT_EQ(units::format_quantity(parse_quantity(once, dimension), dimension), once) << dimension;
    }
}

TEST(Units_Quantity, ExampleOfEveryDimension_Reads) {
  for (const std::string& dimension : units::dimensions()) {
    EXPECT_NO_THROW(parse_quantity(units::example(dimension), dimension)) << dimension;
    EXPECT_FALSE(units::name(dimension).empty());
  }
}
