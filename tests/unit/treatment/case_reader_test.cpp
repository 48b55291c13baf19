#include "../../support/file_records.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <set>
#include <sstream>
#include <string>
#include <vector>

using namespace tq;
using namespace tq::treatment;

namespace {

const char* const head = "format = 1\n";
const char* const blade = "[blade]\nsteel = \"O1\"\nlength = \"110 mm\"\n"
                          "[[blade.station]]\nwidth = \"30 mm\"\nspine = \"3.2 mm\"\nedge = \"0.6 mm\"\n";

Case read(const std::string& text) { return read_case(text, "case.toml", test::FileRecords()); }

std::string message(const std::string& text) {
  try {
    read(text);
  } catch (const records::InputError& e) {
    return e.what();
  }
  return "read without an error";
}

bool says(const Case& c, const std::string& line) {
  return std::find(c.defaults.begin(), c.defaults.end(), line) != c.defaults.end();
}

std::string all(const Case& c) {
  std::string out;
  for (const std::string& line : c.defaults)
    out += line + "\n";
  return out;
}

/// Keys at the left of `=` and headings in a TOML text; commented keys ("#key = ...") count when asked for.
std::set<std::string> keys_in(const std::string& text, bool commented) {
  std::set<std::string> out;
  std::istringstream in(text);
  std::string line;
  while (std::getline(in, line)) {
    if (commented && line.size() > 1 && line[0] == '#' && line[1] != ' ')
      line.erase(0, 1);
    if (line.empty() || line[0] == '#')
      continue;
    out.insert(line[0] == '[' ? line.substr(0, line.find(']')) : line.substr(0, line.find(' ')));
  }
  return out;
}

/// Cases that together use every key.
std::vector<std::string> various_cases() {
  std::vector<std::string> out = {std::string(head) + blade, case_template()};
  out.push_back(
      std::string(head) + blade +
      "bevel_height = \"12 mm\"\ngrind = \"bevel\"\nfalse_edge_width = \"5 mm\"\n"
      "false_edge_thickness = \"1 mm\"\n[blade.steel_override]\ntransformation.pearlite_factor = 2\n"
      "[[blade.station]]\nname = \"hollow\"\nwidth = \"1 1/4 in\"\nspine = \"1/8 in\"\nedge = \"20 thou\"\n"
      "grind = \"hollow\"\nwheel_radius = \"5 in\"\nbevel_height = \"3/8 in\"\n"
      "[[blade.station]]\nname = \"convex\"\nwidth = \"30 mm\"\nspine = \"4 mm\"\nedge = \"0.6 mm\"\n"
      "grind = \"convex\"\nconvex_bulge = \"0.3 mm\"\n"
      "[[blade.station]]\nname = \"one\"\nwidth = \"30 mm\"\nspine = \"4 mm\"\nedge = \"0.6 mm\"\n"
      "grind = \"one-sided\"\n"
      "[[blade.station]]\nname = \"outline\"\n[blade.station.outline]\nunit = \"in\"\n"
      "x = [0, 1, 1, 0]\ny = [0.06, 0.01, -0.01, -0.06]\n"
      "[[blade.station]]\nname = \"caliper\"\n[blade.station.caliper]\n"
      "distance = [\"0 mm\", \"10 mm\", \"20 mm\"]\nthickness = [\"3 mm\", \"2 mm\", \"0.5 mm\"]\n"
      "[furnace]\nreading_offset = \"-27 degF\"\ntimer = \"75 min\"\nwall_emissivity = 1\n"
      "convection = \"2 BTU/(h ft2 degF)\"\n"
      "[[furnace.programme]]\ntarget = \"1200 degF\"\nrate = \"600 degF/h\"\nhold = \"15 min\"\n"
      "[[furnace.programme]]\ntarget = \"1475 degF\"\n"
      "[wrap]\nlayers = 2\nfold = \"pressed\"\ngaps = { spine = \"1 mm\" }\ncontact_fraction = 0.1\n"
      "contact_conductance = \"800 W/m2K\"\nemissivity_outside = 0.5\nemissivity_inside = 0.2\n"
      "thickness = \"2 thou\"\nheat_capacity = \"190 J/m2K\"\nin_oil = true\n"
      "foil_override = { service_limit = \"1200 degC\" }\n"
      "[surface]\nair = \"scaled\"\nfurnace = 0.7\nin_foil = \"bright\"\n"
      "[transfer]\ntime = \"4.5 s\"\nair = \"70 degF\"\nconvection = \"9 W/m2K\"\n"
      "[bath]\ncoolant = \"vegetable-oil\"\ntemperature = \"130 degF\"\nvolume = \"2 gal\"\n"
      "agitation = \"0.5 ft/s\"\ntime = \"90 s\"\ncoolant_override.density.value = \"910 kg/m3\"\n"
      "[cool]\nair = \"25 degC\"\nconvection = \"8 W/m2K\"\nlowest = \"-78 degC\"\n"
      "[temper]\noven = \"400 degF\"\ntime = \"1.5 h\"\ncount = 3\nkind = \"fan\"\nswing = \"20 degF\"\n"
      "swing_period = \"7 min\"\nedge_extra = \"15 K\"\nemissivity = 0.5\n"
      "[wish]\nsoak = \"12 min\"\nwithin = \"10 degF\"\nhardness = [\"58 HRC\", \"61.5 HRC\"]\n"
      "[verdict]\ntransformed_pass = 0.01\ntransformed_marginal = \"5 %\"\naustenite_least = \"98 %\"\n"
      "flash_margin = \"50 degF\"\n"
      "[[probe]]\nname = \"tc\"\nx = \"1/2 in\"\n[[probe]]\nname = \"skin\"\nx = \"10 mm\"\ny = \"0.5 mm\"\n"
      "[output]\ntimes = [\"1 s\", \"2.5 min\"]\n"
      "[solver]\ntolerance = \"0.02 K\"\nalong = 120\nacross = 12\nmax_step = \"0.5 s\"\nsymmetry = false\n");
  out.push_back("format = 1\nstages = [\"bath\"]\n[start]\ntemperature = \"800 degC\"\n"
                "[blade]\nsteel = \"tests/unit/treatment/plain_steel.toml\"\nlength = \"100 mm\"\n"
                "[[blade.station]]\nwidth = \"30 mm\"\nspine = \"4 mm\"\nedge = \"0.5 mm\"\n"
                "[bath]\nhtc = \"1000 W/m2K\"\ntemperature = \"60 degC\"\ntime = \"30 s\"\n");
  out.push_back("format = 1\nstages = [\"furnace\"]\n"
                "[blade]\nsteel = \"tests/unit/treatment/plain_steel.toml\"\nlength = \"100 mm\"\n"
                "[[blade.station]]\nwidth = \"30 mm\"\nspine = \"4 mm\"\nedge = \"0.5 mm\"\n"
                "[furnace]\nsetpoint = \"800 degC\"\ntimer = \"10 min\"\ndroop = \"0 K\"\n"
                "[wrap]\ngap_conductance = \"200 W/m2K\"\n");
  out.push_back(
      std::string(head) + blade +
      "[furnace]\novershoot = \"8 K\"\novershoot_peak = \"4 min\"\nblades = 3\nspacing = \"1 in\"\n"
      "[furnace.support]\nface = \"edge\"\ndepth = \"2 mm\"\nconductance = \"100 W/m2K\"\n"
      "cooler = \"30 K\"\n"
      "[wrap]\nemissivity_outside = 0.3\nemissivity_oxidised = 0.8\noxidises_in = \"12 min\"\n"
      "[bath]\nblades = 4\ninterval = \"3 min\"\nwater = \"0.02 %\"\n"
      "[wish]\nharden = [\"edge\"]\nsoft = [\"spine\", \"thickest\"]\n[verdict]\nsoft_least = \"60 %\"\n");
  out.push_back("format = 1\nstages = [\"temper\"]\n[start]\ntemperature = \"20 degC\"\n" +
                std::string(blade) + "[temper]\noven = \"205 degC\"\n");
  return out;
}

std::vector<Part> parts_of(const Case& c) {
  std::vector<Part> parts;
  for (const auto& step : c.steps)
    parts.push_back(part_of(step));
  return parts;
}

} // namespace

