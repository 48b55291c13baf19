// One case, one answer: what harden says on the terminal, with --quiet, as JSON, in its HDF5 file, its report
// and its shop sheet, and what find, compare and differ say of the same case.
#include "../unit/output/layout.hpp"
#include "answers/telling.hpp"
#include "run_command.hpp"
#include "thirty_shops.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using tq::answers::Show;
using tq::test::Outcome;
using tq::test::read_file;
using tq::test::Shop;
using tq::test::TemporaryFolder;
using tq::test::thinquench;

/// Text folded to a page, as one line with single blanks.
std::string unfolded(const std::string& text) {
  std::string out;
  for (const char c : text)
    if (std::isspace(static_cast<unsigned char>(c)) == 0)
      out += c;
    else if (out.empty() || out.back() != ' ')
      out += ' ';
  return out;
}

/// The words of a page with the units as the program writes them elsewhere.
std::string words_of(const std::string& html) {
  std::string text;
  bool inside = false; // a tag
  for (const char c : html.substr(html.find("<body>"))) {
    if (!inside && c != '<')
      text += c;
    inside = c == '<' || (inside && c != '>');
  }
  for (const auto& [from, to] : std::vector<std::pair<std::string, std::string>>{
           {"\u00b0C", "degC"}, {"\u00b0F", "degF"}, {"\u00b1", "+/-"}, {"\u00d7", "x"}, {"&lt;", "<"}})
    for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos; at += to.size())
      text.replace(at, from.size(), to);
  return unfolded(text);
}

std::string upper(std::string word) {
  for (char& c : word)
    c = c == '_' ? ' ' : static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  return word;
}

/// Everything that one computation has said.
class Consistency : public testing::TestWithParam<Shop> {
 protected:
  static constexpr const char* draws = "32";

  void SetUp() override {
    const std::string base = GetParam().base;
    case_file_ = TQ_SOURCE_DIR "/cases/" + base + ".toml";
    const Outcome said = run(on_case({"harden"}, {"--members", draws, "--no-what-if", "--full"}));
    ASSERT_EQ(said.exit_code, 0) << said.err;
    terminal_ = unfolded(said.out);
    const fs::path stem = folder_.path() / "out" / base;
    answers_ = json::parse(read_file(stem.string() + ".json"));
    h5_ = stem.string() + ".h5";
    report_ = read_file(stem.string() + ".html");
    sheet_ = read_file(stem.string() + "_sheet.html");
  }

  Outcome run(const std::vector<std::string>& arguments) const {
    return thinquench(arguments, {}, folder_.path());
  }
  /// The command with the shop's case and what it sets.
  std::vector<std::string> on_case(std::vector<std::string> command,
                                   const std::vector<std::string>& options = {}) const {
    command.push_back(case_file_);
    for (const std::string& set : GetParam().sets)
      command.insert(command.end(), {"--set", set});
    command.insert(command.end(), options.begin(), options.end());
    return command;
  }
  /// The line of --quiet, by the same draws.
  const std::string& quiet_line() const {
    if (quiet_.empty())
      quiet_ = run(on_case({"harden"}, {"--members", draws, "-q", "--no-files"})).out;
    return quiet_;
  }
  bool asked(const std::string& key) const { return answers_[key]["verdict"] != "not_asked"; }
  void expect_same_verdicts() const;
  void expect_one_answer() const;
  void expect_cautious_ends() const;
  void expect_same_limits() const;
  void expect_searches_agree() const;
  std::string text_of(const std::string& dataset) const { return tq::test::texts_of(h5_, dataset)[0]; }

  /// The worst over the stations of a figure, as people are told it.
  std::string told(const char* name, Show show, bool greatest, double times = 1) const {
    double worst = NAN;
    for (const json& s : answers_["stations"])
      if (s.at(name).is_number())
        worst = greatest ? std::fmax(worst, s.at(name).get<double>())
                         : std::fmin(worst, s.at(name).get<double>());
    return tq::answers::told(show, times * worst);
  }
  /// Over the zones that are to be hard, which people are told.
  std::string hardness(const std::string& when) const {
    double least = NAN, most = NAN, band = 0;
    for (const json& s : answers_["stations"]) {
      bool all_hard = true; // then the figures of the station, which hold between its zones too
      for (const auto& [name, zone] : s["zones"].items()) {
        all_hard = all_hard && zone["wanted"] == "hard";
        if (zone["wanted"] == "hard" && zone["hardness_" + when].is_number()) {
          least = std::fmin(least, zone["hardness_" + when].get<double>());
          most = std::fmax(most, zone["hardness_" + when].get<double>());
        }
      }
      if (const json& low = s["hardness_" + when + "_least"], &high = s["hardness_" + when + "_most"];
          all_hard && low.is_number() && high.is_number()) {
        least = std::fmin(least, low.get<double>());
        most = std::fmax(most, high.get<double>());
      }
      const json& doubt = s[when == "tempered" ? "hardness_band" : "hardness_as_quenched_band"];
      band = std::max(band, doubt.is_number() ? doubt.get<double>() : 0);
    }
    return tq::answers::hrc_range_text(least, most, band);
  }
  /// All four places for people say it.
  void expect_told(const std::string& text, bool on_sheet = true) const {
    EXPECT_NE(terminal_.find(text), std::string::npos) << text << " is not on the terminal: " << terminal_;
    EXPECT_NE(words_of(report_).find(text), std::string::npos) << text << " is not in the report";
    if (on_sheet) {
      EXPECT_NE(words_of(sheet_).find(text), std::string::npos) << text << " is not on the sheet";
    }
  }

