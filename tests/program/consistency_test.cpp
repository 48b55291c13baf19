// One case, one answer: what harden says on the terminal, with --quiet, as JSON, in its HDF5 file, its report
// and its shop sheet, and what find, compare and differ say of the same case.
#include "../unit/output/layout.hpp"
#include "answers/telling.hpp"
#include "run_command.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using tq::answers::Show;
using tq::test::Outcome;
using tq::test::read_file;
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
class Consistency : public testing::TestWithParam<const char*> {
 protected:
  static constexpr const char* draws = "32";

  void SetUp() override {
    case_file_ = std::string(TQ_SOURCE_DIR "/cases/") + GetParam() + ".toml";
    const Outcome said = run({"harden", case_file_, "--members", draws, "--no-what-if", "--full"});
    ASSERT_EQ(said.exit_code, 0) << said.err;
    terminal_ = unfolded(said.out);
    const fs::path stem = folder_.path() / "out" / GetParam();
    answers_ = json::parse(read_file(stem.string() + ".json"));
    h5_ = stem.string() + ".h5";
    report_ = read_file(stem.string() + ".html");
    sheet_ = read_file(stem.string() + "_sheet.html");
  }

  Outcome run(const std::vector<std::string>& arguments) const {
    return thinquench(arguments, {}, folder_.path());
  }
  std::string text_of(const std::string& dataset) const { return tq::test::texts_of(h5_, dataset)[0]; }

  /// The worst over the stations of a figure, as people are told it.
  std::string told(const char* name, Show show, bool greatest) const {
    double worst = NAN;
    for (const json& s : answers_["stations"])
      if (s.at(name).is_number())
        worst = greatest ? std::fmax(worst, s.at(name).get<double>())
                         : std::fmin(worst, s.at(name).get<double>());
    return tq::answers::told(show, worst);
  }
  std::string hardness(const std::string& when) const {
    const auto end = [&](const char* which, bool greatest) {
      double worst = NAN;
      for (const json& s : answers_["stations"]) {
        const double value = s.at("hardness_" + when + which).get<double>();
        worst = greatest ? std::fmax(worst, value) : std::fmin(worst, value);
      }
      return worst;
    };
    const auto band = [&](const char* name) {
      double most = 0;
      for (const json& s : answers_["stations"])
        most = std::max(most, s.at(name).get<double>());
      return most;
    };
    return tq::answers::hrc_range_text(
        end("_least", false), end("_most", true),
        band(when == "tempered" ? "hardness_band" : "hardness_as_quenched_band"));
  }
  /// All four places for people say it.
  void expect_told(const std::string& text, bool on_sheet = true) const {
    EXPECT_NE(terminal_.find(text), std::string::npos) << text << " is not on the terminal: " << terminal_;
    EXPECT_NE(words_of(report_).find(text), std::string::npos) << text << " is not in the report";
    if (on_sheet) {
      EXPECT_NE(words_of(sheet_).find(text), std::string::npos) << text << " is not on the sheet";
    }
  }

  TemporaryFolder folder_;
  std::string case_file_, terminal_, report_, sheet_;
  fs::path h5_;
  json answers_;
};

TEST_P(Consistency, Verdicts_AreTheSameInEveryOutput) {
  const std::string quiet = run({"harden", case_file_, "--members", draws, "-q", "-o", "quiet"}).out;
  const json printed =
      json::parse(run({"harden", case_file_, "--members", draws, "-q", "--json", "-o", "j"}).out);
  const json quick = json::parse(run({"harden", case_file_, "-q", "--json", "-o", "k"}).out);
  EXPECT_EQ(answers_["judged_by_draws"], 32);
  EXPECT_EQ(quick["judged_by_draws"], 0);
  EXPECT_EQ(tq::test::numbers_of(h5_, "/answers/judged_by_draws")[0], 32);
  for (const std::string& text : {terminal_, quiet, words_of(report_), words_of(sheet_)})
    EXPECT_NE(text.find("judged by 32 draws"), std::string::npos) << text;
  for (const std::string key : {"soak", "quench", "hardness"}) {
    const std::string verdict = answers_[key]["verdict"];
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
    EXPECT_NE(quiet.find(key + " " + upper(verdict)), std::string::npos) << quiet;
    if (verdict == "not_asked")
      continue;
    EXPECT_NE(terminal_.find(" " + upper(key) + " " + upper(verdict)), std::string::npos) << key << terminal_;
    const std::string tag = "<strong class=\"" + verdict + "\">";
    EXPECT_NE(report_.find(tag), std::string::npos) << tag;
    EXPECT_NE(sheet_.find(tag), std::string::npos) << tag;
  }
}