// A steel of which nothing but the analysis is known is the one that a record with that analysis alone is.
TEST(Treatment_CaseReader, Analysis_StandsForASteelWithoutARecord) {
  const std::string rest = "length = \"110 mm\"\n[[blade.station]]\nwidth = \"30 mm\"\nspine = \"2 mm\"\n"
                           "edge = \"0.6 mm\"\n";
  const std::string analysis = "[blade.analysis]\nC = 0.95\nMn = 0.4\nSi = 0.25\nP = 0.012\nS = 0.004\n";
  const Case c = read(std::string(head) + "[blade]\n" + rest + analysis);
  EXPECT_DOUBLE_EQ(c.steel.composition.C, 0.95);
  EXPECT_DOUBLE_EQ(c.steel.composition.P, 0.012);
  EXPECT_DOUBLE_EQ(c.steel.composition.S, 0.004);
  EXPECT_EQ(c.steel.key, "steel by analysis");
  EXPECT_EQ(c.steel.designation, "steel by analysis: C 0.95 Mn 0.4 Si 0.25 P 0.012 S 0.004");
  EXPECT_EQ(c.steel.transformation.factor_uncertainty, 2.5); // the rule's
  EXPECT_NE(all(c).find("all of the steel but its analysis"), std::string::npos) << all(c);
  const Case back = read(c.resolved_text);
  EXPECT_EQ(back.resolved_text, c.resolved_text);
  EXPECT_EQ(back.steel.transformation.pearlite_factor, c.steel.transformation.pearlite_factor);
  const Case other = read(std::string(head) + "[blade]\n" + rest + analysis +
                          "[blade.steel_override]\ntransformation.pearlite_factor.value = 2\n");
  EXPECT_EQ(other.steel.transformation.pearlite_factor, 2);
}

