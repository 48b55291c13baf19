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

} // namespace