  void expect_told_if_known(const char* name, Show show, bool greatest) const {
    if (const std::string text = told(name, show, greatest); text != "-")
      expect_told(text);
  }

  TemporaryFolder folder_;
  std::string case_file_, terminal_, report_, sheet_;
  mutable std::string quiet_;
  fs::path h5_;
  json answers_;
};

void Consistency::expect_same_verdicts() const {
  const std::string quiet = quiet_line();
  const json printed =
      json::parse(run(on_case({"harden"}, {"--members", draws, "-q", "--json", "--no-files"})).out);
  const json quick = json::parse(run(on_case({"harden"}, {"-q", "--json", "--no-files"})).out);
  EXPECT_EQ(answers_["judged_by_draws"], 32);
  EXPECT_EQ(quick["judged_by_draws"], 0);
  EXPECT_EQ(tq::test::numbers_of(h5_, "/answers/judged_by_draws")[0], 32);
  if (answers_["decision"]["go"] == "not_asked")
    return; // temperatures alone: there is nothing to judge
  for (const std::string& text : {terminal_, quiet, words_of(report_), words_of(sheet_)})
    EXPECT_NE(text.find("judged by 32 draws"), std::string::npos) << text;
  for (const std::string key : {"soak", "quench", "hardness"}) {
    const std::string verdict = answers_[key]["verdict"];
    if (verdict == "not_asked")
      continue;
    EXPECT_EQ(printed[key], answers_[key]);
    EXPECT_EQ(text_of("/answers/" + key + "_verdict"), verdict);
    EXPECT_EQ(answers_[key]["as_stated"], text_of("/answers/" + key + "_as_stated"));
    EXPECT_EQ(answers_[key]["reason"], text_of("/answers/" + key + "_reason"));
    EXPECT_EQ(answers_["bands"][key]["verdict"], verdict);
    EXPECT_EQ(quick[key]["verdict"], answers_[key]["as_stated"]);
    EXPECT_NE(terminal_.find(" " + upper(key) + " " + upper(verdict) + " "), std::string::npos)
        << key << terminal_;
    EXPECT_NE(quiet.find(key + " " + upper(verdict)), std::string::npos) << quiet;
    const std::string tag = "<span>" + key + "</span> <b class=\"" + verdict + "\">";
    EXPECT_NE(report_.find(tag), std::string::npos) << tag;
    EXPECT_NE(sheet_.find(tag), std::string::npos) << tag;
  }
  for (const std::string key : {"bow", "crack", "oil", "edge"}) {
    const std::string verdict = answers_["risks"][key]["verdict"];
    EXPECT_EQ(text_of("/answers/" + key + "_verdict"), verdict);
    if (verdict == "not_asked")
      continue;
    EXPECT_NE(quiet.find(key + " " + upper(verdict)), std::string::npos) << quiet;
    EXPECT_NE(terminal_.find(" " + upper(key) + " " + upper(verdict)), std::string::npos) << key << terminal_;
    const std::string tag = "<strong class=\"" + verdict + "\">";
    EXPECT_NE(report_.find(tag), std::string::npos) << tag;
    EXPECT_NE(sheet_.find(tag), std::string::npos) << tag;
  }
}