TEST(Treatment_CaseReader, LeastCase_HasSensibleDefaultsAndTellsThem) {
  const Case c = read(std::string(head) + blade);
  EXPECT_EQ(c.steel.key, "O1");
  EXPECT_EQ(parts_of(c), (std::vector<Part>{Part::furnace, Part::transfer, Part::bath, Part::cool}));
  ASSERT_EQ(c.blade.stations.size(), 1u);
  EXPECT_EQ(c.blade.stations[0].name, "station 1");
  EXPECT_NEAR(c.blade.stations[0].profile.width(), 0.03, 1e-12);
  const auto& a = c.steel.austenitising;
  EXPECT_DOUBLE_EQ(c.furnace().setpoint_degC, 0.5 * (a.hardening_from_degC + a.hardening_to_degC));
  EXPECT_FALSE(c.furnace().timer_s.has_value());
  EXPECT_DOUBLE_EQ(c.wishes.soak_s, a.asked_soak_s);
  EXPECT_EQ(c.wrap.layers, 0);
  EXPECT_DOUBLE_EQ(c.surface.emissivity_air, 0.8);
  EXPECT_EQ(c.bath().coolant.key, "medium-oil");
  EXPECT_DOUBLE_EQ(c.bath().temperature_degC,
                   0.5 * (c.bath().coolant.recommended_from_degC + c.bath().coolant.recommended_to_degC));
  EXPECT_NEAR(c.bath().volume_m3, 8e-3, 1e-12);
  EXPECT_DOUBLE_EQ(c.bath().time_s, 60);
  EXPECT_EQ(c.tempers(), 0);
  EXPECT_TRUE(says(c, "the blade goes into the furnace bare, without foil")) << all(c);
  EXPECT_TRUE(says(c, "2 s from the furnace to the bath")) << all(c);
  EXPECT_TRUE(says(c, "timer set by the program so that every zone gets the asked soak")) << all(c);
}

TEST(Treatment_CaseReader, FoilGap_DefaultsByFoldAndIsTold) {
  const Case loose = read(std::string(head) + blade + "[wrap]\n");
  for (double gap : loose.wrap.gap_m)
    EXPECT_DOUBLE_EQ(gap, 3e-4);
  EXPECT_TRUE(says(loose, "foil gap 0.3 mm on all faces (hand folded), a factor 3 either way")) << all(loose);
  EXPECT_DOUBLE_EQ(loose.surface.emissivity_air, 0.35);
  const Case tight = read(std::string(head) + blade + "[wrap]\nfold = \"pressed\"\ngaps.edge = \"1 mm\"\n");
  EXPECT_DOUBLE_EQ(tight.wrap.gap_m[flank_b], 25e-6);
  EXPECT_DOUBLE_EQ(tight.wrap.gap_m[edge_face], 1e-3);
  EXPECT_TRUE(says(tight, "foil gap 25 um on flank_a, flank_b, spine (pressed), a factor 3 either way"))
      << all(tight);
  const Case given = read(std::string(head) + blade + "[wrap]\ngap = \"0.5 mm\"\n");
  EXPECT_EQ(all(given).find("foil gap"), std::string::npos);
}

