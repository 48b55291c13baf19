#include "page/edit.hpp"

#include "records/document.hpp"

#include <gtest/gtest.h>

namespace tq::page {
namespace {

constexpr const char* text = "# my blade\n"
                             "format = 1\n"
                             "\n"
                             "[blade]\n"
                             "steel = \"O1\"   # as bought # twice\n"
                             "length = \"110 mm\"\n"
                             "[[blade.station]]\n"
                             "name = \"a # b\"\n"
                             "spine = \"3 mm\"\n"
                             "[[blade.station]]\n"
                             "spine = \"2 mm\"\n"
                             "[blade.station.outline]\n"
                             "x = [\"0 mm\", # first\n"
                             "  \"30 mm\"]\n"
                             "[furnace]\n";

std::string line_with(const std::string& where, const std::string& what) {
  const auto at = where.find(what);
  if (at == std::string::npos)
    return "";
  const auto from = where.rfind('\n', at) + 1;
  return where.substr(from, where.find('\n', at) - from);
}

TEST(Edit, KnownKey_LosesNothingButItsValue) {
  const std::string out = edited(text, "blade.steel", "\"W2\"");
  EXPECT_EQ(line_with(out, "W2"), "steel = \"W2\"   # as bought # twice");
  EXPECT_EQ(out.size(), std::string(text).size());
}

TEST(Edit, StationByNumber_OnlyThatOne) {
  const std::string first = edited(text, "blade.station[1].spine", "\"4 mm\""),
                    second = edited(text, "blade.station[2].spine", "\"4 mm\"");
  EXPECT_NE(first.find("spine = \"4 mm\"\n[[blade.station]]\nspine = \"2 mm\""), std::string::npos) << first;
  EXPECT_NE(second.find("spine = \"3 mm\"\n[[blade.station]]\nspine = \"4 mm\""), std::string::npos)
      << second;
}

// What find puts into a case that lists its steps.
TEST(Edit, StepByNumber_OnlyThatOne) {
  const std::string steps = "format = 1\n[[step]]\nkind = \"furnace\"\nsetpoint = \"870 degC\"\n\n[[step]]\n"
                            "kind = \"air\"\n[[step]]\nkind = \"furnace\"\nsetpoint = \"800 degC\"\n";
  EXPECT_NE(edited(steps, "step[3].setpoint", "\"805 degC\"").find("\"805 degC\"\n"), std::string::npos);
  EXPECT_NE(edited(steps, "step[3].setpoint", "\"805 degC\"").find("\"870 degC\"\n"), std::string::npos);
  const std::string timed = edited(steps, "step[1].timer", "\"12 min\"");
  EXPECT_LT(timed.find("timer = \"12 min\""), timed.find("kind = \"air\"")) << timed;
}

TEST(Edit, TableTakenOut_GoesWithItsTablesAndNothingElse) {
  const std::string out = without_table(text, "blade.station[2]");
  EXPECT_NE(out.find("spine = \"3 mm\"\n[furnace]\n"), std::string::npos) << out;
  EXPECT_EQ(without_table(text, "blade.station[3]"), text);
}

TEST(Edit, ListOverLines_IsReplacedWhole) {
  const std::string out = edited(text, "blade.station[2].outline.x", "[]");
  EXPECT_NE(out.find("x = []\n[furnace]"), std::string::npos) << out;
}

TEST(Edit, NewKey_GoesToItsTable) {
  EXPECT_NE(
      edited(text, "blade.start", "\"annealed\"").find("length = \"110 mm\"\nstart = \"annealed\"\n[[blade"),
      std::string::npos);
  EXPECT_NE(edited(text, "furnace.timer", "\"5 min\"").find("[furnace]\ntimer = \"5 min\"\n"),
            std::string::npos);
  EXPECT_NE(edited(text, "title", "\"t\"").find("format = 1\ntitle = \"t\"\n"), std::string::npos);
}

TEST(Edit, NewTable_StandsAtTheEnd) {
  const std::string out = edited(text, "furnace.support.depth", "\"2 mm\"");
  EXPECT_NE(out.find("\n[furnace.support]\ndepth = \"2 mm\"\n"), std::string::npos) << out;
  EXPECT_EQ(records::parse_document(out, "t").table("furnace").table("support").text("depth"), "2 mm");
  EXPECT_NE(edited("", "blade.station[1].spine", "\"3 mm\"").find("[[blade.station]]\nspine = \"3 mm\"\n"),
            std::string::npos);
}

TEST(Edit, EmptyValue_TakesTheLineAway) {
  const std::string out = edited(text, "blade.length", "");
  EXPECT_EQ(out.find("length"), std::string::npos);
  EXPECT_EQ(edited(text, "bath.time", ""), text);
}

TEST(Edit, TableOnOneLine_IsRefusedWithItsPath) {
  try {
    (void)edited("format = 1\nwrap = { foil = \"none\" }\n", "wrap.foil", "\"stainless\"");
    FAIL();
  } catch (const records::InputError& error) {
    EXPECT_EQ(std::string(error.what()).rfind("case: wrap.foil: ", 0), 0U) << error.what();
  }
}

TEST(Edit, WhateverTheText_ComesBackWithoutHanging) {
  for (const char* odd : {"[", "[[", "[]", "=", "x", "a = \"", "a = '''", "a = [", "[a\nb = 1",
                          "[a]]\nb=", "\"\"=1", "a = \"\\"})
    EXPECT_NO_THROW((void)edited(odd, "furnace.timer", "\"5 min\"")) << odd;
}

} // namespace
} // namespace tq::page
