#include "answers/temper_forecast.hpp"
#include "output/sheet.hpp"
#include "output/terminal_chart.hpp"

#include "sample.hpp"
#include "well_formed.hpp"

#include <gtest/gtest.h>

#include <sstream>

namespace {

using tq::test::Sample;

std::string sheet(const Sample& s) {
  return tq::output::sheet_html(s.c, s.runs, s.answers,
                                tq::output::describe_origin(s.c, s.runs, s.answers, s.info));
}

std::string as_xml(const std::string& page) {
  const std::size_t a = page.find("<style>"), b = page.find("</style>") + 8, html = page.find("<html");
  return page.substr(html, a - html) + page.substr(b);
}

TEST(Output_Sheet, FullCase_IsWellFormedAndHoldsWhatTheShopNeeds) {
  const std::string page = sheet(tq::test::full_sample());
  EXPECT_EQ(tq::test::xml_fault(as_xml(page)), "");
  for (const char* part :
       {"Pocket knife &lt;no. 7&gt; &amp; sheath", "1 Furnace", "2 Quench", "3 Before the temper", "4 Temper",
        "second thermocouple", "cracked", "HRC after 1st temper", "change next time", "flash point"})
    EXPECT_NE(page.find(part), std::string::npos) << part;
  for (const char* absent : {"<script", ">nan", " nan ", "href=", "src="})
    EXPECT_EQ(page.find(absent), std::string::npos) << absent;
}

TEST(Output_Sheet, InertOneStage_HasNoCardsThatDoNotApply) {
  const std::string page = sheet(tq::test::bare_sample());
  EXPECT_EQ(tq::test::xml_fault(as_xml(page)), "");
  for (const char* absent : {"1 Furnace", "4 Temper", "cracked"})
    EXPECT_EQ(page.find(absent), std::string::npos) << absent;
}

TEST(Output_TemperForecast, SetTemperature_GivesTheComputedHardness) {
  Sample s = tq::test::full_sample();
  s.c.steel.temper = {15, 3600, 66, {150, 200, 250, 300}, {63, 61, 59, 57}, 1, {}, {}, {}};
  const auto forecast = tq::answers::TemperForecast::of(s.c, s.runs[0], s.answers.stations[0]);
  ASSERT_TRUE(forecast);
  const double set = s.c.oven().oven_degC;
  EXPECT_NEAR(forecast->hrc(set), s.answers.stations[0].zones[tq::treatment::zone_thickest].tempered_HRC,
              1e-9);
  EXPECT_LE(forecast->hrc(set + 40), forecast->hrc(set)); // hotter never hardens
}

TEST(Output_TerminalChart, FullCase_FitsATerminalInAscii) {
  const Sample s = tq::test::full_sample();
  std::ostringstream out;
  tq::output::print_cooling_chart(out, s.c, s.runs[0]);
  std::istringstream lines(out.str());
  int count = 0;
  for (std::string line; std::getline(lines, line); ++count) {
    EXPECT_LE(line.size(), 80U) << line;
    for (const char sign : line)
      EXPECT_TRUE(sign >= 32 && sign < 127) << line;
  }
  EXPECT_GE(count, 12);
  EXPECT_LE(count, 20);
  EXPECT_NE(out.str().find('e'), std::string::npos);
  EXPECT_NE(out.str().find("leaving the furnace"), std::string::npos);
}

TEST(Output_TerminalChart, NoCooling_WritesNothing) {
  Sample s = tq::test::full_sample();
  std::erase_if(s.runs[0].spans, [](const auto& span) { return span.part != tq::treatment::Part::furnace; });
  std::ostringstream out;
  tq::output::print_cooling_chart(out, s.c, s.runs[0]);
  EXPECT_EQ(out.str(), "");
}

} // namespace