/// The one answer stands first everywhere, and everywhere it is the same.
void Consistency::expect_one_answer() const {
  const std::string quiet = quiet_line();
  const std::string brief = run(on_case({"harden"}, {"--members", draws, "--no-files"})).out;
  std::string word = answers_["decision"]["go"];
  word = word == "do_not"      ? "DO NOT"
         : word == "with_care" ? "GO WITH CARE"
         : word == "go"        ? "GO"
                               : "NOT ASKED";
  EXPECT_NE(quiet.find(": " + word + ". soak "), std::string::npos) << quiet;
  EXPECT_NE(brief.find("\n\n" + word + " "), std::string::npos) << brief;
  EXPECT_NE(terminal_.find(word + " "), std::string::npos) << terminal_;
  for (const std::string& page : {report_, sheet_})
    EXPECT_NE(words_of(page).find(word), std::string::npos) << word;
  for (const std::string change : answers_["decision"]["changes"])
    for (const std::string& text : {unfolded(brief), words_of(report_)})
      EXPECT_NE(text.find(change), std::string::npos) << change << " is missing from " << text;
}

/// What is recommended holds for nine draws in ten: never on the bold side of the middle.
void Consistency::expect_cautious_ends() const {
  const auto expect_beyond = [](const json& s, const char* careful, const char* middle, bool later) {
    if (!s[careful].is_number() || !s[middle].is_number())
      return;
    const double cautious = s[careful].get<double>(), stated = s[middle].get<double>();
    EXPECT_TRUE(later ? cautious >= stated : cautious <= stated) << careful << cautious << middle << stated;
  };
  for (const json& s : answers_["stations"]) {
    expect_beyond(s, "timer_careful", "timer_from_door", true);
    expect_beyond(s, "transfer_careful", "transfer_to_spare", false);
    expect_beyond(s, "lift_careful", "lift_below_flash", true);
    expect_beyond(s, "bath_volume_careful", "least_bath_volume", true);
  }
  expect_told_if_known("timer_careful", Show::minutes_up, true);
  expect_told_if_known("lift_careful", Show::half_seconds_up, true);
}

TEST_P(Consistency, FiguresOfTheFiles_AreTheSame) {
  for (std::size_t k = 0; k < answers_["stations"].size(); ++k) {
    const std::string group = "/station_" + std::to_string(k + 1) + "/answers/";
    const json& s = answers_["stations"][k];
    for (const char* name : {"timer_from_door", "timer_used", "bath_end", "bath_limit", "least_bath_volume",
                             "hardness_tempered_least", "transfer_to_spare", "rate_margin"}) {
      const double value = tq::test::numbers_of(h5_, group + name)[0];
      if (s[name].is_number())
        EXPECT_EQ(value, s[name].get<double>()) << name;
      else
        EXPECT_FALSE(std::isfinite(value)) << name;
    }
    const json& band = answers_["bands"]["stations"][k]["figures"]["timer_from_door"];
    const std::vector<double> drawn = tq::test::numbers_of(h5_, group + "bands/timer_from_door");
    EXPECT_EQ(drawn[0], band["low"].get<double>());
    EXPECT_EQ(drawn[1], band["middle"].get<double>());
    EXPECT_EQ(drawn[2], band["high"].get<double>());
  }
}

void Consistency::expect_same_limits() const {
  const std::string quiet = quiet_line();
  expect_told_if_known("timer_from_door", Show::minutes_up, true);
  if (asked("soak")) {
    const std::string used = told("timer_used", Show::minutes_up, true);
    EXPECT_NE(quiet.find(used + " from closing the door"), std::string::npos) << used << quiet;
  }
  for (const char* when : {"tempered", "as_quenched"})
    if (const std::string text = hardness(when); text.find("-") != 0)
      expect_told(text);
  const std::string limit = told("bath_limit", Show::at_most_degC, false);
  if (const std::string volume = told("least_bath_volume", Show::at_least_volume, true);
      volume != "-" && limit != "-") {
    expect_told("above " + limit);
    const std::string careful = told("bath_volume_careful", Show::at_least_volume, true);
    EXPECT_NE(terminal_.find("at least " + careful), std::string::npos) << careful;
    if (careful != volume) {
      EXPECT_NE(terminal_.find("(middle " + volume + ")"), std::string::npos) << volume;
    }
  }
  if (terminal_.find("second bath: ends at") != std::string::npos)
    return; // the oil's limit told is then that of the second bath, the figure that of the first
  // no output names a hotter bath as allowed
  for (const std::string& text : {terminal_, words_of(report_), words_of(sheet_)})
    for (const char* lead : {"no further blade above ", "No further blade into oil above "})
      for (std::size_t at = 0; (at = text.find(lead, at)) != std::string::npos;
           at += std::string(lead).size())
        EXPECT_EQ(text.compare(at + std::string(lead).size(), limit.size(), limit), 0) << text.substr(at, 80);
}

