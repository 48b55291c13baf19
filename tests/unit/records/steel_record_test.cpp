#include "records/read_steel.hpp"

#include "../steel/shipped.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <set>
#include <string>

namespace tq::records {
namespace {

const std::set<std::string> keys = {"O1",    "O2",     "1075", "1084", "1095", "W2",
                                    "52100", "80CrV2", "5160", "L6",   "75Ni8"};

std::string text_of_steel(const std::string& key) {
  return shipped::text_of(shipped::materials() / "steels" / (key + ".toml"));
}

/// The message of the InputError that reading this steel gives; "" when it reads.
std::string message_of(const std::string& text) {
  try {
    read_steel(text, "own.toml", shipped::phases());
    return {};
  } catch (const InputError& error) {
    return error.what();
  }
}

/// `text` with the first `what` replaced; the test fails when there is none.
std::string with(std::string text, const std::string& what, const std::string& instead) {
  const auto at = text.find(what);
  EXPECT_NE(at, std::string::npos) << what;
  return at == std::string::npos ? text : text.replace(at, what.size(), instead);
}

std::string missing_key(std::string text, const std::string& line_start) {
  const auto at = text.find("\n" + line_start);
  EXPECT_NE(at, std::string::npos) << line_start;
  return text.erase(at, text.find('\n', at + 1) - at);
}

TEST(SteelRecords, ShippedSteels_AreTheElevenPromised) {
  std::set<std::string> found;
  for (const auto& [key, steel] : shipped::steels()) {
    EXPECT_EQ(key, steel.key);
    found.insert(key);
  }
  EXPECT_EQ(found, keys);
}

TEST(SteelRecords, ShippedValues_AreFiniteAndInTheirPlaces) {
  for (const auto& [key, s] : shipped::steels()) {
    SCOPED_TRACE(key);
    EXPECT_FALSE(s.inert);
    EXPECT_FALSE(s.designation.empty());
    EXPECT_FALSE(s.description.empty());
    EXPECT_NEAR(s.density_kg_m3, 7800, 100);
    EXPECT_GE(s.composition.C, 0.55);
    EXPECT_LE(s.composition.C, 1.10);
    const Composition& m = s.transformation.matrix;
    const Composition& c = s.composition;
    EXPECT_GE(m.C, 0.55);
    for (auto share : {&Composition::C, &Composition::Mn, &Composition::Si, &Composition::Cr,
                       &Composition::Ni, &Composition::Mo, &Composition::W, &Composition::V}) {
      EXPECT_GE(c.*share, 0);
      EXPECT_LE(m.*share, c.*share); // the matrix holds no more than the bulk
    }
    const Austenitising& a = s.austenitising;
    EXPECT_GE(a.hardening_from_degC, 770);
    EXPECT_LE(a.hardening_to_degC, 850);
    EXPECT_LT(a.hardening_from_degC, a.hardening_to_degC);
    EXPECT_GE(a.asked_soak_s, a.soak_from_s);
    EXPECT_LE(a.asked_soak_s, a.soak_to_s);
    EXPECT_DOUBLE_EQ(a.growth_time_s, 60);
    EXPECT_DOUBLE_EQ(a.growth_above_K, 20);
    EXPECT_DOUBLE_EQ(a.dissolution_energy_J_mol, 240e3);
    EXPECT_GE(s.transformation.factor_uncertainty, 2);
    // between Koistinen & Marburger 1959 and what van Bohemen 2012 gives at 0.6 %C
    EXPECT_GE(s.transformation.km_alpha_per_K, 0.011);
    EXPECT_LE(s.transformation.km_alpha_per_K, 0.0150);
    EXPECT_GT(s.hardness.bainite_HV, s.hardness.pearlite_HV);
    EXPECT_GT(s.hardness.cementite_HV, 900);
    EXPECT_GE(s.temper.temperature_degC.size(), 6u);
    EXPECT_EQ(s.temper.temperature_degC.size(), s.temper.hardness_HRC.size());
    EXPECT_DOUBLE_EQ(s.temper.hj_constant_h, 16);
    EXPECT_DOUBLE_EQ(s.temper.hold_s, 3600);
    EXPECT_GE(s.temper.uncertainty_HRC, 1);
    for (std::size_t i = 1; i < s.temper.hardness_HRC.size(); ++i) {
      EXPECT_GT(s.temper.temperature_degC[i], s.temper.temperature_degC[i - 1]);
      EXPECT_LE(s.temper.hardness_HRC[i], s.temper.hardness_HRC[i - 1]);
    }
    EXPECT_LE(s.temper.hardness_HRC.front(), s.temper.as_quenched_HRC);
    if (key == "L6")
      EXPECT_EQ(s.brittle_to_degC, 0);
    else
      EXPECT_LT(s.brittle_from_degC, s.brittle_to_degC);
  }
}

TEST(SteelRecords, ShippedComposition_LiesInItsStandardRange) {
  // Published composition ranges [wt%]: O1 and 5160 data sheets, the rest from memory of ASTM A681, A686, SAE
  // J403, J404, EN 10132 and ISO 4957.
  const struct {
    const char* key;
    double C0, C1, Mn0, Mn1, Cr0, Cr1;
  } ranges[] = {{"O1", 0.85, 1.00, 1.00, 1.40, 0.40, 0.60},    {"O2", 0.85, 0.95, 1.40, 2.20, 0.20, 0.50},
                {"1075", 0.70, 0.80, 0.40, 0.70, 0, 0},        {"1084", 0.80, 0.93, 0.60, 0.90, 0, 0},
                {"1095", 0.90, 1.03, 0.30, 0.50, 0, 0},        {"W2", 0.85, 1.50, 0.10, 0.40, 0, 0.15},
                {"52100", 0.98, 1.10, 0.25, 0.45, 1.30, 1.60}, {"80CrV2", 0.75, 0.85, 0.30, 0.50, 0.40, 0.60},
                {"5160", 0.56, 0.64, 0.75, 1.00, 0.70, 0.90},  {"L6", 0.65, 0.75, 0.25, 0.80, 0.60, 1.20},
                {"75Ni8", 0.72, 0.78, 0.30, 0.50, 0, 0.15}};
  EXPECT_EQ(std::size(ranges), keys.size());
  for (const auto& r : ranges) {
    const Composition& c = shipped::steels().at(r.key).composition;
    EXPECT_TRUE(c.C >= r.C0 && c.C <= r.C1) << r.key;
    EXPECT_TRUE(c.Mn >= r.Mn0 && c.Mn <= r.Mn1) << r.key;
    EXPECT_TRUE(c.Cr >= r.Cr0 && c.Cr <= r.Cr1) << r.key;
  }
}

TEST(SteelRecords, EveryValue_HasASource) {
  for (const auto& [key, steel] : shipped::steels()) {
    std::set<std::string> seen;
    for (const Provenance& p : steel.provenance) {
      EXPECT_FALSE(p.key.empty()) << key;
      EXPECT_FALSE(p.value.empty()) << key << " " << p.key;
      EXPECT_FALSE(p.source.empty()) << key << " " << p.key;
      EXPECT_TRUE(seen.insert(p.key).second) << key << " twice " << p.key;
      for (const std::string* text : {&p.source, &p.range, &p.uncertainty, &p.note})
        if (!text->empty()) {
          EXPECT_NE(text->front(), ' ') << key << " " << p.key;
          EXPECT_NE(text->back(), ' ') << key << " " << p.key;
          EXPECT_EQ(text->find("  "), std::string::npos) << key << " " << p.key;
        }
    }
    for (const char* needed :
         {"density", "composition.C", "composition.Mn", "austenitising.growth_time",
          "austenitising.carbon_wanted", "hardening.temperature_from", "hardening.soak_asked",
          "transformation.pearlite_factor", "transformation.bainite_factor", "transformation.matrix.C",
          "transformation.martensite_rate", "hardness.bainite", "temper.hollomon_jaffe_constant",
          "temper.as_quenched", "temper.curve"})
      EXPECT_EQ(seen.count(needed), 1u) << key << " " << needed;
    EXPECT_GE(seen.size(), 36u) << key;
  }
}

TEST(SteelRecords, SharedPhases_AreReadAsLinesAndO1OverridesItsConductivity) {
  std::vector<Provenance> provenance;
  const Phases phases =
      read_phases(shipped::text_of(shipped::materials() / "phases.toml"), "phases.toml", &provenance);
  EXPECT_GE(provenance.size(), 15u);
  for (const Provenance& p : provenance)
    EXPECT_FALSE(p.source.empty()) << p.key;
  // straight fits of the quench-model table (Sjostrom 1985, from memory)
  EXPECT_NEAR(phases.austenite.k0, 15.0, 0.3);
  EXPECT_NEAR(phases.austenite.k1, 0.0112, 0.0005);
  EXPECT_NEAR(phases.pearlite.k0, 49.0, 0.1);
  EXPECT_NEAR(phases.pearlite.k1, -0.0244, 0.0002);
  EXPECT_NEAR(phases.martensite.k0, 43.1, 0.1);
  EXPECT_NEAR(phases.martensite.k1, -0.0217, 0.0002);
  EXPECT_NEAR(phases.austenite.c0, 532, 2);
  EXPECT_NEAR(phases.austenite.c1, 0.107, 0.002);
  // Hagel, Pound & Mehl 1956, Acta Metall.: 19.6 cal/g
  EXPECT_NEAR(phases.latent_pearlite_J_kg, 19.6 * 4.184e3, 100);
  EXPECT_LT(2 * phases.curie_peak_degC - phases.curie_from_degC, 727);
  // two O1 data sheets: 32, 33, 34 W/(m K) at 20, 190, 400 degC
  const Phases& o1 = shipped::steels().at("O1").phases;
  for (const auto& [T, k] : {std::pair{20.0, 32.0}, {190.0, 33.0}, {400.0, 34.0}})
    EXPECT_NEAR(o1.martensite.k0 + o1.martensite.k1 * T, k, 0.1);
  EXPECT_DOUBLE_EQ(o1.martensite.c0, phases.martensite.c0);
  EXPECT_DOUBLE_EQ(o1.austenite.k0, phases.austenite.k0);
  EXPECT_DOUBLE_EQ(shipped::steels().at("1084").phases.martensite.k0, phases.martensite.k0);
}

constexpr const char* inert = R"toml(format = 1
designation = "block of the verification case"
inert = true
density = { value = "7800 kg/m3", source = "verification case" }

[conductivity]
unit = "W/(m K)"
temperature = { unit = "degC", values = [0, 1000] }
values = [24, 28]
source = "verification case"

[specific_heat]
unit = "J/(kg K)"
temperature = { unit = "degC", values = [0, 1000] }
values = [480, 730]
source = "verification case"
)toml";

/// Heat [J/kg] between two temperatures: the area under c(T), linear between points.
double heat_between(const Table& c, double from, double to) {
  constexpr int steps = 400000;
  double sum = 0;
  for (int i = 0; i < steps; ++i)
    sum += c(from + (to - from) * (i + 0.5) / steps);
  return sum * (to - from) / steps;
}

TEST(InertSteel, LatentHeat_IsTakenUpOverItsRangeAndNowhereElse) {
  const std::string text =
      std::string(inert) +
      "\n[latent_heat]\nunit = \"kJ/kg\"\nsource = \"chosen\"\n"
      "temperature = { unit = \"degC\", values = [640, 660, 690] }\nvalues = [0, 60, 80]\n";
  const Table plain = read_steel(inert, "a.toml", shipped::phases()).specific_heat_J_kgK;
  const Table with = read_steel(text, "a.toml", shipped::phases()).specific_heat_J_kgK;
  const auto extra = [&](double from, double to) {
    return heat_between(with, from, to) - heat_between(plain, from, to);
  };
  EXPECT_NEAR(extra(100, 900), 80e3, 20);
  EXPECT_NEAR(extra(645, 655), 30e3, 10);
  EXPECT_NEAR(extra(665, 685), 20e3 * 20 / 30, 10);
  EXPECT_NEAR(extra(100, 600), 0, 1e-3);
  EXPECT_NEAR(extra(700, 900), 0, 1e-3);
}

TEST(SteelRecords, InertSteel_HasTwoTablesOnly) {
  const SteelRecord steel = read_steel(inert, "/some/where/block.one.toml", shipped::phases());
  EXPECT_TRUE(steel.inert);
  EXPECT_EQ(steel.key, "block.one");
  EXPECT_DOUBLE_EQ(steel.density_kg_m3, 7800);
  EXPECT_NEAR(steel.conductivity_W_mK(500), 26, 1e-12);
  EXPECT_NEAR(steel.specific_heat_J_kgK(500), 605, 1e-12);
  ASSERT_EQ(steel.provenance.size(), 3u);
  EXPECT_EQ(steel.provenance[1].key, "conductivity");
  EXPECT_EQ(steel.provenance[1].value, "[24, 28] W/(m K) at [0, 1000] degC");
}

TEST(SteelRecords, SourceAtTheHeadOrBesideTheValue_BothCount) {
  const SteelRecord& steel = shipped::steels().at("O1");
  const auto source_of = [&](const std::string& key) {
    for (const Provenance& p : steel.provenance)
      if (p.key == key)
        return p.source;
    return std::string("none");
  };
  EXPECT_EQ(source_of("composition.Mn"), "typical analysis, data sheet (published steel data page)");
  EXPECT_EQ(source_of("composition.C"), "middle of 95MnWCr5, ISO 4957 (from memory)");
  EXPECT_EQ(source_of("temper.hold"), "assumption, no source");
}

// Each bad record gives one line with file, line and key, and says what is allowed.
TEST(SteelRecords, BadRecords_AreToldInOneLine) {
  const std::string good = text_of_steel("O1");
  ASSERT_EQ(message_of(good), "");
  const struct {
    std::string text, key, says;
  } bad[] = {
      {missing_key(good, "[density]"), "density", ""},
      {missing_key(good, "format"), "format", "missing"},
      {with(good, "format = 1", "format = 2"), "format", "allowed"},
      {with(good, "value = \"7800 kg/m3\"", "value = 7800"), "density.value", "kg/m3"},
      {with(good, "value = \"7800 kg/m3\"", "value = \"7.8 kg/m3\""), "density.value", "out of range"},
      {with(good, "source = \"typical analysis", "sauce = \"typical analysis"), "composition", "source"},
      {with(good, "Mn = 1.20", "Mn = -1.20"), "composition.Mn", "0 to 15"},
      {with(good, "Mn = 1.20", "Mn = \"1.20\""), "composition.Mn", "number"},
      {with(good, "Mn = 1.20", "Mm = 1.20"), "composition.Mm", "Mn"},
      {with(good, "value = 0.95", "value = 9.5"), "composition.C", "out of range"},
      {with(good, "growth_time = \"60 s\"", "growth_time = \"60\""), "austenitising.growth_time", "unit"},
      {with(good, "growth_time = \"60 s\"", "growth_time = \"0 s\""), "austenitising.growth_time",
       "more than"},
      {with(good, "dissolution_energy = \"240 kJ/mol\"", "dissolution_energy = \"240 kJ/kg\""),
       "austenitising.dissolution_energy", "kJ/mol"},
      {with(good, "[austenitising.carbon_wanted] # wt%\nvalue = 0.65",
            "[austenitising.carbon_wanted]\nvalue = 1.2"),
       "austenitising.carbon_wanted", "more carbon"},
      {with(good, "temperature_to = \"816 degC\"", "temperature_to = \"700 degC\""),
       "hardening.temperature_to", "temperature_from"},
      {with(good, "soak_to = \"30 min\"", "soak_to = \"5 min\""), "hardening.soak_to", "soak_from"},
      {missing_key(good, "hold"), "temper.hold", "missing"},
      {with(good, "C = 0.81", "C = 1.81"), "transformation.matrix.C", "more carbon"},
      {with(good, "[149, 177,", "[177, 149,"), "temper.curve.temperature.values", "ascend"},
      {with(good, "[149, 177,", "[177,"), "temper.curve.values", "11 values for 10"},
      {with(good, "as_quenched = \"65 HRC\"", "as_quenched = \"60 HRC\""), "temper.curve", "as_quenched"},
      {with(good, "as_quenched = \"65 HRC\"", "as_quenched = \"65 HV\""), "temper.as_quenched", "HRC"},
      {with(good, "to = \"400 degC\"", "to = \"200 degC\""), "embrittlement.to", "from"},
      {good + "\n[colour]\nstraw = 1\n", "colour", "unknown key"},
      {with(inert, "inert = true", "inert = false"), "composition", "missing"},
      {std::string(inert) + "\n[temper]\nhold = \"1 h\"\n", "temper", "unknown key"},
      {with(inert, "[480, 730]", "[480]"), "specific_heat.values", "1 values for 2"},
      {with(inert, "[24, 28]", "[24, nan]"), "conductivity.values", "finite"},
      {with(inert, ", source = \"verification case\" }", " }"), "density", "has no source"},
      {good.substr(0, good.find("\n[hardening]")) + "\nvalue = ", "value", "no value"},
      {std::string("\x7f"
                   "ELF\x02\x01",
                   6),
       "", "not allowed"},
      {"", "", "nothing in it"},
  };
  for (const auto& b : bad) {
    const std::string message = message_of(b.text);
    EXPECT_EQ(message.rfind("own.toml:", 0), 0u) << b.key << ": " << message;
    EXPECT_NE(message.find(b.key), std::string::npos) << b.key << ": " << message;
    EXPECT_NE(message.find(b.says), std::string::npos) << b.key << ": " << message;
    EXPECT_EQ(message.find('\n'), std::string::npos) << message;
  }
}

TEST(SteelRecords, PhasesWithoutOneConstituent_AreRefused) {
  const std::string text = shipped::text_of(shipped::materials() / "phases.toml");
  EXPECT_THROW(read_phases(with(text, "\n[curie_bell]", "\n[cury_bell]"), "phases.toml"), InputError);
  EXPECT_THROW(read_phases(with(text, "heat = \"82.0 kJ/kg\"", ""), "phases.toml"), InputError);
  EXPECT_THROW(read_phases(with(text, "values = [49.0, 41.7, 34.3, 27.0]", "values = [49.0, 41.7, 4.3, 2.0]"),
                           "phases.toml"),
               InputError);
}

} // namespace
} // namespace tq::records
