// The journal of a shop as a file: nothing noted is lost, whatever happens to the program.
#include "run_command.hpp"
#include "shop/journal.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <filesystem>
#include <random>
#include <string>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>
#include <vector>

using namespace tq;
using test::thinquench;
namespace fs = std::filesystem;

namespace {

const std::string source = TQ_SOURCE_DIR;
const std::string o1 = source + "/cases/drop_point_o1.toml";

shop::Journal journal_at(const fs::path& file) {
  return shop::read_journal(test::read_file(file), file.string());
}

/// Starts note and kills it after so many microseconds; true when it had said that the entry is written.
bool note_killed_after(const fs::path& file, const std::string& name, long us, const fs::path& said) {
  fs::remove(said);     // killed before it begins, the child leaves what the one before it said
  std::fflush(nullptr); // or the child writes what waits to be written once more
  const pid_t child = ::fork();
  if (child == 0) {
    ::freopen(said.c_str(), "w", stdout);
    ::freopen("/dev/null", "w", stderr);
    ::execl(TQ_PROGRAM, TQ_PROGRAM, "note", "--coupon", "O1", "--temper", "205 degC", "--read", "61 HRC",
            "--remark", name.c_str(), "--shop", file.c_str(), static_cast<char*>(nullptr));
    ::_exit(127);
  }
  ::usleep(static_cast<useconds_t>(us));
  ::kill(child, SIGKILL);
  int status = 0;
  ::waitpid(child, &status, 0);
  return fs::exists(said) && test::read_file(said).find("ritten") != std::string::npos;
}

} // namespace

TEST(Note, WhatCannotBeReadBack_IsNotWritten) {
  const test::TemporaryFolder folder;
  const std::string file = (folder.path() / "shop.toml").string();
  for (const auto& [option, value] : {std::pair<const char*, const char*>{"--oil-before", "3000 degC"},
                                      {"--oil-after", "500 degC"},
                                      {"--seconds", "-3 s"},
                                      {"--seconds", "0 s"},
                                      {"--seconds", "1e300 s"},
                                      {"--bow", "-4 mm"}}) {
    const auto refused = thinquench({"note", o1, "--shop", file, option, value, "--blade", "a"});
    EXPECT_EQ(refused.exit_code, 2) << option;
    EXPECT_NE(refused.err.find("is out of range; allowed"), std::string::npos) << refused.err;
    EXPECT_FALSE(fs::exists(file));
  }
  const auto refused = thinquench({"note", o1, "--shop", file, "--blade", "caf\xe9"});
  EXPECT_EQ(refused.exit_code, 2);
  EXPECT_NE(refused.err.find("blade: is no text in UTF-8"), std::string::npos) << refused.err;
  EXPECT_FALSE(fs::exists(file));
}

TEST(Note, ABlade_StandsInTheJournalWithItsCaseNamedFromThere) {
  const test::TemporaryFolder folder;
  const fs::path file = folder.path() / "shop.toml";
  const auto done = thinquench({"note",         o1,
                                "--shop",       file.string(),
                                "--blade",      "hunter 1",
                                "--seconds",    "3 s",
                                "--oil-before", "55 degC",
                                "--oil-after",  "63 degC",
                                "--file",       "skates",
                                "--quenched",   "thickest 64 HRC",
                                "--tempered",   "thickest 61 HRC",
                                "--set",        "furnace.timer=40 min"});
  ASSERT_EQ(done.exit_code, 0) << done.err;
  const shop::Journal j = journal_at(file);
  ASSERT_EQ(j.entries.size(), 1U);
  const shop::Firing f = shop::read_firing(j, j.entries[0]);
  EXPECT_EQ(f.blade, "hunter 1");
  EXPECT_TRUE(fs::equivalent(file.parent_path() / f.case_path, o1));
  EXPECT_EQ(f.set.at(0).path, "furnace.timer");
}

