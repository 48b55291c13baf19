#include "units/text.hpp"

#include <gtest/gtest.h>

#include <string>

namespace {

using tq::units::formatted;

// The C standard, 7.21.6.1: what printf makes of these.
TEST(Units_Text, Figures_AreThoseOfPrintf) {
  EXPECT_EQ(formatted("%.1f mm, %d of %s, 5 %%", 2.25, 3, "ten"), "2.2 mm, 3 of ten, 5 %");
  EXPECT_EQ(formatted("%+.3g|%5s|%02X", 1234.5, "ab", 10U), "+1.23e+03|   ab|0A");
  EXPECT_EQ(formatted("%s", ""), "");
}

TEST(Units_Text, Length_IsNoneTooMuch) {
  const std::string long_one(5000, 'x');
  EXPECT_EQ(formatted("<%s>", long_one.c_str()), "<" + long_one + ">");
}

TEST(Units_Text, BlanksAtBothEnds_AreLeftOut) {
  using tq::units::trimmed;
  EXPECT_EQ(trimmed(" \t two words\r\n"), "two words");
  EXPECT_EQ(trimmed("\n one\n", " \t"), "\n one\n");
  EXPECT_EQ(trimmed(" \t "), "");
  EXPECT_EQ(trimmed(""), "");
}

TEST(Units_Text, OtherCase_IsThatOfAsciiAlone) {
  EXPECT_EQ(tq::units::lower_case("O1 \xC3\x96L I"), "o1 \xC3\x96l i");
  EXPECT_EQ(tq::units::upper_case("o1 \xC3\xB6l i"), "O1 \xC3\xB6L I");
}

} // namespace
