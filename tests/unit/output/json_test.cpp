#include "layout.hpp"
#include "output/json.hpp"
#include "output/sha256.hpp"
#include "sample.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <map>
#include <set>
#include <string>

namespace {

using nlohmann::json;
using tq::test::Sample;

json document(const Sample& s) {
  return json::parse(tq::output::answers_json(s.c, s.runs, s.answers, s.info));
}

/// Every leaf as "a.b[].c" with its type; names of zones and of units generalised.
void leaves(const json& value, const std::string& path, std::map<std::string, std::set<std::string>>& found) {
  if (value.is_object()) {
    for (const auto& [key, inner] : value.items()) {
      const bool zone = path.ends_with("zones"), unit = path == "units";
      leaves(inner, (path.empty() ? "" : path + ".") + (zone ? "ZONE" : unit ? "NAME" : key), found);
    }
  } else if (value.is_array()) {
    for (const json& inner : value)
      leaves(inner, path + "[]", found);
  } else {
    found[path].insert(value.is_string()   ? "text"
                       : value.is_number() ? "number"
                       : value.is_null()   ? "null"
                                           : "?");
  }
}

TEST(Output_Json, Keys_AreExactlyThoseOfTheFormatPage) {
  std::map<std::string, std::set<std::string>> full, bare;
  leaves(document(tq::test::full_sample()), "", full);
  leaves(document(tq::test::bare_sample()), "", bare);
  std::set<std::string> documented;
  for (const auto& row : tq::test::format_table_of_figures("JSON keys")) {
    ASSERT_EQ(row.size(), 4U);
    documented.insert(row[0]);
    EXPECT_TRUE(full.contains(row[0])) << row[0] << " is documented but not written";
    for (const auto& types : {full[row[0]], bare[row[0]]})
      for (const std::string& type : types)
        EXPECT_TRUE(type == row[1] || type == "null") << row[0];
    EXPECT_FALSE(row[3].empty()) << row[0];
  }
  for (const auto& [path, types] : full)
    EXPECT_TRUE(documented.contains(path)) << path << " is not documented";
  for (const auto& [path, types] : bare)
    EXPECT_TRUE(documented.contains(path)) << path << " is not documented";
}

TEST(Output_Json, UnitsBlock_AgreesWithTheFormatPage) {
  const json units = document(tq::test::full_sample())["units"];
  std::set<std::string> used;
  for (const auto& row : tq::test::format_table_of_figures("JSON keys")) {
    std::string name = row[0].substr(row[0].rfind('.') + 1);
    if (name.ends_with("[]"))
      name.resize(name.size() - 2);
    if (row[1] != "number" || row[2].empty())
      continue;
    ASSERT_TRUE(units.contains(name)) << row[0];
    EXPECT_EQ(units[name], row[2]) << row[0];
    used.insert(name);
  }
  EXPECT_EQ(used.size(), units.size());
}

TEST(Output_Json, Figures_AreThoseOfTheAnswer) {
  const json d = document(tq::test::full_sample());
  EXPECT_EQ(d["schema"], "thinquench-answers");
  EXPECT_EQ(d["schema_version"], 2);
  EXPECT_EQ(d["quench"]["verdict"], "marginal");
  EXPECT_EQ(d["stations"][0]["timer_from_door"], 1800);
  const json& edge = d["stations"][0]["zones"]["edge"];
  EXPECT_DOUBLE_EQ(edge["hardness_tempered"].get<double>(), 61.3);
  EXPECT_EQ(edge["in_air"].size(), 4U);
  EXPECT_EQ(edge["hardens"]["verdict"], "pass");
  EXPECT_TRUE(edge["time_800_to_500"].is_null());
  EXPECT_EQ(d["warnings"].size(), 2U);
}

TEST(Output_Json, NothingAsked_IsNullAndNotAsked) {
  const json d = document(tq::test::bare_sample());
  EXPECT_EQ(d["soak"]["verdict"], "not_asked");
  EXPECT_TRUE(d["foil"].is_null());
  EXPECT_TRUE(d["stations"][0]["zones"]["edge"]["hardness_tempered"].is_null());
}

TEST(Output_Json, Provenance_NamesTheInput) {
  const Sample s = tq::test::full_sample();
  const json p = document(s)["provenance"];
  EXPECT_EQ(p["case_text"], s.c.source_text);
  EXPECT_EQ(p["case_sha256"], tq::output::sha256_hex(s.c.source_text));
  EXPECT_EQ(p["records"].size(), 4U);
  EXPECT_EQ(p["records"][0]["source"], "from memory");
  EXPECT_EQ(p["solver"][0]["steps"], 812);
}

TEST(Output_Json, SourceDateEpoch_SetsTheMomentAndLeavesOutMeasuredTimes) {
  const tq::test::EnvironmentGuard guard("SOURCE_DATE_EPOCH", "86400");
  const json p = document(tq::test::full_sample())["provenance"];
  EXPECT_EQ(p["created"], "1970-01-02T00:00:00Z");
  EXPECT_TRUE(p["wall_time"].is_null());
  EXPECT_TRUE(p["solver"][0]["solver_time"].is_null());
}

tq::answers::Risks some_risks() {
  tq::answers::Risks r;
  r.bow = {tq::answers::Verdict::marginal, "1.2 mm"};
  tq::answers::BowAnswer s;
  s.name = "middle";
  s.bow_m = 1.2e-3;
  s.low_m = 0.8e-3;
  s.high_m = 1.6e-3;
  s.edge_bow_m = -0.3e-3;
  s.convex_on_a = false;
  s.parts = {{"transformation plasticity", 0.4e-3}};
  s.bow = r.bow;
  r.stations = {s};
  r.straightening_caution = "as brittle as glass";
  r.crack.crack = {tq::answers::Verdict::fail, "a sharp corner"};
  r.crack.flags = {{"notch", "inner corner", tq::answers::CrackLevel::high, "a sharp corner"}};
  r.crack.not_stated = {{"the time to the temper", "temper.delay"}};
  return r;
}

TEST(Output_Json, Risks_HaveTheKeysOfTheFormatPage) {
  const Sample s = tq::test::full_sample();
  const tq::answers::Risks r = some_risks();
  tq::output::Extras extras;
  extras.risks = &r;
  const json d = json::parse(tq::output::answers_json(s.c, s.runs, s.answers, s.info, extras))["risks"];
  EXPECT_EQ(d["bow"]["verdict"], "marginal");
  EXPECT_EQ(d["crack"]["verdict"], "fail");
  EXPECT_TRUE(d["notch_factor"].is_null());
  EXPECT_EQ(d["stations"][0]["outside"], "flank_b");
  EXPECT_DOUBLE_EQ(d["stations"][0]["bow"].get<double>(), 1.2e-3);
  const std::string page = tq::test::file_text(TQ_SOURCE_DIR "/solver/output/FORMAT.md");
  const std::string section = page.substr(page.find("## JSON key `risks`"));
  const std::string documented = section.substr(0, section.find("\n## ", 3));
  std::map<std::string, std::set<std::string>> found;
  leaves(d, "", found);
  EXPECT_FALSE(found.empty());
  for (const auto& [path, types] : found) {
    std::string name = path.substr(path.rfind('.') + 1);
    if (name.ends_with("[]"))
      name.resize(name.size() - 2);
    EXPECT_NE(documented.find("`" + name + "`"), std::string::npos) << path << " is not documented";
  }
  EXPECT_FALSE(document(s).contains("risks"));
}

TEST(Output_Json, BrokenUtf8InAText_StillParses) {
  Sample s = tq::test::full_sample();
  s.answers.title = "\xff\xfe";
  EXPECT_EQ(document(s)["title"], "\xEF\xBF\xBD\xEF\xBF\xBD");
}

} // namespace