TEST(Treatment_CaseReader, ValuesLandInTheirPlaceInSI) {
  const Case c = read(various_cases()[2]);
  EXPECT_EQ(c.blade.stations.size(), 6u);
  EXPECT_NEAR(c.blade.stations[1].profile.thickness_at(0), 3.175e-3, 1e-9);
  EXPECT_NEAR(c.blade.stations[4].profile.width(), 25.4e-3, 1e-12);
  EXPECT_DOUBLE_EQ(c.steel.transformation.pearlite_factor, 2);
  EXPECT_EQ(c.furnace().loading, Loading::cold);
  EXPECT_NEAR(c.furnace().reading_offset_K, -15, 1e-12);
  EXPECT_NEAR(c.furnace().setpoint_degC, 801.6667, 1e-3);
  ASSERT_EQ(c.furnace().programme.size(), 2u);
  EXPECT_NEAR(c.furnace().programme[0].rate_K_s, 600.0 / 1.8 / 3600, 1e-9);
  EXPECT_DOUBLE_EQ(c.furnace().programme[0].hold_s, 900);
  EXPECT_DOUBLE_EQ(c.furnace().programme[1].rate_K_s, 0);
  EXPECT_DOUBLE_EQ(*c.furnace().timer_s, 4500);
  EXPECT_EQ(c.wrap.layers, 2);
  EXPECT_NEAR(c.wrap.thickness_m, 5.08e-5, 1e-12);
  EXPECT_TRUE(c.wrap.on_in_oil);
  EXPECT_TRUE(c.carried_in_foil());
  EXPECT_DOUBLE_EQ(c.wrap.foil.service_limit_degC, 1200);
  EXPECT_DOUBLE_EQ(c.surface.emissivity_air, 0.8);
  EXPECT_DOUBLE_EQ(c.surface.emissivity_in_foil, 0.35);
  EXPECT_NEAR(c.bath().volume_m3, 7.570824e-3, 1e-8);
  EXPECT_NEAR(c.bath().agitation_m_s, 0.1524, 1e-12);
  EXPECT_DOUBLE_EQ(c.bath().coolant.density_kg_m3, 910);
  EXPECT_DOUBLE_EQ(c.lowest_degC(), -78);
  EXPECT_EQ(c.oven().kind, OvenKind::fan);
  EXPECT_NEAR(c.oven().swing_K, 11.1111, 1e-3);
  EXPECT_NEAR(c.wishes.within_K, 5.5556, 1e-3);
  EXPECT_DOUBLE_EQ(c.wishes.hrc_to, 61.5);
  EXPECT_DOUBLE_EQ(c.thresholds.transformed_pass, 0.01);
  ASSERT_EQ(c.probes.size(), 2u);
  EXPECT_NEAR(c.probes[0].x_m, 12.7e-3, 1e-12);
  EXPECT_EQ(c.output_times_s, (std::vector<double>{1, 150}));
  EXPECT_FALSE(c.solver.use_symmetry);
}

TEST(Treatment_CaseReader, Override_CarriesItsOwnSource) {
  const Case c = read(various_cases()[2]);
  const auto& p = c.steel.provenance;
  const auto found = std::find_if(
      p.begin(), p.end(), [](const auto& entry) { return entry.key == "transformation.pearlite_factor"; });
  ASSERT_NE(found, p.end());
  EXPECT_EQ(found->source, "given in the case file");
}

TEST(Treatment_CaseReader, EveryPlainValueOfShippedRecords_MayBeOverridden) {
  // each dotted key of the records' provenance whose value is one number
  const Case c = read(various_cases()[2]);
  int tried = 0;
  const auto try_all = [&](const std::vector<records::Provenance>& values, const std::string& table) {
    for (const auto& entry : values) {
      if (entry.value.find_first_of("+-.0123456789") != 0 || entry.value.find(" at ") != std::string::npos)
        continue;
      const std::string bare = entry.value.substr(0, entry.value.find(' '));
      const bool wt = entry.value.find("wt%") != std::string::npos;
      const bool plain = wt || bare == entry.value;
      std::string text = various_cases()[1];
      text += "[" + table + "]\n" + entry.key + " = " + (plain ? bare : "\"" + entry.value + "\"") + "\n";
      EXPECT_EQ(message(text), "read without an error") << entry.key << " = " << entry.value;
      ++tried;
    }
  };
  try_all(read(case_template()).steel.provenance, "blade.steel_override");
  try_all(read(case_template()).bath().coolant.provenance, "bath.coolant_override");
  try_all(read(case_template()).wrap.foil.provenance, "wrap.foil_override");
  EXPECT_GT(tried, 30);
}