TEST(Note, WhatCannotBeTogether_IsToldAtItsQuestion) {
  const test::TemporaryFolder folder;
  const fs::path file = folder.path() / "shop.toml";
  // asked again on a terminal, so that nothing typed is lost
  for (const auto& [answers, question] :
       {std::pair{"petty 9\n\n3 s\n55 degC\n50 degC\n", "Oil after, stirred?"},
        {"\n\n\n\n\nskates\nedge 40 HRC\n", "Hardness as quenched?"},
        {"\n\n\n\n\nskates\nedge 64 HRC\nedge 69 HRC\n", "Hardness after the last temper?"}}) {
    const auto done =
        test::run_command({TQ_PROGRAM, {"note", o1, "--shop", file.string()}, {}, answers, {}, {}});
    EXPECT_EQ(done.exit_code, 2);
    EXPECT_NE(done.err.find(std::string("note: ") + question), std::string::npos) << done.err;
    EXPECT_FALSE(fs::exists(file));
  }
}

TEST(Note, ACouponWithoutOptions_IsAskedFor) {
  const test::TemporaryFolder folder;
  const fs::path file = folder.path() / "shop.toml";
  const auto asked = [&](const std::string& answers) {
    return test::run_command(
        {TQ_PROGRAM, {"note", "--coupon", "O1", "--shop", file.string()}, {}, answers, {}, {}});
  };
  const auto done = asked("400 F\n2 h\n2\n61 HRC\n3\n60 HRC\n60.5 HRC\n0.3 HRC\nbatch 3\n\n");
  ASSERT_EQ(done.exit_code, 0) << done.err;
  EXPECT_NE(done.out.find("The mean of how many dents?"), std::string::npos) << done.out;
  const shop::Journal j = journal_at(file);
  ASSERT_EQ(j.entries.size(), 1U);
  const shop::Coupon c = shop::read_coupon(j, j.entries[0]);
  EXPECT_NEAR(c.temper_degC, 204.44, 0.01);
  EXPECT_DOUBLE_EQ(c.hold_s, 7200);
  EXPECT_EQ(c.cycles, 2);
  EXPECT_EQ(c.dents, 3);
  EXPECT_DOUBLE_EQ(c.block_read_hrc.value_or(0), 60.5);
  EXPECT_EQ(c.bar, "batch 3");
  for (const auto& [answers, part] :
       {std::pair("", "Tempered at? an answer is needed"),
        std::pair("205 degC\nsoon\n", "How long was one temper? \"soon\" does not start")}) {
    const auto refused = asked(answers);
    EXPECT_EQ(refused.exit_code, 2);
    EXPECT_NE(refused.err.find(part), std::string::npos) << refused.err;
    EXPECT_EQ(test::line_count(refused.err), 1);
  }
  EXPECT_EQ(journal_at(file).entries.size(), 1U);
}

TEST(Note, WhatCannotBe_IsRefusedAndNothingIsWritten) {
  const test::TemporaryFolder folder;
  const fs::path file = folder.path() / "shop.toml";
  const auto refused = [&](std::vector<std::string> more, const std::string& part) {
    std::vector<std::string> all{"note", o1, "--shop", file.string()};
    all.insert(all.end(), more.begin(), more.end());
    test::expect_refused(thinquench(all), part);
    EXPECT_FALSE(fs::exists(file)) << part;
  };
  refused({"--quenched", "back 60 HRC"}, "places");
  refused({"--quenched", "spine 60 HRC", "--tempered", "spine 66 HRC"}, "no temper hardens");
  refused({"--oil-before", "55 degC", "--oil-after", "20 degC"}, "colder");
  refused({"--seconds", "3"}, "--seconds");
  refused({"--seconds", "900 s"}, "up to 10 min"); // what the journal could not be read with
  refused({"--packet-log", "nowhere.csv"}, "nowhere.csv");
  refused({"--file", "skates", "--set", "furnace.timer=40 mm"}, "furnace.timer");
  refused({"--tempered", "spine 61 HRC", "--tempered", "spine 61 HRC", "--tempered", "spine 61 HRC"}, "2");
  refused({"--file", "skates", "--station", "tip"}, "tip");
}

TEST(Note, WithoutAJournal_SaysHowToBeginOne) {
  const test::TemporaryFolder folder;
  test::expect_refused(thinquench({"note", o1, "--file", "skates"},
                                  {{"XDG_CONFIG_HOME", folder.path().string()}}, folder.path()),
                       "--shop FILE");
}

