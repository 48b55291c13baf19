#include "output/report.hpp"

#include "output/files/write_results.hpp"
#include "output/html.hpp"
#include "output/sha256.hpp"
#include "sample.hpp"
#include "well_formed.hpp"

#include <gtest/gtest.h>

#include <string>

namespace {

using tq::test::Sample;

std::string report(const Sample& s) {
  const tq::output::Origin origin = tq::output::describe_origin(s.c, s.runs, s.answers, s.info);
  return tq::output::report_html(s.c, s.runs, s.answers, origin);
}

/// What stands between two marks, the first after the other.
std::string between(const std::string& text, const std::string& from, const std::string& to) {
  const std::size_t a = text.find(from) + from.size();
  return text.substr(a, text.find(to, a) - a);
}

/// Without doctype, void tags and the inside of style and script: then the page must be XML.
std::string as_xml(std::string page) {
  page.erase(0, page.find("<html"));
  for (const std::string tag : {"style", "script"}) {
    const std::string open = "<" + tag + ">", close = "</" + tag + ">";
    const std::size_t a = page.find(open);
    if (a != std::string::npos)
      page.erase(a, page.find(close, a) + close.size() - a);
  }
  return page;
}

TEST(Output_Report, FullCase_IsWellFormedAndHoldsTheFigures) {
  const Sample s = tq::test::full_sample();
  const std::string page = report(s);
  EXPECT_EQ(tq::test::xml_fault(as_xml(page)), "");
  for (const char* part :
       {"<title>Pocket knife &lt;no. 7&gt; &amp; sheath</title>", "Does it harden?", "How hard?",
        "What to fear", "61.5", "Hardness after tempering", "retained austenite", "Temperature through time",
        "In the furnace", "In the quench", "Cooling over the transformation diagram", "Sources used",
        "Cautions"})
    EXPECT_NE(page.find(part), std::string::npos) << part;
  for (const char* absent :
       {">nan", " nan ", "-nan", ">inf", "href=\"h", "href=\"/", "src=", "style=\"", "onclick"})
    EXPECT_EQ(page.find(absent), std::string::npos) << absent;
  EXPECT_LT(page.size(), 3000000U);
}

TEST(Output_Report, Policy_AllowsExactlyTheStyleAndTheScriptInside) {
  const std::string page = report(tq::test::full_sample());
  const std::string policy = between(page, "Content-Security-Policy\" content=\"", "\"");
  EXPECT_NE(policy.find("default-src 'none'"), std::string::npos);
  for (const std::string tag : {"style", "script"}) {
    const std::string inside = between(page, "<" + tag + ">", "</" + tag + ">");
    EXPECT_NE(policy.find(tag + "-src 'sha256-" + tq::output::sha256_base64(inside) + "'"), std::string::npos)
        << tag;
  }
  EXPECT_EQ(page.find("<script", page.find("<script") + 1), std::string::npos);
}

TEST(Output_Report, InertOneStage_StillDraws) {
  const std::string page = report(tq::test::bare_sample());
  EXPECT_EQ(tq::test::xml_fault(as_xml(page)), "");
  EXPECT_EQ(page.find(">nan"), std::string::npos);
  EXPECT_EQ(page.find("Retained austenite"), std::string::npos);
}

TEST(Output_Report, WhatIfStrips_AreDrawnWithTheirOutcomes) {
  const Sample s = tq::test::full_sample();
  tq::answers::WhatIfStrip strip{"oven", "What if the oven is hotter?", "temper.oven", "K", {}};
  for (const double change : {-10.0, 0.0, 10.0}) {
    tq::answers::WhatIfPoint p;
    p.label = p.told = change == 0 ? "as set" : change < 0 ? "10 K colder" : "10 K hotter";
    p.change = change;
    p.as_set = change == 0;
    p.hardness = change > 0 ? tq::answers::Verdict::fail : tq::answers::Verdict::pass;
    p.tempered_least_HRC = p.tempered_most_HRC = 60 - change / 10;
    strip.points.push_back(p);
  }
  strip.points[0].possible = false;
  const std::vector<tq::answers::WhatIfStrip> strips{strip};
  tq::output::Extras extras;
  extras.what_if = &strips;
  const std::string page = tq::output::report_html(
      s.c, s.runs, s.answers, tq::output::describe_origin(s.c, s.runs, s.answers, s.info), extras);
  EXPECT_EQ(tq::test::xml_fault(as_xml(page)), "");
  EXPECT_NE(page.find("10 K colder: not possible. as set: 60.0 HRC, pass. 10 K hotter: 59.0 HRC, fail."),
            std::string::npos);
}

// RFC 4648, section 10.
TEST(Output_Base64, TestVectors_AgreeWithRfc4648) {
  EXPECT_EQ(tq::output::base64(""), "");
  EXPECT_EQ(tq::output::base64("f"), "Zg==");
  EXPECT_EQ(tq::output::base64("fo"), "Zm8=");
  EXPECT_EQ(tq::output::base64("foo"), "Zm9v");
  EXPECT_EQ(tq::output::base64("foobar"), "Zm9vYmFy");
}

TEST(Output_Html, QuantitiesWithBothUnits_AreWrapped) {
  using tq::output::plain_units;
  using tq::output::with_units;
  EXPECT_EQ(
      with_units("at 800 degC (1472 degF) < x"),
      "at <span class=\"tC\">800 °C</span><span class=\"both\"> (</span><span class=\"tF\">1472 °F</span>"
      "<span class=\"both\">)</span> &lt; x");
  EXPECT_EQ(plain_units("0.30 mm (0.012 in), 10 K (18 degF)"), "0.30 mm (0.012 in), 10 K (18 °F)");
  // Alone in degC: the other scale is worked out, ranges too.
  EXPECT_EQ(plain_units("usual 790-815 degC (1454-1499 degF)"), "usual 790-815 °C (1454-1499 °F)");
  EXPECT_EQ(plain_units("-20 degC"), "-20 °C"); // who wrote it in one unit said it in one unit
  // A difference alone stays; words and names with figures in them too.
  EXPECT_EQ(plain_units("O1 by 5 K, +/- 1, ~µm"), "O1 by 5 K, ± 1, ~µm");
}

} // namespace