TEST(Treatment_CaseReader, ResolvedText_ReadsBackToItself) {
  for (const std::string& text : various_cases()) {
    const Case c = read(text);
    Case back;
    ASSERT_NO_THROW(back = read(c.resolved_text)) << message(c.resolved_text) << "\n" << c.resolved_text;
    EXPECT_EQ(back.resolved_text, c.resolved_text);
    EXPECT_EQ(c.source_text, text);
    EXPECT_EQ(parts_of(back), parts_of(c));
    EXPECT_NEAR(back.furnace().setpoint_degC, c.furnace().setpoint_degC, 1e-9);
    EXPECT_EQ(back.furnace().timer_s.has_value(), c.furnace().timer_s.has_value());
    EXPECT_NEAR(back.bath().volume_m3, c.bath().volume_m3, 1e-12);
    EXPECT_NEAR(back.bath().temperature_degC, c.bath().temperature_degC, 1e-9);
    EXPECT_EQ(back.wrap.layers, c.wrap.layers);
    for (int face = 0; face < face_count; ++face)
      EXPECT_NEAR(back.wrap.gap_m[static_cast<std::size_t>(face)],
                  c.wrap.gap_m[static_cast<std::size_t>(face)], 1e-12);
    EXPECT_EQ(back.start.austenitised, c.start.austenitised);
    ASSERT_EQ(back.blade.stations.size(), c.blade.stations.size());
    for (std::size_t i = 0; i < c.blade.stations.size(); ++i)
      EXPECT_NEAR(back.blade.stations[i].profile.area(), c.blade.stations[i].profile.area(), 1e-15);
    for (const char* told : {"set point", "foil gap", "bath at", "in the bath", "usual for"})
      EXPECT_EQ(all(back).find(told), std::string::npos) << all(back);
  }
}

TEST(Treatment_CaseReader, Template_ShowsEveryKeyAndItsDefaults) {
  const std::set<std::string> shown = keys_in(case_template(), true);
  for (const std::string& text : various_cases())
    for (const std::string& key : keys_in(read(text).resolved_text, false))
      EXPECT_TRUE(std::any_of(shown.begin(), shown.end(), [&](const std::string& known) {
        return known == key ||
               (key.find("_override") != std::string::npos && known.find(key) != std::string::npos);
      })) << key;
  // the values shown are the defaults: without them the case resolves to the same text
  const std::string least =
      std::string(head) +
      "title = \"\"\n[blade]\nsteel = \"O1\"\nlength = \"110 mm\"\n"
      "[[blade.station]]\nname = \"middle of the blade\"\nwidth = \"30 mm\"\nspine = \"3.2 mm\"\n"
      "edge = \"0.6 mm\"\n[wrap]\n[temper]\noven = \"205 degC\"\n";
  EXPECT_EQ(read(case_template()).resolved_text, read(least).resolved_text);
}

TEST(Treatment_CaseReader, Uncertainty_KeepsWhatTheCaseSays) {
  const std::string text = std::string(head) +
                           "[blade]\nsteel = \"O1\"\nlength = \"110 mm\"\n[[blade.station]]\n"
                           "width = \"30 mm\"\nspine = \"3.2 mm\"\nedge = \"0.6 mm\"\n[uncertainty]\n"
                           "furnace_reading = \"measured\"\nfoil_gap = 2\noil_h = \"25 %\"\n"
                           "steel_ms = \"exact\"\ntransfer_time = \"from memory\"\n";
  const Case c = read(text);
  ASSERT_EQ(c.uncertainty.stated.size(), 5U);
  for (const Doubt& d : c.uncertainty.stated)
    if (d.input == "oil_h")
      EXPECT_DOUBLE_EQ(d.width.value(), 0.25);
    else if (d.input == "foil_gap")
      EXPECT_DOUBLE_EQ(d.width.value(), 2);
    else if (d.input == "steel_ms")
      EXPECT_EQ(d.width.value(), 0);
    else
      EXPECT_FALSE(d.width) << d.input;
  EXPECT_EQ(read(c.resolved_text).resolved_text, c.resolved_text);
}

TEST(Treatment_CaseReader, Template_CommentedKeysAreUnderstood) {
  // every commented key alone, under the heading it stands below, is known to the reader
  std::istringstream in(case_template());
  std::vector<std::string> lines;
  std::string line;
  while (std::getline(in, line))
    lines.push_back(line);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (lines[i].size() < 2 || lines[i][0] != '#' || lines[i][1] == ' ' || lines[i][1] == '[')
      continue;
    std::string text;
    for (std::size_t k = 0; k < lines.size(); ++k)
      text += (k == i ? lines[k].substr(1) : lines[k]) + "\n";
    const std::string told = message(text);
    if (told.find("unknown key") != std::string::npos) // belongs to a commented table: uncomment that as well
    {
      std::size_t from = i, to = i;
      while (lines[from - 1].size() > 1 && lines[from - 1][0] == '#' && lines[from - 1][1] != ' ')
        --from;
      while (lines[to + 1].size() > 1 && lines[to + 1][0] == '#' && lines[to + 1][1] != ' ')
        ++to;
      text.clear();
      for (std::size_t k = 0; k < lines.size(); ++k)
        text += (k >= from && k <= to ? lines[k].substr(1) : lines[k]) + "\n";
      EXPECT_EQ(message(text).find("unknown key"), std::string::npos) << lines[i] << "\n" << message(text);
    }
  }
}

