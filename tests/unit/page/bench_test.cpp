#include "asking.hpp"
#include "page/form.hpp"

#include "answers/bands.hpp"
#include "answers/compute.hpp"
#include "treatment/case_reader.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace tq::page {
namespace {

TEST(Form, EveryField_HasItsPlaceInTheTableOfKeys) {
  Bench bench;
  const Json form = ask(bench, "form");
  const std::string page = treatment::key_page();
  for (const Json& field : form["fields"]) {
    const std::string path = field["path"], key = path.substr(path.rfind('.') + 1);
    EXPECT_NE(page.find("| `" + key + "` |"), std::string::npos) << path;
  }
  for (const char* first :
       {"blade.steel", "blade.station[1].spine", "blade.station[1].edge", "blade.station[1].width",
        "wrap.foil", "bath.coolant", "temper.oven", "wish.hardness"})
    EXPECT_NE(field_of(first), nullptr) << first;
  EXPECT_GE(form["stocks"]["steel"].size(), 8U);
  EXPECT_GE(form["examples"].size(), 10U);
  EXPECT_GE(form["questions"].size(), 10U);
}

TEST(Bench, EveryShippedCase_IsReadAndAnswered) {
  Bench bench;
  for (const Example& example : Shelf::examples()) {
    const Json answer = ask(bench, "live", {{"text", example.text}});
    EXPECT_FALSE(answer.contains("problems")) << example.key << answer.dump();
    EXPECT_FALSE(answer.contains("failed")) << example.key;
    EXPECT_EQ(answer["text"], example.text) << example.key;
    EXPECT_TRUE(answer["first"].contains("verdicts")) << example.key;
  }
}

TEST(Form, DefaultsOfEveryShippedCase_AreToldAsTheyAreRead) {
  const Shelf shelf;
  for (const Example& example : Shelf::examples()) {
    const treatment::Case c = treatment::read_case(example.text, "case", shelf);
    const Json quick = echoes_json(c.resolved_text), read = values_json(c.resolved_text);
    for (const auto& [path, value] : read.items())
      EXPECT_TRUE(quick.contains(path)) << example.key << " " << path;
    EXPECT_EQ(quick.size(), read.size()) << example.key;
  }
}

TEST(Bench, WrongValue_IsToldBesideItsKey) {
  Bench bench;
  const Json answer = ask(bench, "live",
                          {{"text", small_blade},
                           {"edits", {{"blade.station[1].spine", "thick"}, {"furnace.setpoint", "9000 F"}}}});
  ASSERT_EQ(answer["problems"].size(), 2U) << answer.dump();
  EXPECT_EQ(answer["problems"][0]["path"], "blade.station[1].spine");
  EXPECT_EQ(answer["problems"][1]["path"], "furnace.setpoint");
  EXPECT_NE(answer["problems"][1]["message"].get<std::string>().find("1300 degC"), std::string::npos);
}

TEST(Bench, GuessedTimer_LeavesTheFullAnswerAsItIs) {
  Bench bench;
  const auto told = [&](const Json& asked) {
    const Json fine = ask(bench, "fine", asked);
    EXPECT_TRUE(fine.contains("first")) << fine.dump();
    return fine;
  };
  const Json found = told({{"text", small_blade}});
  ASSERT_TRUE(found.contains("share"));
  for (const Json& share : {found["share"], Json("0"), Json("1.5"), Json("nan")})
    EXPECT_EQ(told({{"text", small_blade}, {"share", share}}), found) << share;
}

TEST(Bench, SizesDragged_AreAnsweredAsWhenTheTimerIsFound) {
  Bench bench;
  const Json first = ask(bench, "live", {{"text", small_blade}});
  const Json edits = {{"blade.station[1].spine", "2.2 mm"}};
  const Json found = ask(bench, "live", {{"text", small_blade}, {"edits", edits}}),
             guessed =
                 ask(bench, "live", {{"text", small_blade}, {"edits", edits}, {"share", first["share"]}});
  ASSERT_TRUE(guessed["first"]["verdicts"].is_array()) << guessed.dump();
  for (std::size_t k = 0; k < found["first"]["verdicts"].size(); ++k)
    EXPECT_EQ(guessed["first"]["verdicts"][k]["word"], found["first"]["verdicts"][k]["word"]);
  EXPECT_EQ(guessed["first"]["hardness"], found["first"]["hardness"]);
}

TEST(Bench, BandsSharedOut_AreThoseOfOneComputer) {
  Bench one, other;
  const Json fine = ask(one, "fine", {{"text", small_blade}});
  ASSERT_TRUE(fine.contains("timer")) << fine.dump();
  const Json plan = {
      {"text", small_blade}, {"timer", fine["timer"]}, {"spare", fine["spare"]}, {"members", 32}};
  const auto count = ask(other, "draws", plan)["pieces"].get<std::size_t>();
  ASSERT_EQ(count, 33U);
  Json pieces = Json::array();
  for (std::size_t i = 0; i < count; ++i)
    pieces.push_back(ask(other, "piece", {{"number", i}})["numbers"]);
  const Json judged = ask(one, "reduce", {{"pieces", pieces}, {"members", 32}});
  ASSERT_TRUE(judged.contains("first")) << judged.dump();
  const Json document = Json::parse(ask(one, "json")["text"].get<std::string>());

  const Shelf shelf;
  const answers::Computed whole = answers::compute(small_blade, "case", shelf, {32, 1, false, {}});
  EXPECT_EQ(document["judged_by_draws"], 32);
  const Json& band = document["bands"]["stations"][0]["figures"]["hardness_tempered_least"];
  const answers::Band* there = whole.bands->stations[0].find("hardness_tempered_least");
  ASSERT_NE(there, nullptr);
  EXPECT_EQ(band["low"].get<double>(), there->low);
  EXPECT_EQ(band["high"].get<double>(), there->high);
  EXPECT_EQ(document["bands"]["quench"]["passing"].get<double>(), whole.bands->quench.passing);
}

TEST(Bench, Documents_WaitForAnAnswer) {
  Bench bench;
  EXPECT_TRUE(ask(bench, "sheet").contains("problems"));
  (void)ask(bench, "fine", {{"text", small_blade}});
  EXPECT_NE(ask(bench, "sheet")["text"].get<std::string>().find("<!doctype html>"), std::string::npos);
  EXPECT_NE(ask(bench, "moment", {{"number", 3}})["svg"].get<std::string>().find("<svg"), std::string::npos);
}

TEST(Bench, EditOfAListedStep_IsWrittenIntoThatStep) {
  Bench bench;
  for (const Example& example : Shelf::examples())
    if (example.text.find("name = \"hardening\"") != std::string::npos) {
      const Json answer = ask(bench, "live", {{"text", example.text}, {"edits", {{"step[7].timer", "13"}}}});
      const std::string text = answer["text"];
      EXPECT_NE(text.find("timer = \"13 min\""), std::string::npos) << text;
      EXPECT_EQ(text.size(), example.text.size() + std::string("timer = \"13 min\"\n").size());
      EXPECT_TRUE(answer["refused"].empty()) << answer["refused"];
      return;
    }
  FAIL() << "no shipped case lists its steps";
}

TEST(Bench, Questions_AreAnswered) {
  Bench bench;
  const Json found = ask(bench, "find", {{"text", small_blade}, {"question", "timer"}});
  EXPECT_TRUE(found["found"].get<bool>()) << found.dump();
  EXPECT_FALSE(found["settings"].empty());
  EXPECT_TRUE(ask(bench, "find", {{"text", small_blade}, {"question", "nothing"}}).contains("problems"));
}

TEST(Bench, NonsenseAsked_IsToldAndNothingThrown) {
  Bench bench;
  for (const char* what :
       {"", "fine", "live", "draws", "piece", "reduce", "moment", "find", "sheet", "keep", "?"})
    for (const char* asked :
         {"", "{", "[]", "7", "{\"text\":7}", "{\"text\":\"x\"}", "{\"number\":-1}", "{\"edits\":7}"})
      EXPECT_FALSE(bench.ask(what, asked).empty()) << what << asked;
}

TEST(Shelf, OwnSteelWithGaps_IsFilledAsForTheProgram) {
  Bench bench;
  (void)ask(
      bench, "keep",
      {{"path", "mine.toml"}, {"text", "format = 1\ndesignation = \"mine\"\n[composition]\nC = 0.8\n"}});
  std::string text = small_blade;
  text.replace(text.find("1084"), 4, "mine.toml");
  const Json answer = ask(bench, "live", {{"text", text}});
  // The words of the reader decide whether this record is enough; it must not be "cannot be read".
  EXPECT_EQ(answer.dump().find("cannot be read"), std::string::npos) << answer.dump();
}

} // namespace
} // namespace tq::page
