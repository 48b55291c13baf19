#include "asking.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tq::page {
namespace {

constexpr const char* one_coupon =
    "format = 1\nshop = \"the shed\"\n[always.bath]\nvolume = \"9 L\"\n\n[[coupon]]\nsteel = \"1084\"\n"
    "temper = \"205 degC\"\nhold = \"120 min\"\nhardness = \"57 HRC\"\n";

TEST(Journal, Laid_IsUnderTheCaseAndSaysSo) {
  Bench bench;
  const Json plain = ask(bench, "live", {{"text", small_blade}});
  EXPECT_FALSE(plain["first"].contains("rests"));
  const Json told = ask(bench, "journal", {{"journal", one_coupon}});
  EXPECT_EQ(told["name"], "the shed");
  EXPECT_EQ(told["coupons"], 1);
  const Json with = ask(bench, "live", {{"text", small_blade}});
  EXPECT_EQ(with["first"]["rests"], "from 1 coupon of this shop");
  EXPECT_NE(with["first"]["hardness"], plain["first"]["hardness"]); // it was read softer than it is told
  EXPECT_EQ(with["echoes"]["bath.volume"], "9 L (2.4 US gal)") << with["echoes"].dump(1);
  ask(bench, "journal", {{"journal", ""}});
  EXPECT_EQ(ask(bench, "live", {{"text", small_blade}})["first"], plain["first"]);
}

TEST(Journal, WhatIsWrong_IsToldWithItsLineAndChangesNothing) {
  Bench bench;
  ask(bench, "journal", {{"journal", one_coupon}});
  const Json answer = ask(bench, "journal", {{"journal", "format = 1\n[always.blade]\nspine = \"3 mm\"\n"}});
  ASSERT_EQ(answer["problems"].size(), 1U) << answer.dump();
  EXPECT_NE(answer["problems"][0]["message"].get<std::string>().find("allowed: furnace"), std::string::npos);
  EXPECT_TRUE(ask(bench, "live", {{"text", small_blade}})["first"].contains("rests"));
}

TEST(Journal, Blade_IsNotedAsTypedAndReadBack) {
  Bench bench;
  const Json typed = {{"journal", ""},
                      {"case", "petty.toml"},
                      {"date", "2026-03-14"},
                      {"blade", "petty 7"},
                      {"seconds_to_oil", "3"},
                      {"oil_before", "125 F"},
                      {"file", "skates"},
                      {"quenched", {{{"zone", "edge"}, {"hrc", "64,5"}}, {{"zone", "spine"}, {"hrc", ""}}}}};
  const Json noted = ask(bench, "note", typed);
  ASSERT_TRUE(noted.contains("journal")) << noted.dump();
  const std::string journal = noted["journal"];
  for (const char* line : {"\n[[firing]]\ndate = \"2026-03-14\"\n", "case = \"petty.toml\"\n",
                           "seconds_to_oil = \"3 s\"\n", "quenched = \"edge 64.5 HRC\"\n"})
    EXPECT_NE(journal.find(line), std::string::npos) << line << journal;
  const Json told = ask(bench, "journal", {{"journal", journal}});
  EXPECT_EQ(told["entries"][0]["title"], "petty 7");
  EXPECT_EQ(told["new"], 1);
  EXPECT_EQ(told["missing"], Json::array({"petty.toml"}));
  const Json learnt = ask(bench, "learn");
  ASSERT_EQ(learnt["troubles"].size(), 1U);
  EXPECT_EQ(learnt["troubles"][0]["why"], "petty.toml: is not here; open it too");
}

TEST(Journal, EveryWrongField_IsToldBesideIt) {
  Bench bench;
  const Json answer = ask(bench, "note",
                          {{"journal", one_coupon},
                           {"case", "petty.toml"},
                           {"seconds_to_oil", "quick"},
                           {"quenched", {{{"zone", "edge"}, {"hrc", "99"}}}}});
  ASSERT_EQ(answer["problems"].size(), 2U) << answer.dump();
  EXPECT_EQ(answer["problems"][0]["path"], "seconds_to_oil");
  EXPECT_EQ(answer["problems"][1]["path"], "quenched");
  const Json nothing = ask(bench, "note", {{"journal", one_coupon}, {"case", "petty.toml"}, {"blade", "x"}});
  EXPECT_NE(nothing["problems"][0]["message"].get<std::string>().find("nothing was read"), std::string::npos);
  const Json coupon = ask(
      bench, "note",
      {{"journal", one_coupon}, {"steel", "1084"}, {"temper", "400 F"}, {"hold", "2 h"}, {"hardness", "59"}});
  ASSERT_TRUE(coupon.contains("journal")) << coupon.dump();
  EXPECT_EQ(ask(bench, "journal", {{"journal", coupon["journal"]}})["coupons"], 2);
}

TEST(Journal, ACouponsDentsAndTestBlock_AreNotedAndEachWrongFieldTold) {
  Bench bench;
  Json typed = {{"journal", ""}, {"steel", "O1"},      {"temper", "205"}, {"hold", "90"},
                {"dents", "3"},  {"hardness", "60,5"}, {"block", "60"},   {"block_read", "60.5 HRC"}};
  const std::string journal = ask(bench, "note", typed)["journal"];
  EXPECT_NE(journal.find("temper = \"205 degC\"\nhold = \"90 min\"\ncycles = 1\nhardness = \"60.5 HRC\"\n"
                         "dents = 3\nblock = \"60 HRC\"\nblock_read = \"60.5 HRC\"\n"),
            std::string::npos)
      << journal;
  typed["dents"] = "2.5";
  typed["temper"] = "";
  typed["block"] = "hard";
  const Json answer = ask(bench, "note", typed);
  ASSERT_EQ(answer["problems"].size(), 3U) << answer.dump();
  EXPECT_EQ(answer["problems"][0]["path"], "temper");
  EXPECT_EQ(answer["problems"][1]["path"], "dents");
  EXPECT_EQ(answer["problems"][2]["path"], "block");
}

TEST(Journal, WhatWasLearntOfABlade_IsKeptAsATextAndNotLearntTwice) {
  Bench bench, other;
  std::string journal = one_coupon;
  journal += "\n[[firing]]\ncase = \"petty.toml\"\noil_before = \"50 degC\"\noil_after = \"53 degC\"\n"
             "quenched = \"edge 62 HRC\"\n";
  for (Bench* each : {&bench, &other})
    ask(*each, "keep", {{"path", "petty.toml"}, {"text", small_blade}});
  EXPECT_EQ(ask(bench, "journal", {{"journal", journal}})["new"], 1);
  const Json learnt = ask(bench, "learn");
  EXPECT_EQ(learnt["shop"]["new"], 0) << learnt.dump();
  EXPECT_EQ(learnt["shop"]["learnt_from"], 1);
  const Json again = ask(other, "journal", {{"journal", journal}, {"learnt", learnt["learnt"]}});
  EXPECT_EQ(again["new"], 0);
  const Json here = ask(bench, "live", {{"text", small_blade}}),
             there = ask(other, "live", {{"text", small_blade}});
  EXPECT_EQ(here["first"]["rests"], "from 1 blade and 1 coupon of this shop");
  EXPECT_EQ(here["first"], there["first"]);
}

} // namespace
} // namespace tq::page