TEST(Treatment_CaseReader, StagesAlone_StartFromAUniformTemperature) {
  const Case bath = read(various_cases()[3]);
  EXPECT_EQ(parts_of(bath), std::vector<Part>{Part::bath});
  EXPECT_TRUE(bath.steel.inert);
  EXPECT_FALSE(bath.start.austenitised);
  EXPECT_DOUBLE_EQ(bath.start.temperature_degC, 800);
  EXPECT_DOUBLE_EQ(bath.bath().fixed_htc_W_m2K, 1000);
  EXPECT_DOUBLE_EQ(bath.bath().volume_m3, 0);
  const Case quench =
      read("format = 1\nstages = [\"transfer\", \"bath\"]\n[start]\ntemperature = \"1475 degF\"\n" +
           std::string(blade) + "[bath]\nvolume = \"large\"\n");
  EXPECT_TRUE(quench.start.austenitised);
  EXPECT_DOUBLE_EQ(quench.bath().volume_m3, 0);
  EXPECT_EQ(
      message(
          "format = 1\nstages = [\"furnace\"]\n[blade]\nsteel = \"tests/unit/treatment/plain_steel.toml\"\n"
          "length = \"100 mm\"\n[[blade.station]]\nwidth = \"30 mm\"\nspine = \"4 mm\"\nedge = \"0.5 mm\"\n"
          "[furnace]\nsetpoint = \"800 degC\"\n"),
      "case.toml:10: furnace: timer missing; an inert steel has no usual soak, so write furnace.timer or "
      "wish.soak");
}

TEST(Treatment_CaseReader, ShippedCases_Read) {
  int cases = 0;
  for (const auto& entry :
       std::filesystem::directory_iterator(std::filesystem::path(TQ_SOURCE_DIR) / "cases")) {
    if (entry.path().extension() != ".toml")
      continue;
    ++cases;
    EXPECT_NO_THROW({
      const test::FileRecords records(entry.path().parent_path());
      const Case c = read_case(*test::read_file(entry.path()), entry.path().filename().string(), records);
      EXPECT_EQ(read_case(c.resolved_text, "resolved.toml", records).resolved_text, c.resolved_text);
    }) << entry.path();
  }
  EXPECT_GE(cases, 1);
}

TEST(Treatment_CaseReader, DamagedText_ReadsOrTellsEachFaultInOneLine) {
  const std::string text = various_cases()[2];
  std::mt19937 random(20260101);
  std::vector<std::string> damaged;
  for (std::size_t n = 0; n < text.size(); n += 97)
    damaged.push_back(text.substr(0, n));
  for (int i = 0; i < 60; ++i) {
    std::string bad = text;
    const auto at = [&] { return std::uniform_int_distribution<std::size_t>(0, bad.size() - 1)(random); };
    switch (i % 3) {
    case 0:
      bad[at()] = static_cast<char>(std::uniform_int_distribution<int>(0, 255)(random));
      break;
    case 1:
      bad.erase(at(), 5);
      break;
    default:
      bad.insert(at(), "0");
    }
    damaged.push_back(bad);
  }
  for (const std::string& bad : damaged) {
    const std::string told = message(bad); // any other exception fails the test
    std::istringstream lines(told);
    for (std::string line; told != "read without an error" && std::getline(lines, line);)
      EXPECT_NE(line.find(": "), std::string::npos) << told;
  }
}

namespace {

Case read_with(const std::string& text, const std::vector<records::Setting>& settings) {
  return read_case(text, "case.toml", test::FileRecords(), settings);
}

std::string message_with(const std::string& text, const std::vector<records::Setting>& settings) {
  try {
    read_with(text, settings);
  } catch (const records::InputError& e) {
    return e.what();
  }
  return "read without an error";
}

} // namespace

TEST(Treatment_CaseReader, Setting_EqualsTheSameValueInTheFile) {
  const std::string plain = std::string(head) + blade + "[wrap]\nlayers = 1\n";
  const auto same = [&](const std::string& path, const std::string& value, const std::string& text) {
    EXPECT_EQ(read_with(plain, {{path, value}}).resolved_text, read(text).resolved_text) << path;
  };
  same("transfer.time", "4 s", plain + "[transfer]\ntime = \"4 s\"\n");
  same("transfer.time", "\"4 s\"", plain + "[transfer]\ntime = \"4 s\"\n");
  same("wrap.layers", "2", std::string(head) + blade + "[wrap]\nlayers = 2\n");
  same("wish.hardness", "[\"60 HRC\", \"62 HRC\"]", plain + "[wish]\nhardness = [\"60 HRC\", \"62 HRC\"]\n");
  same("uncertainty.foil_gap", "2", plain + "[uncertainty]\nfoil_gap = 2\n");
  // a text that looks like a number needs no quotes here
  EXPECT_EQ(read_with(plain, {{"blade.steel", "1084"}}).steel.key, "1084");
  // values of records, as in the file
  EXPECT_DOUBLE_EQ(read_with(plain, {{"blade.steel_override.transformation.pearlite_factor", "2"}})
                       .steel.transformation.pearlite_factor,
                   2);
}

