#include "layout.hpp"
#include "output/report.hpp"
#include "output/risk_words.hpp"
#include "output/sheet.hpp"
#include "sample.hpp"
#include "well_formed.hpp"

#include <gtest/gtest.h>

#include <sstream>

namespace {

using namespace tq;
using answers::Risks;
using answers::Verdict;

Risks some_risks() {
  Risks r;
  r.bow = {Verdict::fail, "1.8 mm (1.2 mm to 2.4 mm) over 240 mm, flank A outside: <not alike>"};
  answers::BowAnswer s;
  s.name = "middle";
  s.bow_m = 1.8e-3;
  s.low_m = 1.2e-3;
  s.high_m = 2.4e-3;
  s.side_certain = true;
  s.edge_bow_m = -0.3e-3;
  s.parts = {{"transformation plasticity", 0.5e-3}, {"growth of martensite", 1e-6}};
  s.bow = r.bow;
  s.cause = "<not alike>";
  s.advice = "grind the bevel after hardening";
  r.stations = {s};
  r.straightening_caution = "before its first temper it is as brittle as glass";
  r.crack.crack = {Verdict::marginal, "scratches across the edge are notches"};
  r.crack.flags = {
      {"scratches", "cross scratches", answers::CrackLevel::raised, "scratches across the edge are notches"},
      {"soak", "carbon", answers::CrackLevel::note, "0.80 %C in solution"}};
  r.crack.not_stated = {{"inner corners", "blade.notch_depth, blade.notch_radius"}};
  return r;
}

treatment::Case long_case() {
  treatment::Case c = test::full_sample().c;
  c.blade.length_m = 0.24;
  return c;
}

std::string printed(const Risks& r, bool colour) {
  std::ostringstream out;
  output::print_risks(out, long_case(), r, colour);
  return out.str();
}

TEST(Output_RiskWords, Terminal_SaysBothVerdictsWithTheCautionBesideTheBow) {
  const std::string text = printed(some_risks(), false);
  for (const char* part : {"BOW AND CRACKS", "bow        FAIL      1.8 mm",
                           "crack      MARGINAL  cross scratches", "in doubt by transformation plasticity;",
                           "spine outside", "what helps: grind the bevel after hardening",
                           "! before its first temper", "raised: ", "not stated: inner corners"})
    EXPECT_NE(text.find(part), std::string::npos) << part << " in\n" << text;
  EXPECT_LT(text.find("! before its first"), text.find("crack  "));
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);)
    EXPECT_LE(line.size(), 100U) << line;
  EXPECT_EQ(text.find('\x1b'), std::string::npos);
  EXPECT_NE(printed(some_risks(), true).find("\x1b[1;31mFAIL"), std::string::npos);
}

TEST(Output_RiskWords, StraightBladeAndNoFlag_AreToldInFewWords) {
  Risks r = some_risks();
  r.stations.front().bow_m = r.stations.front().low_m = 0;
  r.stations.front().high_m = 1e-6;
  r.crack.flags.clear();
  EXPECT_EQ(output::brief_bow(r), "under 0.1 mm (0.004 in)");
  EXPECT_EQ(output::brief_crack(r), "nothing stated invites one");
  EXPECT_FALSE(output::draw_bow(long_case(), r.stations.front()));
  r.stations.clear();
  r.bow = {Verdict::not_asked, "the case has no quench"};
  EXPECT_EQ(output::brief_bow(r), "the case has no quench");
}

TEST(Output_RiskWords, Pages_HoldVerdictsDrawingAndCaution) {
  const test::Sample s = test::full_sample();
  treatment::Case c = long_case();
  const Risks r = some_risks();
  output::Extras extras;
  extras.risks = &r;
  const output::Origin origin = output::describe_origin(c, s.runs, s.answers, s.info);
  const auto without_style = [](const std::string& page) {
    const std::size_t html = page.find("<html"), a = page.find("<style>"), b = page.find("</style>") + 8;
    std::string out = page.substr(html, a - html) + page.substr(b);
    const std::size_t script = out.find("<script>");
    return script == std::string::npos ? out : out.substr(0, script) + out.substr(out.find("</script>") + 9);
  };
  const std::string report = output::report_html(c, s.runs, s.answers, origin, extras);
  for (const char* part :
       {">Bow and cracks</h2>", "s1-bow", "as brittle as glass", "flank A", "cross scratches"})
    EXPECT_NE(report.find(part), std::string::npos) << part;
  EXPECT_EQ(report.find("<not alike>"), std::string::npos);
  EXPECT_EQ(test::xml_fault(without_style(report)), "");
  const std::string sheet = output::sheet_html(c, s.runs, s.answers, origin, extras);
  for (const char* part :
       {"bow <strong class=\"fail\">FAIL", "crack <strong class=\"marginal\">", "as brittle as glass"})
    EXPECT_NE(sheet.find(part), std::string::npos) << part;
  EXPECT_EQ(test::xml_fault(without_style(sheet)), "");
}

} // namespace
