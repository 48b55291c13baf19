#include "page/typed.hpp"

#include "units/quantity.hpp"

#include <gtest/gtest.h>

namespace tq::page {
namespace {

const Typing length{Kind::quantity, "length", "mm", {}}, warmth{Kind::quantity, "temperature", "degC", {}},
    span{Kind::quantity, "temperature_difference", "K", {}}, minutes{Kind::quantity, "time", "min", {}};

double value(const std::string& typed, const Typing& field) {
  return units::parse_quantity(field_text(toml_value(typed, field)), field.dimension);
}

// An inch is 25.4 mm; (F - 32) / 1.8 = C.
TEST(Typed, AsPeopleTypeIt_IsUnderstood) {
  EXPECT_DOUBLE_EQ(value("3,2 mm", length), 3.2e-3);
  EXPECT_DOUBLE_EQ(value(" 3.2 ", length), 3.2e-3);
  EXPECT_DOUBLE_EQ(value("1/8 in", length), 25.4e-3 / 8);
  EXPECT_DOUBLE_EQ(value("1/8\"", length), 25.4e-3 / 8);
  EXPECT_DOUBLE_EQ(value("1 1/8 in", length), 25.4e-3 * 1.125);
  EXPECT_NEAR(value("1475 F", warmth), (1475 - 32) / 1.8, 1e-9);
  EXPECT_NEAR(value("1475F", warmth), (1475 - 32) / 1.8, 1e-9);
  EXPECT_NEAR(value("1475 \u00b0F", warmth), (1475 - 32) / 1.8, 1e-9);
  EXPECT_NEAR(value("1475 degF", warmth), (1475 - 32) / 1.8, 1e-9);
  EXPECT_DOUBLE_EQ(value("800 c", warmth), 800);
  EXPECT_NEAR(value("25 F", span), 25 / 1.8, 1e-9);
  EXPECT_DOUBLE_EQ(value("35", minutes), 35 * 60);
  EXPECT_DOUBLE_EQ(value("90 s", minutes), 90);
}

TEST(Typed, WhatIsNotUnderstood_GoesInAsItIs) {
  EXPECT_EQ(toml_value("abc", length), "\"abc\"");
  EXPECT_EQ(toml_value("1,234,5 mm", length), "\"1,234,5 mm\"");
  EXPECT_EQ(toml_value("a\"\n[x]", Typing{Kind::text, "", "", {}}).find('\n'), std::string::npos);
  for (const char* hostile : {"\"", "\\", "]", "\"]\n[furnace]", "'''", "\xff", "-", ".", "1e", "00", "+"})
    for (const Kind kind : {Kind::text, Kind::quantity, Kind::number, Kind::integer, Kind::flag, Kind::choice,
                            Kind::hardness, Kind::doubt})
      EXPECT_EQ(toml_value(hostile, {kind, "length", "mm", {}}).find('\n'), std::string::npos);
}

TEST(Typed, Hardness_IsARange) {
  const Typing hardness{Kind::hardness, "hardness_HRC", "", {}};
  const char* both = "[\"60 HRC\", \"62 HRC\"]";
  for (const char* typed : {"60-62", "60-62 HRC", "60 HRC to 62 HRC", "60 \u2013 62 HRC"})
    EXPECT_EQ(toml_value(typed, hardness), both) << typed;
  EXPECT_EQ(toml_value("61", hardness), "[\"61 HRC\", \"61 HRC\"]");
  EXPECT_EQ(field_text(both), "60-62 HRC");
}

TEST(Typed, WordsAndNumbers_KeepTheirKind) {
  EXPECT_EQ(toml_value("yes", {Kind::flag, "", "", {}}), "true");
  EXPECT_EQ(toml_value("3", {Kind::integer, "", "", {}}), "3");
  EXPECT_EQ(toml_value("0,75", {Kind::number, "", "", {}}), "0.75");
  EXPECT_EQ(toml_value("Bright", {Kind::number, "", "", {"bright"}}), "\"bright\"");
  EXPECT_EQ(toml_value("large", {Kind::quantity, "volume", "L", {"large"}}), "\"large\"");
}

TEST(Typed, UnitOf_ASample) {
  EXPECT_EQ(unit_of("35 min", "time", false), "min");
  EXPECT_EQ(unit_of("", "length", false), "mm");
  EXPECT_EQ(unit_of("3.2 mm", "length", true), "in");
  EXPECT_EQ(unit_of("150 W/(m2 K)", "heat_transfer_coefficient", true), "W/(m2 K)");
}

} // namespace
} // namespace tq::page