void Consistency::expect_searches_agree() const {
  const json timer = json::parse(run(on_case({"find", "timer"}, {"--json"})).out);
  EXPECT_EQ(timer["judged_by_draws"], 0);
  ASSERT_TRUE(timer["found"]);
  for (const json& setting : timer["settings"]) // where nine in ten need no more, it is the first alone
    if (setting["name"] == "timer_from_door_as_stated" || timer["settings"].size() == 2) {
      EXPECT_EQ(setting["text"], told("timer_from_door", Show::minutes_up, true));
      break;
    }
  const json volume = json::parse(run(on_case({"find", "oil-volume"}, {"--json"})).out);
  for (const json& setting : volume["settings"]) // likewise
    if (setting["name"] == "least_volume_as_stated" || volume["settings"].size() == 1) {
      // what harden tells is the balance with the heat that the case's own bath takes; the smaller bath ends
      // warmer and takes up to a hundredth less, so that a half litre may be told that it does not need
      const std::string text = setting["text"];
      constexpr double takes_less = 0.99;
      EXPECT_TRUE(text == told("least_bath_volume", Show::at_least_volume, true) ||
                  text == told("least_bath_volume", Show::at_least_volume, true, takes_less))
          << text;
    }
  const json other =
      json::parse(run({"differ", case_file_, TQ_SOURCE_DIR "/cases/plates_o2.toml", "--json"}).out);
  EXPECT_EQ(other["judged_by_draws"], 0);
  const bool several = answers_["stations"].size() > 1;
  for (const json& line : other["answers"])
    for (const json& s : answers_["stations"]) {
      const std::string what = line["what"], before = several ? s["name"].get<std::string>() + ": " : "";
      if (what == before + "timer, from closing the door") {
        EXPECT_EQ(line["first"], tq::answers::minutes_up(s["timer_from_door"].get<double>()));
      }
      if (what == before + "HRC after tempering, least") {
        EXPECT_EQ(line["first"], tq::answers::hrc_text(s["hardness_tempered_least"].get<double>()));
      }
    }
  const json rows = json::parse(run(on_case({"compare"}, {"--json"})).out);
  EXPECT_EQ(rows["judged_by_draws"], 0);
  EXPECT_EQ(rows["rows"][0]["quench"], answers_["quench"]["as_stated"]);
  EXPECT_EQ(rows["rows"][0]["crack"], answers_["risks"]["crack"]["verdict"]);
  EXPECT_EQ(rows["rows"][0]["oil"], answers_["risks"]["oil"]["verdict"]);
  EXPECT_EQ(tq::answers::hrc_text(rows["rows"][0]["as_quenched_least_HRC"].get<double>()),
            tq::answers::told(Show::rockwell, [&] {
              double least = 1e9;
              for (const json& s : answers_["stations"])
                least = std::min(least, s["hardness_as_quenched_least"].get<double>());
              return least;
            }()));
  const std::vector<std::vector<std::string>> searches = {{"find", "timer", case_file_},
                                                          {"compare", case_file_},
                                                          {"what-if", case_file_},
                                                          {"differ", case_file_, case_file_}};
  for (const std::vector<std::string>& search : searches)
    EXPECT_NE(run(search).out.find("judged as stated"), std::string::npos) << search[0];
}

TEST_P(Consistency, Verdicts_AreTheSameInEveryOutput) { expect_same_verdicts(); }
TEST_P(Consistency, OneAnswer_IsTheSameInEveryOutput) { expect_one_answer(); }
TEST_P(Consistency, RecommendationsTakeTheCautiousEnd) { expect_cautious_ends(); }
TEST_P(Consistency, TimersTemperaturesHardnessAndLimits_AreTheSameInEveryOutput) { expect_same_limits(); }
TEST_P(Consistency, SearchesSayWhatHardenSays) { expect_searches_agree(); }

std::vector<Shop> shops(bool searched) {
  std::vector<Shop> out;
  for (const Shop& shop : tq::test::thirty_shops())
    if (!searched || std::string(shop.name) == "hunter" || std::string(shop.name) == "petty" ||
        std::string(shop.name) == "field_knife")
      out.push_back(shop);
  return out;
}
const auto name_of = [](const testing::TestParamInfo<Shop>& info) { return std::string(info.param.name); };

INSTANTIATE_TEST_SUITE_P(Shipped, Consistency, testing::ValuesIn(shops(true)), name_of);

/// The table: thirty cases, every output against every other.
class ThirtyCases : public Consistency {};

TEST_P(ThirtyCases, SayTheSameEverywhere) {
  expect_same_verdicts();
  expect_one_answer();
  expect_cautious_ends();
  expect_same_limits();
}

