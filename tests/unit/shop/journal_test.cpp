#include "shop/journal.hpp"

#include <gtest/gtest.h>

#include <stdexcept>

using namespace tq;
using shop::Entry;

namespace {

shop::Firing a_firing() {
  shop::Firing f;
  f.date = "2026-03-14";
  f.blade = "petty \"7\"";
  f.case_path = "petty.toml";
  f.bar = "batch 3";
  f.set = {{"furnace.timer", "22 min"}};
  f.to_oil_s = 3.5;
  f.oil_before_degC = 52;
  f.oil_after_degC = 60;
  f.file = steel::FileFeel::just_skates;
  f.quenched = shop::read_places("spine 64.5 HRC, edge 65 HRC", false);
  f.tempered = {shop::read_places("spine 62 HRC", true), shop::read_places("spine 61 HRC", true)};
  f.packet_log = "logs/p.csv";
  f.bow_m = 0.0004;
  f.remark = "a line";
  return f;
}

shop::Journal journal_of(const std::string& text) { return shop::read_journal(text, "shop.toml"); }

std::string refusal(const std::string& text, std::size_t entry = 0) {
  try {
    const shop::Journal j = journal_of(text);
    if (j.entries.at(entry).kind == Entry::Kind::firing)
      shop::read_firing(j, j.entries.at(entry));
    else
      shop::read_coupon(j, j.entries.at(entry));
  } catch (const records::InputError& error) {
    return error.what();
  }
  return {};
}

} // namespace

TEST(Journal, AnEntryWritten_IsReadBackAsItWas) {
  const shop::Firing f = a_firing();
  const shop::Journal j = journal_of(shop::new_journal("the shed") + shop::entry_text(f));
  EXPECT_EQ(j.name, "the shed");
  ASSERT_EQ(j.entries.size(), 1U);
  const shop::Firing g = shop::read_firing(j, j.entries[0]);
  EXPECT_EQ(g.date, f.date);
  EXPECT_EQ(g.blade, f.blade);
  EXPECT_EQ(g.case_path, f.case_path);
  EXPECT_EQ(g.bar, f.bar);
  ASSERT_EQ(g.set.size(), 1U);
  EXPECT_EQ(g.set[0].path, "furnace.timer");
  EXPECT_EQ(g.set[0].value, "22 min");
  EXPECT_DOUBLE_EQ(*g.to_oil_s, 3.5);
  EXPECT_DOUBLE_EQ(*g.oil_before_degC, 52);
  EXPECT_EQ(*g.file, steel::FileFeel::just_skates);
  ASSERT_EQ(g.quenched.size(), 2U);
  EXPECT_DOUBLE_EQ(g.quenched[0].hrc, 64.5);
  EXPECT_EQ(g.quenched[1].zone, std::size_t{treatment::zone_edge});
  ASSERT_EQ(g.tempered.size(), 2U);
  EXPECT_TRUE(g.tempered[1][0].tempered);
  EXPECT_DOUBLE_EQ(*g.bow_m, 0.0004);
  // and the text of what was read is the text that was written
  EXPECT_EQ(shop::entry_text(g), shop::entry_text(f));
}

TEST(Journal, WhatWasReadOfTheQuench_IsReadBackAsItWas) {
  shop::Firing f = a_firing();
  f.quench_log = "quench.csv";
  f.coupon_log = "coupon.csv";
  f.coupon_m = 3e-3;
  f.coupon_hrc = 52.5;
  const shop::Journal j = journal_of(shop::new_journal("s") + shop::entry_text(f));
  const shop::Firing g = shop::read_firing(j, j.entries.at(0));
  EXPECT_EQ(g.quench_log, "quench.csv");
  EXPECT_DOUBLE_EQ(*g.coupon_m, 3e-3);
  EXPECT_DOUBLE_EQ(*g.coupon_hrc, 52.5);
  EXPECT_EQ(shop::entry_text(g), shop::entry_text(f));
  f.coupon_log.clear();
  EXPECT_NE(shop::nonsense(f).at(0).find("coupon_log"), std::string::npos);
}

TEST(Journal, ACouponWritten_IsReadBackAsItWas) {
  shop::Coupon c;
  c.steel = "O1";
  c.temper_degC = 205;
  c.hold_s = 7200;
  c.cycles = 2;
  c.hrc = 61.5;
  const shop::Journal j = journal_of(shop::new_journal("s") + shop::entry_text(c));
  ASSERT_EQ(j.count(Entry::Kind::coupon), 1U);
  const shop::Coupon d = shop::read_coupon(j, j.entries[0]);
  EXPECT_EQ(shop::entry_text(d), shop::entry_text(c));
  EXPECT_DOUBLE_EQ(d.temper_degC, 205);
  EXPECT_DOUBLE_EQ(d.hrc, 61.5);
  EXPECT_EQ(d.dents, 1);
}

