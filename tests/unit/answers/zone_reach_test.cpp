// What is told of a station is what its field holds: over random sections the least margin, the most turned
// and the softest of all nodes, wherever they lie.
#include "../../support/file_records.hpp"
#include "answers/margins.hpp"
#include "answers/station_answer.hpp"
#include "answers/wanted.hpp"
#include "answers/zone_reach.hpp"
#include "steel/hardness.hpp"
#include "treatment/case_reader.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

namespace {

using namespace tq;
using namespace tq::answers;

/// A quench alone, from austenite, of a section with these keys.
treatment::Case quench_of(const std::string& steel, const std::string& section, const std::string& coolant) {
  const std::string text = "format = 1\ntitle = \"random\"\nstages = [\"transfer\", \"bath\", \"cool\"]\n"
                           "[start]\ntemperature = \"800 degC\"\n"
                           "[blade]\nsteel = \"" +
                           steel +
                           "\"\nlength = \"200 mm\"\n[[blade.station]]\n"
                           "name = \"middle\"\n" +
                           section + "[transfer]\ntime = \"2 s\"\n[bath]\ncoolant = \"" + coolant +
                           "\"\nvolume = \"10 L\"\ntime = \"60 s\"\n"
                           "[solver]\nalong = 32\nacross = 4\ntolerance = \"0.5 K\"\n";
  return treatment::read_case(text, "random.toml", test::FileRecords(TQ_SOURCE_DIR "/cases"));
}

TEST(ZoneReach, TellsTheWorstOfTheWholeField_OfRandomSections) {
  std::mt19937 random(16);
  const auto between = [&](double from, double to) {
    return std::uniform_real_distribution<double>(from, to)(random);
  };
  const auto one_of = [&](const std::vector<std::string>& list) { return list[random() % list.size()]; };
  int away = 0, sections = 0;
  for (int n = 0; sections < 200; ++n) {
    const double width = between(15, 45), spine = between(1.5, 12), edge = between(0.3, std::min(1.2, spine));
    char section[256];
    std::snprintf(section, sizeof section, "width = \"%.3f mm\"\nspine = \"%.3f mm\"\nedge = \"%.3f mm\"\n",
                  width, spine, edge);
    std::string keys = section;
    if (n % 2 == 1) {
      std::snprintf(section, sizeof section, "grind = \"bevel\"\nbevel_height = \"%.3f mm\"\n",
                    between(0.35, 0.9) * width);
      keys += section;
    }
    treatment::Case c;
    try {
      c = quench_of(one_of({"1075", "1084", "1095", "W2", "5160"}), keys,
                    one_of({"fast-oil", "medium-oil", "water", "vegetable-oil"}));
    } catch (const records::InputError&) {
      continue; // too steep a flank
    }
    ++sections;
    const treatment::Run run = treatment::run_station(c, 0);
    const StationAnswer s = answer_station(c, run, StationMargins{});
    const auto& field = run.after_cool;
    double most = 0, scheil = 0, least_HV = 1e9;
    for (std::size_t i = 0; i < field.pearlite.size(); ++i) {
      most = std::max(most, field.pearlite[i] + field.bainite[i]);
      scheil = std::max({scheil, field.scheil_pearlite[i], field.scheil_bainite[i]});
      least_HV = std::min(least_HV, run.as_quenched_HV[i]);
    }
    double told = 0, margin = 1e300, hrc = 1e9;
    for (const ZoneAnswer& z : s.zones) {
      told = std::max(told, z.transformed);
      margin = std::min(margin, z.rate_margin);
      hrc = std::min(hrc, z.as_quenched_HRC);
      away += std::abs(z.worst_x_m - z.x_m) > 0.5e-3;
    }
    SCOPED_TRACE(c.steel.designation + ", " + keys);
    EXPECT_EQ(told, most);
    EXPECT_EQ(margin, scheil > 0 ? 1 / scheil : std::numeric_limits<double>::infinity());
    EXPECT_EQ(hrc, steel::hrc_from_hv(least_HV));
    EXPECT_EQ(s.quench.verdict, zone_verdict(c, treatment::Wanted::hard, most));
    EXPECT_GE(s.centre_at_lift_degC, s.surface_at_lift_degC - 1e-9);
    const auto& lifted = run.frames[treatment::span_of(run, treatment::Part::bath)->frame].state.temperature;
    const auto hottest =
        static_cast<std::size_t>(std::max_element(lifted.begin(), lifted.end()) - lifted.begin());
    EXPECT_NEAR(s.centre_at_lift_degC, lifted[hottest], 1e-6);
    EXPECT_EQ(s.hottest_at_lift_x_m, run.grid.x[hottest % static_cast<std::size_t>(run.grid.nx)]);
  }
  EXPECT_GT(away, 50); // else the search would not be needed
}

// The soak: the whole section has to pass it, wished soft or not. A cold support makes the slowest place lie
// elsewhere than the thickest.
TEST(ZoneReach, TellsTheLeastSoakOfTheWholeField_OfRandomSections) {
  std::mt19937 random(17);
  const auto between = [&](double from, double to) {
    return std::uniform_real_distribution<double>(from, to)(random);
  };
  int away = 0;
  for (int n = 0; n < 24; ++n) {
    const double width = between(15, 45), spine = between(2, 10), edge = between(0.3, 1.2);
    char keys[700];
    std::snprintf(keys, sizeof keys,
                  "format = 1\ntitle = \"random\"\nstages = [\"furnace\", \"transfer\", \"bath\"]\n"
                  "[blade]\nsteel = \"1084\"\nlength = \"200 mm\"\n[[blade.station]]\nwidth = \"%.3f mm\"\n"
                  "spine = \"%.3f mm\"\nedge = \"%.3f mm\"\n[furnace]\nsetpoint = \"815 degC\"\n"
                  "timer = \"%.0f s\"\n%s[wish]\nharden = [\"edge\"]\nsoft = [\"spine\", \"thickest\"]\n"
                  "[bath]\ncoolant = \"fast-oil\"\ntime = \"5 s\"\n"
                  "[solver]\nalong = 32\nacross = 4\ntolerance = \"0.5 K\"\n",
                  width, spine, edge, between(200, 1500),
                  n % 2 == 0 ? ""
                             : "[furnace.support]\nface = \"edge\"\ndepth = \"6 mm\"\n"
                               "conductance = \"150 W/(m2 K)\"\ncooler = \"30 K\"\n");
    SCOPED_TRACE(keys);
    const treatment::Case c =
        treatment::read_case(keys, "random.toml", test::FileRecords(TQ_SOURCE_DIR "/cases"));
    const treatment::Run run = treatment::run_station(c, 0);
    const StationAnswer s = answer_station(c, run, soak_margins(c, 0, run));
    const auto& field = run.after_furnace;
    double austenite = 1, carbon = 1e9, soak = 1e9;
    for (std::size_t i = 0; i < field.ferrite.size(); ++i) {
      austenite = std::min(austenite, 1 - field.ferrite[i]);
      carbon = std::min(carbon, field.carbon[i]);
      soak = std::min(soak, field.time_at_temperature[i]);
    }
    double told_austenite = 1, told_carbon = 1e9, told_soak = 1e9, latest = 0;
    for (const ZoneAnswer& z : s.zones) {
      told_austenite = std::min(told_austenite, z.austenite);
      told_carbon = std::min(told_carbon, z.carbon_in_solution);
      told_soak = std::min(told_soak, z.soak_s);
      latest = std::isnan(z.reaches_temperature_s) ? 1e9 : std::max(latest, z.reaches_temperature_s);
      away += std::abs(z.soak_x_m - z.x_m) > 0.5e-3;
    }
    EXPECT_EQ(told_austenite, austenite);
    EXPECT_EQ(told_carbon, carbon);
    EXPECT_EQ(told_soak, soak);
    if (soak > 0) { // it stays at temperature once it is: what is left of the time
      EXPECT_NEAR(latest, *c.furnace().timer_s - soak, 3) << "the trace is read along chords of steps";
    }
  }
  EXPECT_GT(away, 5);
}

// Hard edge and soft back: what lies between belongs to neither.
TEST(ZoneReach, BetweenHardAndSoft_EndsAtTheZonesThemselves) {
  treatment::Case c =
      quench_of("1084", "width = \"30 mm\"\nspine = \"4 mm\"\nedge = \"0.6 mm\"\n", "fast-oil");
  const treatment::Simulation sim(c, 0);
  using treatment::Wanted;
  const auto columns = sim.zone_columns();
  c.wishes.zones = {Wanted::hard, Wanted::hard, Wanted::soft, Wanted::soft};
  auto reach = zone_reaches(c.wishes.zones, sim.grid(), columns);
  EXPECT_EQ(reach[treatment::zone_edge].to, columns[treatment::zone_edge]);
  EXPECT_EQ(reach[treatment::zone_edge].from, reach[treatment::zone_middle].to + 1);
  EXPECT_EQ(reach[treatment::zone_middle].from, columns[treatment::zone_middle]);
  EXPECT_EQ(reach[treatment::zone_thickest].to, columns[treatment::zone_thickest]);
  c.wishes.zones = {Wanted::hard, Wanted::hard, Wanted::hard, Wanted::hard};
  reach = zone_reaches(c.wishes.zones, sim.grid(), columns);
  EXPECT_EQ(reach[treatment::zone_thickest].from, 0);
  EXPECT_EQ(reach[treatment::zone_thickest].to + 1, reach[treatment::zone_middle].from);
  EXPECT_EQ(reach[treatment::zone_spine].to, 0); // on the same line as the thickest
}

} // namespace