TEST(Note, AJournalBrokenByHand_IsLeftAsItIs) {
  const test::TemporaryFolder folder;
  const fs::path file = folder.path() / "shop.toml";
  test::write_file(file, "title = \"a case\"\n");
  test::expect_refused(thinquench({"note", "--coupon", "O1", "--temper", "205 degC", "--read", "61 HRC",
                                   "--shop", file.string()}),
                       "shop.toml");
  EXPECT_EQ(test::read_file(file), "title = \"a case\"\n");
}

TEST(Note, KilledAtAHundredRandomMoments_LosesNoEntryAndLeavesNoBrokenFile) {
  const test::TemporaryFolder folder;
  const fs::path file = folder.path() / "shop.toml", said = folder.path() / "said";
  ASSERT_EQ(thinquench({"note", "--coupon", "O1", "--temper", "205 degC", "--read", "61 HRC", "--shop",
                        file.string()})
                .exit_code,
            0);
  // moments from the start to well behind the end of a whole run
  const auto begin = std::chrono::steady_clock::now();
  thinquench({"note", "--coupon", "O1", "--temper", "205 degC", "--read", "61 HRC", "--shop", file.string()});
  const auto whole_us = std::max<long>(
      1000, std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now() - begin)
                .count());
  std::mt19937_64 random(18);
  std::size_t promised = 2;
  for (int i = 0; i < 100; ++i) {
    const std::size_t before = journal_at(file).entries.size();
    const long us = static_cast<long>(random() % static_cast<unsigned long>(whole_us + whole_us / 2));
    const bool told = note_killed_after(file, "kill " + std::to_string(i), us, said);
    promised += told ? 1 : 0;
    const shop::Journal j = journal_at(file);
    for (const shop::Entry& entry : j.entries)
      shop::read_coupon(j, entry);
    EXPECT_GE(j.entries.size(), before + (told ? 1 : 0));
    EXPECT_LE(j.entries.size(), before + 1);
  }
  EXPECT_GE(journal_at(file).entries.size(), promised);
}

TEST(Note, TwoProgramsAtOnce_LoseNone) {
  const test::TemporaryFolder folder;
  const fs::path file = folder.path() / "shop.toml";
  constexpr int each = 15;
  const auto work = [&](const std::string& who) {
    for (int i = 0; i < each; ++i)
      thinquench({"note", "--coupon", "O1", "--temper", "205 degC", "--read", "61 HRC", "--remark",
                  who + std::to_string(i), "--shop", file.string()});
  };
  std::thread one(work, "a"), other(work, "b");
  one.join();
  other.join();
  const shop::Journal j = journal_at(file);
  EXPECT_EQ(j.entries.size(), 2U * each);
  for (const shop::Entry& entry : j.entries)
    shop::read_coupon(j, entry);
}

TEST(Shop, ACaseThatNamesOnlyItsBlade_IsMadeInTheShop) {
  const test::TemporaryFolder folder;
  test::write_file(
      folder.path() / "shop.toml",
      "format = 1\nshop = \"the shed\"\n[always.furnace]\nsetpoint = \"803 degC\"\ntimer = \"31 min\"\n"
      "[always.bath]\ncoolant = \"fast-oil\"\n");
  test::write_file(
      folder.path() / "blade.toml",
      "format = 1\n[blade]\nsteel = \"1084\"\nlength = \"110 mm\"\n[[blade.station]]\nwidth = \"30 "
      "mm\"\nspine = \"3 mm\"\nedge = \"0.6 mm\"\n");
  const auto with = thinquench({"check", "blade.toml"}, {}, folder.path()),
             without = thinquench({"check", "blade.toml", "--no-shop"}, {}, folder.path());
  ASSERT_EQ(with.exit_code, 0) << with.err;
  EXPECT_NE(with.out.find("803 degC"), std::string::npos);
  EXPECT_NE(with.out.find("fast-oil"), std::string::npos);
  EXPECT_EQ(without.out.find("803 degC"), std::string::npos);
}