TEST(Journal, DentsAndTestBlockOfACoupon_AreReadBackAndGoTogether) {
  shop::Coupon c;
  c.steel = "O1";
  c.temper_degC = 205;
  c.hrc = 61.5;
  c.dents = 3;
  c.block_hrc = 60;
  c.block_read_hrc = 60.5;
  c.block_within_hrc = 0.3;
  const shop::Journal j = journal_of(shop::new_journal("s") + shop::entry_text(c));
  const shop::Coupon d = shop::read_coupon(j, j.entries.at(0));
  EXPECT_EQ(d.dents, 3);
  EXPECT_DOUBLE_EQ(d.block_hrc.value_or(0), 60);
  EXPECT_DOUBLE_EQ(d.block_read_hrc.value_or(0), 60.5);
  EXPECT_DOUBLE_EQ(d.block_within_hrc.value_or(0), 0.3);
  EXPECT_TRUE(shop::nonsense(d).empty());
  c.block_read_hrc = 52;
  EXPECT_EQ(shop::nonsense(c).size(), 1U);
  c.block_read_hrc.reset();
  EXPECT_EQ(shop::nonsense(c).size(), 1U);
}

TEST(Journal, DigestOfAnEntry_KeepsThroughBlanksAndRemarksAndChangesWithAValue) {
  const std::string head = shop::new_journal("s"), entry = shop::entry_text(a_firing());
  const auto digest = [&](const std::string& text) { return journal_of(head + text).entries.at(0).digest; };
  EXPECT_EQ(digest(entry), digest(entry + "\n# the next one was better\n\n"));
  std::string changed = entry;
  changed.replace(changed.find("64.5"), 4, "63.5");
  EXPECT_NE(digest(entry), digest(changed));
}

TEST(Journal, FaultInAnEntry_NamesTheLineOfTheFile) {
  const std::string head = "format = 1\nshop = \"s\"\n\n[[firing]]\ncase = \"a.toml\"\n\n[[firing]]\n";
  EXPECT_EQ(refusal(head + "case = \"b.toml\"\nquenched = \"back 60 HRC\"\n", 1).substr(0, 12),
            "shop.toml:9:");
  EXPECT_NE(refusal(head + "case = \"b.toml\"\nhardness = \"60 HRC\"\n", 1).find("hardness"),
            std::string::npos);
  EXPECT_NE(refusal(head, 1).find("case"), std::string::npos);
}

TEST(Journal, Nonsense_IsRefusedWithItsReason) {
  const auto first = [](const auto& change) {
    shop::Firing f = a_firing();
    change(f);
    const auto wrong = shop::nonsense(f);
    return wrong.empty() ? std::string() : wrong.front();
  };
  EXPECT_EQ(first([](shop::Firing&) {}), "");
  EXPECT_NE(first([](shop::Firing& f) { f.oil_after_degC = 40; }).find("colder"), std::string::npos);
  EXPECT_NE(first([](shop::Firing& f) { f.tempered.back()[0].hrc = 69; }).find("no temper"),
            std::string::npos);
  EXPECT_NE(first([](shop::Firing& f) {
              f.file = steel::FileFeel::skates;
              f.quenched[1].hrc = 40;
            }).find("skates"),
            std::string::npos);
  EXPECT_NE(first([](shop::Firing& f) { f.date = "14.3.2026"; }).find("day"), std::string::npos);
  EXPECT_THROW(shop::read_places("spine 99 HRC", false), std::invalid_argument);
  EXPECT_THROW(shop::read_places("spine 60", false), std::invalid_argument);
}

TEST(Journal, HeadThatIsNone_IsRefused) {
  EXPECT_THROW(journal_of("title = \"a case\"\n"), records::InputError);
  EXPECT_THROW(journal_of("format = 1\n[always.blade]\nsteel = \"O1\"\n"), records::InputError);
  EXPECT_THROW(journal_of("format = 2\n"), records::InputError);
}

TEST(Journal, WhatStays_IsLaidOnlyWhereTheCaseIsSilent) {
  const shop::Journal j = journal_of(
      "format = 1\n[always.furnace]\nsetpoint = \"800 degC\"\ntimer = \"20 min\"\n[always.bath]\ncoolant = "
      "\"fast-oil\"\n");
  const auto open = [&](const std::string& text) {
    std::string all;
    for (const records::Setting& s : shop::left_open(j, text, "case.toml"))
      all += s.path + "=" + s.value + ";";
    return all;
  };
  EXPECT_EQ(open("format = 1\n"),
            "furnace.setpoint=\"800 degC\";furnace.timer=\"20 min\";bath.coolant=\"fast-oil\";");
  EXPECT_EQ(open("format = 1\n[furnace]\ntimer = \"9 min\"\n"),
            "furnace.setpoint=\"800 degC\";bath.coolant=\"fast-oil\";");
  EXPECT_EQ(open("format = 1\n[furnace]\nlog = \"a.csv\"\n[bath]\ncoolant = \"water\"\n"), "");
  EXPECT_EQ(open("format = 1\n[[step]]\nkind = \"air\"\n"), "");
}