/// The one answer stands first everywhere, and everywhere it is the same.
TEST_P(Consistency, OneAnswer_IsTheSameInEveryOutput) {
  const std::string quiet = run({"harden", case_file_, "--members", draws, "-q", "-o", "quiet"}).out;
  const std::string brief =
      run({"harden", case_file_, "--members", draws, "-o", "brief", "--no-what-if"}).out;
  std::string word = answers_["decision"]["go"];
  word = word == "do_not" ? "DO NOT" : word == "with_care" ? "GO WITH CARE" : "GO";
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
TEST_P(Consistency, RecommendationsTakeTheCautiousEnd) {
  for (const json& s : answers_["stations"]) {
    EXPECT_GE(s["timer_careful"].get<double>(), s["timer_from_door"].get<double>());
    EXPECT_LE(s["transfer_careful"].get<double>(), s["transfer_to_spare"].get<double>());
    EXPECT_GE(s["lift_careful"].get<double>(), s["lift_below_flash"].get<double>());
  }
  expect_told(told("timer_careful", Show::minutes_up, true));
  expect_told(told("lift_careful", Show::half_seconds_up, true));
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

TEST_P(Consistency, TimersTemperaturesHardnessAndLimits_AreTheSameInEveryOutput) {
  const std::string timer = told("timer_from_door", Show::minutes_up, true);
  const std::string quiet = run({"harden", case_file_, "--members", draws, "-q", "-o", "quiet"}).out;
  expect_told(timer);
  const std::string used = told("timer_used", Show::minutes_up, true);
  EXPECT_NE(quiet.find(used + " from closing the door"), std::string::npos) << quiet;
  expect_told(hardness("tempered"));
  EXPECT_NE(quiet.find(hardness("tempered")), std::string::npos) << quiet;
  expect_told(hardness("as_quenched"));
  const std::string limit = told("bath_limit", Show::at_most_degC, false);
  expect_told("above " + limit);
  EXPECT_NE(terminal_.find("at least " + told("least_bath_volume", Show::at_least_volume, true)),
            std::string::npos);
  // no output names a hotter bath as allowed
  for (const std::string& text : {terminal_, words_of(report_), words_of(sheet_)})
    for (const char* lead : {"no further blade above ", "No further blade into oil above "})
      for (std::size_t at = 0; (at = text.find(lead, at)) != std::string::npos;
           at += std::string(lead).size())
        EXPECT_EQ(text.compare(at + std::string(lead).size(), limit.size(), limit), 0) << text.substr(at, 80);
}

TEST_P(Consistency, SearchesSayWhatHardenSays) {
  const json timer = json::parse(run({"find", "timer", case_file_, "--json"}).out);
  EXPECT_EQ(timer["judged_by_draws"], 0);
  ASSERT_TRUE(timer["found"]);
  for (const json& setting : timer["settings"]) // where nine in ten need no more, it is the first alone
    if (setting["name"] == "timer_from_door_as_stated" || timer["settings"].size() == 2) {
      EXPECT_EQ(setting["text"], told("timer_from_door", Show::minutes_up, true));
      break;
    }
  const json volume = json::parse(run({"find", "oil-volume", case_file_, "--json"}).out);
  EXPECT_EQ(volume["settings"][0]["text"], told("least_bath_volume", Show::at_least_volume, true));
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
  const json rows = json::parse(run({"compare", case_file_, "--json"}).out);
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

INSTANTIATE_TEST_SUITE_P(Shipped, Consistency,
                         testing::Values("drop_point_o1", "petty_1084_vegetable", "field_knife_80crv2"));

} // namespace