/// What find sets holds when it is fed back through harden, by as many draws as that makes; where it cannot,
/// it says so.
TEST_P(ThirtyCases, WhatFindSetsPassesWhenFedBack) {
  const std::string question = GetParam().question;
  if (question.empty())
    return;
  const Outcome said = run(on_case({"find", question}, {"--json"}));
  ASSERT_EQ(said.exit_code, 0) << said.err;
  const json found = json::parse(said.out);
  if (!found["found"]) {
    EXPECT_NE(found["because"], "");
    return;
  }
  ASSERT_TRUE(found["holds_by_draws"].is_boolean()) << said.out;
  if (!found["holds_by_draws"]) {
    const std::string told = run(on_case({"find", question})).out;
    // of the hardness, whose wish may be narrower than what is known, how many land stands in the notes
    EXPECT_TRUE(told.find("SET (holds as stated only)") != std::string::npos ||
                (question == "temper" && told.find("SET (as good as any;") != std::string::npos))
        << told;
    return;
  }
  std::vector<std::string> back = on_case({"harden"}, {"--members", "128", "-q", "--json", "--no-files"});
  for (const json& setting : found["settings"]) {
    if (!setting.contains("case_key"))
      continue;
    const double value = setting["value"];
    std::string typed;
    const auto with = [&](double number, const char* unit) {
      char text[40];
      std::snprintf(text, sizeof text, "'%.9g %s'", number, unit);
      return std::string(text);
    };
    if (setting["unit"] == "s")
      typed = with(value, "s");
    else if (setting["unit"] == "degC")
      typed = with(value, "degC");
    else if (setting["unit"] == "m")
      typed = with(1e3 * value, "mm");
    else if (setting["unit"] == "m3")
      typed = with(1e3 * value, "L");
    if (typed.empty())
      return;
    std::istringstream paths(setting["case_key"].get<std::string>());
    for (std::string path; paths >> path;) {
      back.insert(back.end(), {"--set", path + "=" + typed});
      if (path.ends_with("timer"))
        back.insert(back.end(), {"--set", path + "_from='door'"});
    }
  }
  if (question == "foil-gap")
    back.insert(back.end(), {"--set", "wrap.in_oil=true"});
  const Outcome fed = run(back);
  ASSERT_EQ(fed.exit_code, 0) << fed.err;
  const json answers = json::parse(fed.out);
  const bool soak = question == "timer" || question == "out" || question == "setpoint";
  const std::string judged = soak ? "soak" : question == "temper" ? "hardness" : "quench";
  if (question == "oil-volume" || question == "cool-to" || question == "lift" || question == "interrupt" ||
      question == "edge")
    return; // judged by the bath's end, austenite, the surface on lifting or one zone: careful_walks.hpp
  EXPECT_EQ(answers[judged]["verdict"], "pass") << question << "\n" << said.out << fed.out.substr(0, 2000);
}

INSTANTIATE_TEST_SUITE_P(Table, ThirtyCases, testing::ValuesIn(shops(false)), name_of);

/// No figure printed for a limit lies beyond it, in either unit.
TEST(Limits, PrintedFiguresStayOnTheSafeSide) {
  using tq::answers::told;
  const auto numbers = [](const std::string& text) {
    double first = NAN, second = NAN;
    EXPECT_GE(std::sscanf(text.c_str(), "%lf %*s (%lf", &first, &second), 1) << text;
    return std::pair<double, double>(first, second);
  };
  constexpr double seam = 1e-5;
  for (double v = 15.03; v < 330; v += 0.37) {
    const auto [degC, degF] = numbers(told(Show::at_most_degC, v));
    EXPECT_LE(degC, v + seam);
    EXPECT_LE((degF - 32) / 1.8, v + seam) << v;
    const auto [mm, inch] = numbers(told(Show::at_least_length, v * 1e-5));
    if (v > 100) {
      EXPECT_GE(mm, v * 1e-2 - seam);
      EXPECT_GE(inch * 25.4, v * 1e-2 - seam) << v;
    }
    const auto [litres, gallons] = numbers(told(Show::at_least_volume, v * 1e-4));
    EXPECT_GE(litres, v * 0.1 - seam);
    EXPECT_GE(gallons * 3.785411784, v * 0.1 - seam) << v;
    EXPECT_GE(numbers(told(Show::minutes_up, v)).first * 60, v - seam);
    EXPECT_LE(numbers(told(Show::minutes_down, v)).first * 60, v + seam);
    EXPECT_GE(numbers(told(Show::half_seconds_up, v)).first, v - seam);
    EXPECT_LE(numbers(told(Show::half_seconds_down, v)).first, v + seam);
  }
}

} // namespace
