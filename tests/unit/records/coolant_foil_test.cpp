#include "records/document.hpp"
#include "records/read_coolant.hpp"
#include "records/read_foil.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

namespace {

using namespace tq::records;
namespace fs = std::filesystem;

std::string read_text(const fs::path& path) {
  std::ifstream in(path);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

std::vector<fs::path> shipped(const char* folder) {
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(fs::path(TQ_SOURCE_DIR) / "materials" / folder))
    if (entry.path().extension() == ".toml")
      files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  return files;
}

CoolantRecord shipped_coolant(const std::string& key) {
  const fs::path path = fs::path(TQ_SOURCE_DIR) / "materials" / "coolants" / (key + ".toml");
  return read_coolant(read_text(path), path.string());
}

FoilRecord shipped_foil() {
  const fs::path path = fs::path(TQ_SOURCE_DIR) / "materials" / "foils" / "stainless.toml";
  return read_foil(read_text(path), path.string());
}

/// The message with which `text` is refused; "" when it is taken.
std::string refusal(const std::string& text) {
  try {
    read_coolant(text, "own.toml");
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}

/// `text` with its first `from` replaced by `to`.
std::string with(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

// As small as a user's own file may be.
const std::string small_file = R"toml(kind = "oil"
source = "own probe test"
[heat_transfer]
kind = "local"
interpolation = "linear"
bath = "60 degC"
unit = "W/(m2 K)"
values = [300, 350, 3000, 400]
surface = { unit = "degC", values = [60, 200, 550, 800] }
)toml";

const std::string corrected_file = R"toml(kind = "oil"
source = "own probe test"
[heat_transfer]
kind = "local"
interpolation = "log"
bath = "60 degC"
convection_start = "200 degC"
blanket_end = "700 degC"
unit = "W/(m2 K)"
values = [300, 350, 3000, 400]
surface = { unit = "degC", values = [60, 200, 550, 800] }
[by_agitation]
at = ["0 m/s", "1 m/s"]
film = [1, 2]
peak = [1, 1.3]
convection = [1, 3]
blanket_shift = ["0 K", "90 K"]
)toml";

void expect_sources(const std::vector<Provenance>& provenance, const std::string& what) {
  EXPECT_FALSE(provenance.empty()) << what;
  for (const Provenance& value : provenance) {
    EXPECT_FALSE(value.key.empty()) << what;
    EXPECT_FALSE(value.value.empty()) << what << " " << value.key;
    EXPECT_FALSE(value.source.empty()) << what << " " << value.key;
  }
}

TEST(ShippedCoolants, AllSeven_ReadWithSourcesAndPositiveValues) {
  const auto files = shipped("coolants");
  EXPECT_EQ(files.size(), 7u);
  for (const auto& path : files) {
    const CoolantRecord coolant = read_coolant(read_text(path), path.string());
    EXPECT_EQ(coolant.key, path.stem());
    EXPECT_FALSE(coolant.name.empty());
    EXPECT_FALSE(coolant.description.empty());
    expect_sources(coolant.provenance, coolant.key);
    EXPECT_GT(coolant.density_kg_m3, 0.0);
    EXPECT_GT(coolant.specific_heat_J_kgK, 0.0);
    EXPECT_GT(coolant.h_uncertainty, 0.0);
    EXPECT_LT(coolant.recommended_from_degC, coolant.recommended_to_degC);
    EXPECT_EQ(coolant.htc_W_m2K.empty(), coolant.kind == CoolantKind::air) << coolant.key;
    for (const double h : coolant.htc_W_m2K.y)
      EXPECT_GT(h, 0.0) << coolant.key;
    EXPECT_EQ(coolant.flash_degC.has_value(), coolant.kind == CoolantKind::oil) << coolant.key;
    if (coolant.flash_degC) {
      EXPECT_LT(*coolant.smoke_degC, *coolant.flash_degC);
      EXPECT_LT(coolant.recommended_to_degC, *coolant.flash_degC - 28.0);
      EXPECT_FALSE(coolant.by_bath_temperature.empty());
      EXPECT_FALSE(coolant.by_agitation.empty());
    }
  }
}

TEST(ShippedCoolants, Oils_StandInTheOrderOfTheirClasses) {
  const auto peak = [](const std::string& key) {
    const auto y = shipped_coolant(key).htc_W_m2K.y;
    return *std::max_element(y.begin(), y.end());
  };
  EXPECT_GT(peak("fast-oil"), peak("medium-oil"));
  EXPECT_GT(peak("medium-oil"), peak("slow-oil"));
  EXPECT_GT(peak("water"), peak("fast-oil"));
}

TEST(ShippedCoolants, MediumOil_HoldsItsPoints) {
  const CoolantRecord oil = shipped_coolant("medium-oil");
  EXPECT_EQ(oil.kind, CoolantKind::oil);
  EXPECT_EQ(oil.htc_kind, HtcKind::local);
  EXPECT_EQ(oil.htc_W_m2K.interpolation, Interpolation::log);
  EXPECT_DOUBLE_EQ(oil.table_bath_degC, 60.0);
  EXPECT_DOUBLE_EQ(oil.htc_W_m2K(481.0), 4776.0);
  EXPECT_DOUBLE_EQ(oil.htc_W_m2K(900.0), 681.0);
  EXPECT_NEAR(oil.htc_W_m2K(440.0), std::exp(0.5125 * std::log(1873.0) + 0.4875 * std::log(4776.0)), 1e-6);
  ASSERT_EQ(oil.by_agitation.size(), 4u);
  EXPECT_DOUBLE_EQ(oil.by_agitation[2].convection, 2.2);
  EXPECT_DOUBLE_EQ(oil.by_agitation[3].blanket_shift_K, 90.0);
}

TEST(ShippedFoils, All_ReadWithSourceRangeAndUncertainty) {
  EXPECT_FALSE(shipped("foils").empty());
  for (const auto& path : shipped("foils")) {
    const FoilRecord foil = read_foil(read_text(path), path.string());
    EXPECT_EQ(foil.key, path.stem());
    expect_sources(foil.provenance, foil.key);
    for (const Provenance& value : foil.provenance) {
      EXPECT_FALSE(value.range.empty()) << value.key;
      EXPECT_FALSE(value.uncertainty.empty()) << value.key;
    }
  }
}

TEST(ShippedFoils, Stainless_HasTheUsualGaps) {
  const FoilRecord foil = shipped_foil();
  EXPECT_DOUBLE_EQ(foil.thickness_m, 5e-5);
  EXPECT_NEAR(foil.gap_hand_folded_m, 0.3e-3, 1e-12);
  EXPECT_NEAR(foil.gap_pressed_m, 25e-6, 1e-12);
  EXPECT_DOUBLE_EQ(foil.gap_factor, 3.0);
  EXPECT_GT(foil.emissivity_outside, foil.emissivity_inside);
  // 0.05 mm of stainless at 400 degC: 524 J/(kg K) by EN 1993-1-2, about 208 J/m2K.
  const double c = foil.specific_heat_c0 + 400.0 * foil.specific_heat_c1;
  EXPECT_NEAR(c, 524.0, 0.02 * 524.0);
  EXPECT_NEAR(foil.density_kg_m3 * c * foil.thickness_m, 208.0, 5.0);
}

TEST(OwnCoolant, PlainTable_IsEnough) {
  const CoolantRecord oil = read_coolant(small_file, "shop/own.toml");
  EXPECT_EQ(oil.key, "own");
  EXPECT_EQ(oil.name, "own");
  EXPECT_EQ(oil.htc_W_m2K.interpolation, Interpolation::linear);
  EXPECT_DOUBLE_EQ(oil.htc_W_m2K(375.0), 1675.0);
  EXPECT_DOUBLE_EQ(oil.table_bath_degC, 60.0);
  EXPECT_FALSE(oil.flash_degC || oil.smoke_degC);
  EXPECT_TRUE(oil.by_agitation.empty() && oil.by_bath_temperature.empty());
  EXPECT_GT(oil.density_kg_m3, 0.0);
  EXPECT_GT(oil.specific_heat_J_kgK, 0.0);
  expect_sources(oil.provenance, "own");
}

TEST(OwnCoolant, OtherUnits_AreRead) {
  const CoolantRecord oil = read_coolant(with(small_file, "\"60 degC\"", "\"140 degF\""), "own.toml");
  EXPECT_NEAR(oil.table_bath_degC, 60.0, 1e-9);
}

TEST(OwnCoolant, Air_NeedsNoTable) {
  const CoolantRecord air = read_coolant("kind = \"air\"\n", "draught.toml");
  EXPECT_EQ(air.kind, CoolantKind::air);
  EXPECT_TRUE(air.htc_W_m2K.empty());
}

TEST(OwnCoolant, Corrections_AreRead) {
  const CoolantRecord oil = read_coolant(corrected_file, "own.toml");
  ASSERT_EQ(oil.by_agitation.size(), 2u);
  EXPECT_DOUBLE_EQ(oil.by_agitation[1].film, 2.0);
  EXPECT_DOUBLE_EQ(oil.by_agitation[1].peak, 1.3);
  EXPECT_DOUBLE_EQ(oil.blanket_end_degC, 700.0);
  EXPECT_EQ(oil.provenance.back().source.empty(), false);
}

TEST(OwnCoolant, Band_IsReadOnTheSamePoints) {
  const CoolantRecord plain = read_coolant(small_file, "own.toml");
  EXPECT_TRUE(plain.htc_low_W_m2K.empty());
  const CoolantRecord oil =
      read_coolant(small_file + "low = [200, 300, 2000, 300]\nhigh = [400, 500, 4500, 600]\n", "own.toml");
  EXPECT_EQ(oil.htc_low_W_m2K.x, oil.htc_W_m2K.x);
  EXPECT_DOUBLE_EQ(oil.htc_low_W_m2K(550), 2000);
  EXPECT_DOUBLE_EQ(oil.htc_high_W_m2K(550), 4500);
}

TEST(OwnCoolant, Malformed_GivesOneLineWithFileAndLine) {
  const struct {
    std::string text, says;
  } cases[] = {
      {with(small_file, "source = \"own probe test\"\n", ""), "source"},
      {with(small_file, "interpolation = \"linear\"\n", ""), "interpolation"},
      {with(small_file, "\"linear\"", "\"cubic\""), "cubic"},
      {with(small_file, "\"local\"", "\"locl\""), "did you mean"},
      {with(small_file, "\"oil\"", "\"polymer\""), "polymer"},
      {with(small_file, "bath = \"60 degC\"\n", ""), "bath"},
      {with(small_file, "\"60 degC\"", "60"), "no unit"},
      {with(small_file, "\"60 degC\"", "\"60 mm\""), "own.toml:6"},
      {with(small_file, "\"60 degC\"", "\"900 degC\""), "out of range"},
      {with(small_file, "values = [300, 350, 3000, 400]", "values = [300, 350, 3000]"), "3 values"},
      {with(small_file, "[300, 350,", "[300, -350,"), "out of range"},
      {with(small_file, "[300, 350,", "[300, 0,"), "out of range"},
      {with(small_file, "[60, 200, 550, 800]", "[60, 550, 200, 800]"), "ascend"},
      {with(small_file, "[60, 200, 550, 800]", "[]"), "values"},
      {with(small_file, "\"degC\", values", "\"mm\", values"), "mm"},
      {with(small_file, "unit = \"W/(m2 K)\"\n", ""), "no unit"},
      {small_file + "colour = \"amber\"\n", "unknown key"},
      {small_file + "[flsh]\nvalue = \"180 degC\"\n", "did you mean"},
      {small_file + "[flash]\nvalue = \"180 degC\"\nunit = \"degC\"\n", "unknown key"},
      {small_file + "[flash]\nvalue = \"1800 degC\"\n", "out of range"},
      {small_file + "[flash]\nvalue = \"180 degC\"\n[smoke]\nvalue = \"200 degC\"\n",
       "above the flash point"},
      {with(small_file, "\"oil\"", "\"water\"") + "[flash]\nvalue = \"180 degC\"\n", "only an oil"},
      {small_file + "[density]\nvalue = \"-1 kg/m3\"\n", "out of range"},
      {small_file + "[recommended]\nfrom = \"60 degC\"\nto = \"40 degC\"\n", "above from"},
      {small_file + "blanket_end = \"600 degC\"\n", "stands alone"},
      {small_file + "low = [200, 300, 2000, 300]\n", "stands alone"},
      {small_file + "low = [200, 300]\nhigh = [400, 500, 4500, 600]\n", "2 values"},
      {small_file + "low = [200, 300, 3500, 300]\nhigh = [400, 500, 4500, 600]\n", "no more than h"},
      {small_file + "blanket_end = \"300 degC\"\nconvection_start = \"400 degC\"\n",
       "above convection_start"},
      {"kind = \"oil\"\n", "heat_transfer"},
      {"kind = \"air\"\n" + corrected_file.substr(corrected_file.find("[by_agitation]")), "not there"},
      {with(corrected_file, "convection_start = \"200 degC\"\nblanket_end = \"700 degC\"\n", ""), "stages"},
      {with(corrected_file, "film = [1, 2]", "film = [1]"), "1 values"},
      {with(corrected_file, "film = [1, 2]", "film = [2, 2]"), "needs a row at 0 m/s"},
      {with(corrected_file, "film = [1, 2]", "film = [1, -2]"), "out of range"},
      {with(corrected_file, "\"0 m/s\", \"1 m/s\"", "\"1 m/s\", \"0 m/s\""), "ascend"},
      {with(corrected_file, "\"90 K\"", "90"), "no unit"},
      {small_file.substr(0, small_file.size() - 20), "own.toml"},
      {std::string("kind = \"oil\"\n\x01\x02", 15), "own.toml:2"},
      {"", "own.toml"},
  };
  for (const auto& bad : cases) {
    const std::string message = refusal(bad.text);
    EXPECT_NE(message.find(bad.says), std::string::npos) << bad.says << "\nmessage: " << message << "\n"
                                                         << bad.text;
    EXPECT_EQ(message.find("own.toml:"), 0u) << message;
    EXPECT_EQ(message.find('\n'), std::string::npos) << message;
  }
}

TEST(OwnFoil, Malformed_IsRefused) {
  const std::string good = read_text(fs::path(TQ_SOURCE_DIR) / "materials" / "foils" / "stainless.toml");
  const struct {
    std::string text, says;
  } cases[] = {
      {with(good, "\"0.05 mm\"", "\"0 mm\""), "out of range"},
      {with(good, "\"0.05 mm\"", "0.05"), "no unit"},
      {with(good, "\"0.05 mm\"", "\"50 mm\""), "out of range"},
      {with(good, "value = 0.7", "value = 1.7"), "out of range"},
      {with(good, "value = 0.3", "value = \"dull\""), "number"},
      {with(good, "\"0.117 J/(kg K2)\"", "\"-1 J/(kg K2)\""), "negative"},
      {with(good, "[service_limit]", "[service_limits]"), "service_limit"},
      {good + "\n[shine]\nvalue = 1\n", "unknown key"},
  };
  for (const auto& bad : cases) {
    try {
      read_foil(bad.text, "foil.toml");
      ADD_FAILURE() << "taken: " << bad.says;
    } catch (const InputError& error) {
      const std::string message = error.what();
      EXPECT_NE(message.find(bad.says), std::string::npos) << message;
      EXPECT_EQ(message.find("foil.toml:"), 0u) << message;
    }
  }
}

} // namespace