TEST(Shop, ACoupon_CorrectsWhatAskSaysOfItsSteelAndOfNoOther) {
  const test::TemporaryFolder folder;
  const std::string file = (folder.path() / "shop.toml").string();
  ASSERT_EQ(thinquench({"note", "--coupon", "O1", "--temper", "205 degC", "--hold", "2 h", "--read", "59 HRC",
                        "--shop", file})
                .exit_code,
            0);
  const auto line = [&](const std::string& steel, std::vector<std::string> more) {
    std::vector<std::string> all{"ask", steel, "--temper", "205 degC", "--hold", "2 h"};
    all.insert(all.end(), more.begin(), more.end());
    const auto out = thinquench(all).out;
    return out.substr(out.find("205 degC"), 120);
  };
  EXPECT_NE(line("O1", {"--shop", file}), line("O1", {"--no-shop"}));
  EXPECT_EQ(line("1084", {"--shop", file}), line("1084", {"--no-shop"}));
  EXPECT_NE(thinquench({"ask", "O1", "--shop", file}).out.find("1 coupon of this shop"), std::string::npos);
  // read by a tester that reads its block four points too high, the same piece is softer
  const std::string proved = (folder.path() / "proved.toml").string();
  thinquench({"note", "--coupon", "O1", "--temper", "205 degC", "--hold", "2 h", "--read", "59 HRC",
              "--block", "60 HRC", "--block-read", "64 HRC", "--shop", proved});
  const auto hrc = [&](const std::string& shop) {
    return std::stod(line("O1", {"--shop", shop}).substr(32));
  };
  EXPECT_LT(hrc(proved), hrc(file));
}

TEST(Shop, WhatAnAnswerRestsOn_IsSaidByCommandsOfTwoCasesToo) {
  const test::TemporaryFolder folder;
  const std::string file = (folder.path() / "shop.toml").string();
  thinquench({"note", "--coupon", "O1", "--temper", "205 degC", "--read", "59 HRC", "--shop", file});
  const std::vector<std::string> differ{"differ", o1, "--set", "temper.oven=230 degC"};
  auto with = differ, without = differ;
  with.insert(with.end(), {"--shop", file});
  without.push_back("--no-shop");
  EXPECT_NE(thinquench(with).out.find("judged as stated, from 1 coupon of this shop"), std::string::npos);
  EXPECT_NE(thinquench(without).out.find("(judged as stated)"), std::string::npos);
}

TEST(Shop, TheNextReading_StandsInTheJsonToo) {
  const test::TemporaryFolder folder;
  test::write_file(folder.path() / "shop.toml", "format = 1\nshop = \"the shed\"\n");
  const auto told = thinquench({"shop", o1, "--shop", (folder.path() / "shop.toml").string(), "--next",
                                "hardness_tempered", "--json"});
  ASSERT_EQ(told.exit_code, 0) << told.err;
  const auto json = nlohmann::json::parse(told.out);
  ASSERT_FALSE(json["next"].empty());
  EXPECT_NE(json["next"][0]["reading"].get<std::string>().find("tempered coupon"), std::string::npos)
      << told.out;
}

TEST(Ask, MeasuredRows_CorrectTheOthersOfTheirSteelAndNotThemselves) {
  const test::TemporaryFolder folder;
  test::write_file(folder.path() / "rows.csv",
                   "steel,temperature_degC,time_h,read\nO1,205,2,60\nO1,230,2,\n1084,205,2,\n");
  const auto done = thinquench({"ask", "--csv", "rows.csv", "--measured", "read"}, {}, folder.path());
  ASSERT_EQ(done.exit_code, 0) << done.err;
  EXPECT_NE(done.out.find("computed_corrected_HRC,computed_corrected_HRC_band,computed_coupons\n"),
            std::string::npos);
  std::vector<std::string> coupons;
  for (std::size_t at = 0, end = 0; (end = done.out.find('\n', at)) != std::string::npos; at = end + 1)
    coupons.push_back(done.out.substr(done.out.rfind(',', end) + 1, end - done.out.rfind(',', end) - 1));
  EXPECT_EQ(coupons, (std::vector<std::string>{"computed_coupons", "0", "1", "0"}));
  test::expect_refused(thinquench({"ask", "--csv", "rows.csv", "--measured", "hrc"}, {}, folder.path()),
                       "hrc");
}