TEST(Treatment_CaseReader, Setting_FindsStationsByNumberAndName) {
  const std::string two = std::string(head) + blade +
                          "[[blade.station]]\nname = \"tip\"\nwidth = \"20 mm\"\n" +
                          "spine = \"2 mm\"\nedge = \"0.5 mm\"\n";
  for (const char* path : {"blade.station.2.spine", "blade.station[2].spine", "blade.station.tip.spine"})
    EXPECT_NEAR(read_with(two, {{path, "1.5 mm"}}).blade.stations[1].profile.thickness_at(0), 1.5e-3, 1e-12)
        << path;
  EXPECT_EQ(
      message_with(two, {{"blade.station.tipp.spine", "1.5 mm"}}),
      "--set: blade.station.tipp.spine: \"tipp\" is none of the 2 [[blade.station]]; did you mean \"tip\"? "
      "write its number or its name: 1, tip");
}

TEST(Treatment_CaseReader, Setting_IsRefusedLikeAValueOfTheFile) {
  const std::string plain = std::string(head) + blade;
  EXPECT_EQ(message_with(plain, {{"furnace.timer", "-35 min"}}),
            "--set: furnace.timer: \"-35 min\" is out of range; allowed: more than 0 s up to 100 h");
  EXPECT_EQ(message_with(plain, {{"transfer.tine", "2 s"}}),
            "--set: transfer.tine: unknown key; did you mean \"time\"? allowed here: air, convection, "
            "in_foil, time");
}

TEST(Treatment_CaseReader, Limits_HoldAsTheyAreWritten) {
  const std::string plain = std::string(head) + blade;
  EXPECT_EQ(message(plain + "[wrap]\nthickness = \"5 um\"\n[bath]\nvolume = \"100 mL\"\n"),
            "read without an error");
  EXPECT_NE(message(plain + "[bath]\nvolume = \"99.9 mL\"\n"), "read without an error");
}

TEST(Treatment_CaseReader, PageOfKeys_IsThatOfTheTable) {
  EXPECT_EQ(*test::read_file(TQ_SOURCE_DIR "/cases/KEYS.md"), key_page()) << "run scripts/update-keys";
}

TEST(Treatment_CaseReader, Steps_ReadThroughTheSameTables) {
  const std::string steps = "[[step]]\nkind = \"furnace\"\ntimer = \"20 min\"\n[[step]]\nkind = \"bath\"\n"
                            "temperature = \"45 degC\"\n[[step]]\nkind = \"oven\"\noven = \"200 degC\"\n"
                            "oven_kind = \"fan\"\ncount = 3\n";
  const Case c = read(std::string(head) + blade + steps);
  ASSERT_EQ(c.steps.size(), 5u);
  EXPECT_EQ(c.steps[1].as<Bath>()->temperature_degC, 45);
  EXPECT_EQ(c.steps[2].as<Oven>()->kind, OvenKind::fan);
  EXPECT_EQ(c.steps[4].name, "oven 3");
  EXPECT_EQ(read(c.resolved_text).resolved_text, c.resolved_text);
}

TEST(Treatment_CaseReader, OtherNames_OfARecordsTitleAreUnderstood) {
  // the titles: "52100 (SAE J404); 100Cr6 (ISO 683-17)", "vegetable oil (canola or soybean)"
  std::string text = std::string(head) + blade + "[bath]\ncoolant = \"canola\"\n";
  text.replace(text.find("O1"), 2, "100Cr6");
  const Case c = read(text);
  EXPECT_EQ(c.steel.key, "52100");
  EXPECT_EQ(c.bath().coolant.key, "vegetable-oil");
  EXPECT_TRUE(says(c, "\"100Cr6\" is 52100 here")) << all(c);
  EXPECT_EQ(read(c.resolved_text).resolved_text, c.resolved_text);
}

TEST(Treatment_CaseReader, OddTemperature_IsToldWithTheOtherScale) {
  const std::string plain = std::string(head) + blade + "[temper]\noven = ";
  // 400 degF is (400 - 32)/1.8 = 204.44 degC
  EXPECT_TRUE(says(read(plain + "\"400 degC\"\n"),
                   "temper.oven is 400 degC as written; in degF it would be 204.4 degC"));
  EXPECT_EQ(all(read(plain + "\"400 degF\"\n")).find("as written"), std::string::npos);
}

