#include "output/text.hpp"

#include <gtest/gtest.h>

#include <limits>

namespace {

using namespace tq::output;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

TEST(Output_Text, TemperatureAndDifference_AreConvertedEachItsOwnWay) {
  EXPECT_EQ(temperature_text(800), "800 degC (1472 degF)");
  EXPECT_EQ(temperature_text(20), "20 degC (68 degF)");
  EXPECT_EQ(difference_text(20), "20 K (36 degF)");
  EXPECT_EQ(difference_text(2.5), "2.5 K (4.5 degF)");
  EXPECT_EQ(temperature_text(nan), "-");
}

TEST(Output_Text, FurnaceTimes_AreWholeMinutesUpwards) {
  EXPECT_EQ(minutes_up(1800), "30 min");
  EXPECT_EQ(minutes_up(1800.00001), "30 min");
  EXPECT_EQ(minutes_up(1801), "31 min");
  EXPECT_EQ(minutes_up(-5), "0 min");
}

TEST(Output_Text, QuenchTimes_AreHalfSecondsToTheSafeSide) {
  EXPECT_EQ(half_seconds_up(6.1), "6.5 s");
  EXPECT_EQ(half_seconds_up(6.5), "6.5 s");
  EXPECT_EQ(half_seconds_down(6.9), "6.5 s");
  EXPECT_EQ(half_seconds_down(-0.2), "0.0 s");
}

TEST(Output_Text, Hardness_IsNeverFinerThanHalfAPoint) {
  EXPECT_EQ(hrc_text(60.74), "60.5");
  EXPECT_EQ(hrc_text(60.76), "61.0");
  EXPECT_EQ(hrc_text(19.9), "below 20");
  EXPECT_EQ(hrc_text(68.2), "above 68");
  EXPECT_EQ(hrc_range_text(60.3, 61.3, 1), "60.5 to 61.5 HRC +/- 1");
  EXPECT_EQ(hrc_range_text(60.9, 61.1, 0.7), "61.0 HRC +/- 1");
  EXPECT_EQ(hrc_range_text(5, 12, 1), "below 20 HRC");
  EXPECT_EQ(hrc_range_text(5, 30, 1.2), "below 20 to 30.0 HRC +/- 1.5");
}

TEST(Output_Text, LengthVolumeHoursShare_ReadInBothSystems) {
  EXPECT_EQ(length_text(3.2e-3), "3.20 mm (0.126 in)");
  EXPECT_EQ(length_text(0.1e-3), "0.10 mm (0.004 in)");
  EXPECT_EQ(length_text(25e-6), "25 um (0.001 in)");
  EXPECT_EQ(length_text(38e-6), "38 um (0.0015 in)");
  EXPECT_EQ(length_text(1e-6), "1 um (0.00004 in)");
  EXPECT_EQ(length_text(0), "0 um (0.000 in)");
  EXPECT_EQ(volume_text(8e-3), "8 L (2.1 US gal)");
  EXPECT_EQ(volume_text(7.5708e-3), "7.57 L (2 US gal)");
  EXPECT_EQ(hours_text(7200), "2 h");
  EXPECT_EQ(hours_text(5400), "1 h 30 min");
  EXPECT_EQ(hours_text(2700), "45 min");
  EXPECT_EQ(percent_text(0.0003), "< 0.1 %");
  EXPECT_EQ(percent_text(0.031), "3.1 %");
  EXPECT_EQ(percent_text(0), "0.0 %");
  EXPECT_EQ(percent_text(1), "100 %");
}

TEST(Output_Text, Folding_KeepsTheWidthAndEveryWord) {
  const std::vector<std::string> lines = folded("one two  three\nfour", 9);
  EXPECT_EQ(lines, (std::vector<std::string>{"one two", "three", "four"}));
  EXPECT_EQ(folded("abcdefghij", 4), (std::vector<std::string>{"abcd", "efgh", "ij"}));
  EXPECT_EQ(folded("", 10), (std::vector<std::string>{""}));
  EXPECT_EQ(folded("\u00e4\u00f6\u00fc \u00e4\u00f6\u00fc", 4).size(), 2U);
}

TEST(Output_Text, BrokenUtf8AndControls_AreMadeHarmless) {
  EXPECT_EQ(clean_utf8("a\x1b[31mb"), "a [31mb");
  EXPECT_EQ(clean_utf8("\xff"), "\xEF\xBF\xBD");
  EXPECT_EQ(clean_utf8("\xc0\xaf"), "\xEF\xBF\xBD\xEF\xBF\xBD");
  EXPECT_EQ(clean_utf8("gr\u00fcn \u2014 \U0001F5E1"), "gr\u00fcn \u2014 \U0001F5E1");
  EXPECT_EQ(clean_utf8("a\r\n", true), "a\r\n");
  EXPECT_EQ(clean_utf8(std::string_view("a\0b", 3), true), "a b");
  EXPECT_EQ(xml_escaped("<a b=\"c\"> & 'd'"), "&lt;a b=&quot;c&quot;&gt; &amp; &#39;d&#39;");
}

} // namespace