// An eighth of an inch is 3.175 mm, 1.25 in are 31.75 mm.
TEST(Treatment_CaseReader, InchesForMillimetres_AndMinutesForSeconds_AreAsked) {
  const auto with = [](std::string from, const std::string& to, const std::string& more = "") {
    std::string text = std::string(head) + blade;
    text.replace(text.find(from), from.size(), to);
    return text + more;
  };
  EXPECT_TRUE(read(std::string(head) + blade).odd.empty());
  const std::string stretched = std::string(head) + blade + "[transfer]\ntime = \"2 min\"\n";
  ASSERT_EQ(read(stretched).odd.size(), 1);
  EXPECT_EQ(read(stretched).odd[0], "transfer.time: \"2 min\" is an odd time; was \"2 s\" meant?");
  const Case timer = read(std::string(head) + blade + "[furnace]\ntimer = \"35 s\"\n");
  ASSERT_EQ(timer.odd.size(), 1);
  EXPECT_EQ(timer.odd[0], "furnace.timer: \"35 s\" is an odd timer; was \"35 min\" meant?");
  const auto message = [](const std::string& text) -> std::string {
    try {
      read(text);
    } catch (const records::InputError& e) {
      return e.what();
    }
    return "";
  };
  EXPECT_NE(
      message(with("spine = \"3.2 mm\"", "spine = \"0.125 mm\"")).find("was \"0.125 in\" meant, 3.175 mm?"),
      std::string::npos)
      << message(with("spine = \"3.2 mm\"", "spine = \"0.125 mm\""));
  EXPECT_NE(
      message(with("width = \"30 mm\"", "width = \"1.25 mm\"")).find("was \"1.25 in\" meant, 31.75 mm?"),
      std::string::npos);
  EXPECT_NE(message(with("length = \"110 mm\"", "length = \"4.3 mm\"")).find("did you mean in?"),
            std::string::npos);
}

TEST(Treatment_CaseReader, SeveralBlades_SagMoreUnlessTheSagIsGiven) {
  const std::string three = std::string(head) + blade + "[furnace]\nblades = 3\nspacing = \"30 mm\"\n";
  EXPECT_DOUBLE_EQ(read(three).furnace().droop_K, 30);
  EXPECT_DOUBLE_EQ(read(three + "droop = \"12 K\"\n").furnace().droop_K, 12);
}

TEST(Treatment_CaseReader, Wishes_AllZonesHardenUnlessNamed) {
  for (Wanted w : read(std::string(head) + blade).wishes.zones)
    EXPECT_EQ(w, Wanted::hard);
  const auto edge = read(std::string(head) + blade + "[wish]\nharden = [\"edge\"]\nsoft = [\"spine\"]\n");
  EXPECT_EQ(edge.wishes.zones, (std::array{Wanted::hard, Wanted::either, Wanted::soft, Wanted::either}));
  const auto back = read(std::string(head) + blade + "[wish]\nsoft = [\"spine\"]\n");
  EXPECT_EQ(back.wishes.zones, (std::array{Wanted::hard, Wanted::hard, Wanted::soft, Wanted::hard}));
}

// A ricasso may be wished softer than the blade, and its spine soft.
TEST(Treatment_CaseReader, Wishes_OfOneStation_StandBeforeThoseOfTheCase) {
  const Case c =
      read(std::string(head) + blade +
           "[[blade.station]]\nname = \"ricasso\"\nwidth = \"28 mm\"\nspine = \"3 mm\"\nedge = \"2 mm\"\n"
           "hardness = [\"50 HRC\", \"54 HRC\"]\nsoft_spine = true\n"
           "[wish]\nhardness = [\"59 HRC\", \"62 HRC\"]\n");
  EXPECT_EQ(c.hardness_wish(0), (HardnessWish{59, 62}));
  EXPECT_EQ(c.hardness_wish(1), (HardnessWish{50, 54}));
  EXPECT_FALSE(c.common_wish().stated());
  EXPECT_EQ(c.wanted_zones(0), WantedZones{});
  EXPECT_EQ(c.wanted_zones(1), (WantedZones{Wanted::hard, Wanted::hard, Wanted::either, Wanted::either}));
  const Case again = read(c.resolved_text);
  EXPECT_EQ(again.resolved_text, c.resolved_text);
  EXPECT_EQ(again.hardness_wish(1), c.hardness_wish(1));
  EXPECT_EQ(again.wanted_zones(1), c.wanted_zones(1));
  Case alike = c;
  alike.wish_hardness({57, 60});
  EXPECT_EQ(alike.common_wish(), (HardnessWish{57, 60}));
}
